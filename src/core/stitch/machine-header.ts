import { type Finding, mmFromTenths } from "#core/base";
import { refuseStitches } from "./refusals";
import { STITCH, type Stitches, STOP } from "./stitches";

/** The header of the machine file: 512 bytes of fields that say again what the records say. */
export const HEADER_BYTES = 512;

const NUMBER_FIELDS = ["ST", "CO", "+X", "-X", "+Y", "-Y", "AX", "AY"] as const;

/** Reads the fields, however they are padded and ended; what is odd about them is a finding. */
export function readHeader(
  head: Uint8Array,
  findings: Finding[],
): { readonly fields: Record<string, string | number>; readonly label: string } {
  const note = (code: string, message: string, byte: number): void => {
    findings.push({ code, level: "note", message, at: { byte } });
  };
  const mark = head.indexOf(0x1a);
  const body = mark < 0 ? head : head.subarray(0, mark);
  const fields: Record<string, string | number> = {};
  let line = "";
  let lineAt = 0;
  const text = String.fromCharCode(...body) + "\r";
  for (let i = 0; i < text.length; i++) {
    const letter = text[i]!;
    if (letter !== "\r" && letter !== "\n") {
      line += letter;
      continue;
    }
    takeField(line, lineAt, fields, note);
    line = "";
    lineAt = i + 1;
  }
  if (Object.keys(fields).length === 0) {
    findings.push({
      code: "header-no-fields",
      level: "warning",
      message: "The header holds no field that is known.",
    });
    return { fields, label: "" };
  }
  if (mark < 0) note("header-no-end-mark", "The header's fields are not closed by their end mark (1A).", 511);
  const lineFeed = body.indexOf(0x0a);
  if (lineFeed >= 0)
    note(
      "header-line-feed",
      `The header ends its lines with line feeds (first at byte ${lineFeed}).`,
      lineFeed,
    );
  const nul = head.indexOf(0);
  if (nul >= 0)
    note("header-zero-bytes", `The header is padded with zero bytes (first at byte ${nul}).`, nul);
  const foreign = body.findIndex((byte) => byte > 0x7e);
  if (foreign >= 0) {
    note(
      "header-not-ascii",
      `The header holds letters that are not plain ASCII (first at byte ${foreign}).`,
      foreign,
    );
  }
  const missing = ["LA", ...NUMBER_FIELDS].filter((field) => !(field in fields));
  if (missing.length > 0) {
    findings.push({
      code: "header-field-missing",
      level: "note",
      message: `The header lacks ${missing.map((field) => `${field}:`).join(", ")}`,
    });
  }
  return { fields, label: typeof fields["LA"] === "string" ? fields["LA"] : "" };
}

function takeField(
  line: string,
  at: number,
  fields: Record<string, string | number>,
  note: (code: string, message: string, byte: number) => void,
): void {
  const trimmed = line.replace(/^[ \0]+|[ \0]+$/g, "");
  const name = trimmed.slice(0, 2);
  if (trimmed[2] !== ":" || !/^[A-Za-z+-][A-Za-z]$/.test(name)) {
    if (trimmed !== "")
      note("header-unknown-text", `The header holds text that is no field, at byte ${at}.`, at);
    return;
  }
  const value = trimmed.slice(3).replace(/[ \0]+$/g, "");
  if (!(NUMBER_FIELDS as readonly string[]).includes(name)) {
    fields[name] = printable(value).trim();
    return;
  }
  const digits = value.replace(/ /g, "");
  if (/^[+-]?\d+$/.test(digits)) fields[name] = Number(digits);
  else {
    fields[name] = printable(value).trim();
    note(
      "header-not-a-number",
      `The header's ${name}: is not a number ("${printable(value).trim()}", byte ${at}).`,
      at,
    );
  }
}

// eslint-disable-next-line no-control-regex -- what a person is shown holds no control characters
const printable = (text: string): string => text.replace(/[\x00-\x1f\x7f-\x9f]/g, "?");

interface Reach {
  readonly right: number;
  readonly left: number;
  readonly top: number;
  readonly bottom: number;
}

/** How far from the start the moves, or the penetrations alone, reach; each at least 0. */
function reach(design: Stitches, penetrationsOnly: "penetrations" | "moves"): Reach {
  let right = 0;
  let left = 0;
  let top = 0;
  let bottom = 0;
  for (let i = 0; i < design.kind.length; i++) {
    if (penetrationsOnly === "penetrations" && design.kind[i] !== STITCH) continue;
    const x = design.x[i]!;
    const y = design.y[i]!;
    if (x > right) right = x;
    if (-x > left) left = -x;
    if (y > top) top = y;
    if (-y > bottom) bottom = -y;
  }
  return { right, left, top, bottom };
}

/** What the header says otherwise than the records. */
export function compareHeader(
  fields: Record<string, string | number>,
  design: Stitches,
  findings: Finding[],
): void {
  const records = design.kind.length;
  const stops = design.kind.reduce((count, kind) => count + (kind === STOP ? 1 : 0), 0);
  const differs = (code: string, message: string): void => {
    findings.push({
      code,
      level: "warning",
      message,
      advice: "The stitches are taken as they are; the header is not used.",
    });
  };
  const st = fields["ST"];
  if (typeof st === "number" && st !== records && st !== records + 1) {
    differs("header-record-count", `The header says ${st} records; the file has ${records}.`);
  }
  const co = fields["CO"];
  if (typeof co === "number" && co !== stops) {
    differs("header-stop-count", `The header says ${co} colour stops; the file has ${stops}.`);
  }
  const all = reach(design, "moves");
  const sewn = reach(design, "penetrations");
  const mm = (tenths: number): string => `${mmFromTenths(tenths).toFixed(1)} mm`;
  const sides: readonly (readonly [string, string, keyof Reach])[] = [
    ["+X", "to the right", "right"],
    ["-X", "to the left", "left"],
    ["+Y", "upwards", "top"],
    ["-Y", "downwards", "bottom"],
  ];
  for (const [field, side, key] of sides) {
    const said = fields[field];
    if (typeof said === "number" && Math.abs(said) !== all[key] && Math.abs(said) !== sewn[key]) {
      differs(
        "header-extent",
        `The header says ${mm(said)} ${side} (${field}:); the stitches reach ${mm(all[key])}.`,
      );
    }
  }
  const ends: readonly (readonly [string, number])[] = [
    ["AX", design.x[records - 1] ?? 0],
    ["AY", design.y[records - 1] ?? 0],
  ];
  for (const [field, at] of ends) {
    const said = fields[field];
    if (typeof said === "number" && said !== at) {
      differs(
        "header-end-point",
        `The header says the design ends at ${mm(said)} (${field}:); it ends at ${mm(at)}.`,
      );
    }
  }
}

/** The 512 bytes for a design whose moves all fit records. */
export function headerOf(design: Stitches, label: string): Uint8Array {
  const records = design.kind.length;
  const stops = design.kind.reduce((count, kind) => count + (kind === STOP ? 1 : 0), 0);
  const far = reach(design, "moves");
  const number = (field: string, value: number, width: number): string => {
    const digits = String(Math.abs(value));
    if (digits.length > width) {
      throw refuseStitches(
        "machine-file-overflow",
        `${field}: of the machine file holds ${width} digits; the design needs ${value}.`,
        [{ field, found: String(value), expected: `at most ${"9".repeat(width)}` }],
      );
    }
    return digits.padStart(width);
  };
  const signed = (field: string, value: number): string => (value < 0 ? "-" : "+") + number(field, value, 5);
  const text = [
    `LA:${plainLabel(label).padEnd(16)}`,
    `ST:${number("ST", records + 1, 7)}`,
    `CO:${number("CO", stops, 3)}`,
    `+X:${number("+X", far.right, 5)}`,
    `-X:${number("-X", far.left, 5)}`,
    `+Y:${number("+Y", far.top, 5)}`,
    `-Y:${number("-Y", far.bottom, 5)}`,
    `AX:${signed("AX", design.x[records - 1] ?? 0)}`,
    `AY:${signed("AY", design.y[records - 1] ?? 0)}`,
    "MX:+    0",
    "MY:+    0",
    "PD:******",
    "\x1a",
  ].join("\r");
  return Uint8Array.from(text.padEnd(HEADER_BYTES), (letter) => letter.charCodeAt(0));
}

/** At most 16 printable ASCII letters. */
function plainLabel(label: string): string {
  const bare = label.normalize("NFD").replace(/\p{M}/gu, "");
  return [...bare]
    .map((letter) => (/^[ -~]$/.test(letter) ? letter : "_"))
    .join("")
    .slice(0, 16);
}
