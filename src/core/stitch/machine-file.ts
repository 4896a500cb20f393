import { type Finding, mmFromTenths, type Refusal } from "#core/base";
import { refuseStitches } from "./refusals";
import { guessContent } from "./sniff";
import { JUMP, LONGEST_MOVE_TENTHS, STITCH, type Stitches, STOP, withSplitMoves } from "./stitches";

/**
 * The trade's common machine file (.dst): 512 bytes of header, then records of three bytes, each a move in balanced
 * ternary digits and what to do at its end. Written from the project's own description (docs/formats/machine-file.md).
 *
 * Reading: the records are the truth. Whatever the header says otherwise is a finding; so are a missing end record,
 * a cut last record and bytes after the end. A record that cannot be right (both +1 and −1, no marker bits, an unknown
 * control) is refused with its byte, because every later position hangs on it.
 */
export const MACHINE_FILE_LIMIT_BYTES = 16 * 1024 * 1024;
export const MACHINE_FILE_LIMIT_RECORDS = 2_000_000;
const HEADER_BYTES = 512;

export interface MachineFileHeader {
  /** The fields as they stand, by their two characters; numbers where they are numbers. */
  readonly fields: Readonly<Record<string, string | number>>;
}

export interface MachineFile {
  readonly stitches: Stitches;
  /** The label of the header, padding taken off; empty when there is none. */
  readonly label: string;
  readonly header: MachineFileHeader;
  readonly findings: readonly Finding[];
}

// Per byte: the move its bits make on an axis, or BAD where a digit is both + and −.
const BAD = 127;
const MOVES = buildMoves();

function buildMoves(): readonly (readonly [Int8Array, Int8Array])[] {
  return [1, 3, 0].map((low, index) => {
    const high = [9, 27, 81][index]!;
    const dx = new Int8Array(256);
    const dy = new Int8Array(256);
    for (let byte = 0; byte < 256; byte++) {
      const digit = (plus: number, minus: number): number =>
        (byte & plus) !== 0 && (byte & minus) !== 0
          ? BAD
          : (byte & plus) !== 0
            ? 1
            : (byte & minus) !== 0
              ? -1
              : 0;
      const xLow = low === 0 ? 0 : digit(0x01, 0x02);
      const yLow = low === 0 ? 0 : digit(0x80, 0x40);
      const xHigh = digit(0x04, 0x08);
      const yHigh = digit(0x20, 0x10);
      dx[byte] = xLow === BAD || xHigh === BAD ? BAD : xLow * low + xHigh * high;
      dy[byte] = yLow === BAD || yHigh === BAD ? BAD : yLow * low + yHigh * high;
    }
    return [dx, dy] as const;
  });
}

/**
 * Reads a machine file. Never takes more memory than the file's size asks for.
 * @throws Refusal machine-file-too-large, not-a-machine-file, machine-file-damaged
 */
export function readMachineFile(bytes: Uint8Array): MachineFile {
  if (bytes.length > MACHINE_FILE_LIMIT_BYTES) {
    throw refuseStitches(
      "machine-file-too-large",
      `The file has ${megabytes(bytes.length)} MB; a machine file may have ${megabytes(MACHINE_FILE_LIMIT_BYTES)} MB at most.`,
      [{ found: `${bytes.length} bytes`, expected: `at most ${MACHINE_FILE_LIMIT_BYTES} bytes` }],
    );
  }
  const other = guessContent(bytes);
  if (other !== null) throw notOne(`it looks like ${other}`);
  if (bytes.length === 0) throw notOne("it is empty");
  if (bytes.length < HEADER_BYTES) {
    throw notOne(`it has ${bytes.length} bytes, and the header alone has ${HEADER_BYTES}`);
  }
  const findings: Finding[] = [];
  const { fields, label } = readHeader(bytes.subarray(0, HEADER_BYTES), findings);
  const known = Object.keys(fields).length;
  const records = readRecords(bytes, known > 0);
  if (records.leftOver > 0) {
    findings.push({
      code: "machine-file-cut-record",
      level: "warning",
      message: `The last record is cut short: ${records.leftOver} of its 3 bytes are there (byte ${records.endByte}).`,
      advice:
        "The file may have been cut while it was copied; compare its stitch count with where it came from.",
      at: { byte: records.endByte },
    });
  }
  if (!records.ended) {
    findings.push({
      code: "machine-file-no-end",
      level: "warning",
      message: `There is no end record; the file stops at byte ${records.endByte} after ${records.stitches.kind.length} records.`,
      advice: "Stitches may be missing. Look at the picture, and fetch the file again if it is not whole.",
      at: { byte: records.endByte },
    });
  } else if (records.afterEnd > 0) {
    findings.push({
      code: "machine-file-after-end",
      level: "note",
      message: `${records.afterEnd} bytes stand after the end record (from byte ${records.endByte}); they were left out.`,
      at: { byte: records.endByte },
    });
  }
  compareHeader(fields, records.stitches, findings);
  return { stitches: records.stitches, label, header: { fields }, findings };
}

function notOne(found: string): Refusal {
  return refuseStitches("not-a-machine-file", `This is not a machine file: ${found}.`, [
    { found, expected: "a .dst machine file: a 512-byte header and records of 3 bytes" },
  ]);
}

const megabytes = (bytes: number): string => (bytes / (1024 * 1024)).toFixed(1).replace(/\.0$/, "");

interface Records {
  readonly stitches: Stitches;
  readonly ended: boolean;
  /** The byte after the last record read. */
  readonly endByte: number;
  readonly leftOver: number;
  readonly afterEnd: number;
}

function readRecords(bytes: Uint8Array, headerKnown: boolean): Records {
  const room = Math.floor((bytes.length - HEADER_BYTES) / 3);
  let end = 0;
  while (end < room && !isEnd(bytes, HEADER_BYTES + 3 * end)) end++;
  const ended = end < room;
  if (end > MACHINE_FILE_LIMIT_RECORDS) {
    throw refuseStitches(
      "machine-file-too-large",
      `The file has ${end.toLocaleString("en")} records; ${MACHINE_FILE_LIMIT_RECORDS.toLocaleString("en")} is the most.`,
      [{ found: `${end} records`, expected: `at most ${MACHINE_FILE_LIMIT_RECORDS}` }],
    );
  }
  const kind = new Uint8Array(end);
  const xs = new Int32Array(end);
  const ys = new Int32Array(end);
  const [[dx0, dy0], [dx1, dy1], [dx2, dy2]] = MOVES as [
    readonly [Int8Array, Int8Array],
    readonly [Int8Array, Int8Array],
    readonly [Int8Array, Int8Array],
  ];
  let x = 0;
  let y = 0;
  for (let i = 0, at = HEADER_BYTES; i < end; i++, at += 3) {
    const a = bytes[at]!;
    const b = bytes[at + 1]!;
    const c = bytes[at + 2]!;
    const control = c & 0xc0;
    if (
      (c & 3) !== 3 ||
      control === 0x40 ||
      dx0[a] === BAD || dy0[a] === BAD || dx1[b] === BAD || dy1[b] === BAD || dx2[c] === BAD || dy2[c] === BAD // prettier-ignore
    ) {
      throw damaged(bytes, at, i, headerKnown);
    }
    x += dx0[a]! + dx1[b]! + dx2[c]!;
    y += dy0[a]! + dy1[b]! + dy2[c]!;
    kind[i] = control === 0 ? STITCH : control === 0x80 ? JUMP : STOP;
    xs[i] = x;
    ys[i] = y;
  }
  const endByte = HEADER_BYTES + 3 * (ended ? end + 1 : end);
  const rest = bytes.subarray(endByte);
  const filled = rest.every((byte) => byte === 0x1a || byte === 0 || byte === 0x20);
  if (end === 0 && !ended) throw notOne("it has a header and no record after it");
  return {
    stitches: { kind, x: xs, y: ys },
    ended,
    endByte,
    leftOver: ended ? 0 : rest.length,
    afterEnd: ended && !filled ? rest.length : 0,
  };
}

/** The end record is 00 00 F3; readers take any record whose controls say so and that does not move. */
function isEnd(bytes: Uint8Array, at: number): boolean {
  return bytes[at + 2] === 0xf3 && bytes[at] === 0 && bytes[at + 1] === 0;
}

function damaged(bytes: Uint8Array, at: number, index: number, headerKnown: boolean): Refusal {
  const c = bytes[at + 2]!;
  const what =
    (c & 3) !== 3
      ? "its two marker bits are not set"
      : (c & 0xc0) === 0x40
        ? "its control bits (40 without 80) mean nothing"
        : "it moves forth and back by the same digit at once";
  const hex = [...bytes.subarray(at, at + 3)].map((byte) => byte.toString(16).padStart(2, "0")).join(" ");
  const place = `record ${index + 1} at byte ${at} (${hex}) cannot be right: ${what}`;
  if (!headerKnown) return notOne(`it has no header field, and ${place}`);
  return refuseStitches("machine-file-damaged", `The machine file is damaged: ${place}.`, [
    { field: `byte ${at}`, found: hex, expected: "a record of the machine file" },
  ]);
}

const NUMBER_FIELDS = ["ST", "CO", "+X", "-X", "+Y", "-Y", "AX", "AY"] as const;

function readHeader(
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

function compareHeader(fields: Record<string, string | number>, design: Stitches, findings: Finding[]): void {
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

const DIGIT_BITS = buildDigitBits();

/** For each move −121…121 the bits of the three bytes, x and y apart. */
function buildDigitBits(): { readonly x: Uint8Array; readonly y: Uint8Array } {
  const span = 2 * LONGEST_MOVE_TENTHS + 1;
  const x = new Uint8Array(span * 3);
  const y = new Uint8Array(span * 3);
  // Weight, byte, then the bit of + and of − on each axis.
  const table: readonly (readonly [number, number, number, number, number])[] = [
    [0, 0x01, 0x02, 0x80, 0x40],
    [0, 0x04, 0x08, 0x20, 0x10],
    [1, 0x01, 0x02, 0x80, 0x40],
    [1, 0x04, 0x08, 0x20, 0x10],
    [2, 0x04, 0x08, 0x20, 0x10],
  ].map((row) => [row[0]!, row[1]!, row[2]!, row[3]!, row[4]!]);
  // The digits in the order 1, 9, 3, 27, 81 of the table's rows, reached by place value.
  const rowOfDigit = [0, 2, 1, 3, 4];
  for (let move = -LONGEST_MOVE_TENTHS; move <= LONGEST_MOVE_TENTHS; move++) {
    let rest = move;
    for (let digit = 0; digit < 5; digit++) {
      const rem = ((rest % 3) + 3) % 3;
      const value = rem === 2 ? -1 : rem;
      rest = (rest - value) / 3;
      if (value === 0) continue;
      const [byte, xPlus, xMinus, yPlus, yMinus] = table[rowOfDigit[digit]!]!;
      const at = (move + LONGEST_MOVE_TENTHS) * 3 + byte;
      x[at] = x[at]! | (value > 0 ? xPlus : xMinus);
      y[at] = y[at]! | (value > 0 ? yPlus : yMinus);
    }
  }
  return { x, y };
}

/**
 * Writes a machine file: the header filled in from the records, moves over 12.1 mm split evenly, the end record last.
 * The label keeps at most 16 plain letters; other letters are written without their marks or as `_`.
 * @throws Refusal machine-file-overflow when a count or an extent does not fit its field.
 */
export function writeMachineFile(design: Stitches, label: string): Uint8Array<ArrayBuffer> {
  const { kind, x, y } = withSplitMoves(design);
  const count = kind.length;
  if (count > MACHINE_FILE_LIMIT_RECORDS) {
    throw refuseStitches(
      "machine-file-overflow",
      `The design has ${count} records; ${MACHINE_FILE_LIMIT_RECORDS} is the most.`,
    );
  }
  const bytes = new Uint8Array(HEADER_BYTES + 3 * (count + 1));
  bytes.set(header({ kind, x, y }, label));
  let px = 0;
  let py = 0;
  let at = HEADER_BYTES;
  for (let i = 0; i < count; i++, at += 3) {
    const dx = (x[i]! - px + LONGEST_MOVE_TENTHS) * 3;
    const dy = (y[i]! - py + LONGEST_MOVE_TENTHS) * 3;
    bytes[at] = DIGIT_BITS.x[dx]! | DIGIT_BITS.y[dy]!;
    bytes[at + 1] = DIGIT_BITS.x[dx + 1]! | DIGIT_BITS.y[dy + 1]!;
    bytes[at + 2] =
      DIGIT_BITS.x[dx + 2]! |
      DIGIT_BITS.y[dy + 2]! |
      0x03 |
      (kind[i] === STITCH ? 0 : kind[i] === JUMP ? 0x80 : 0xc0);
    px = x[i]!;
    py = y[i]!;
  }
  bytes[at + 2] = 0xf3;
  return bytes;
}

function header(design: Stitches, label: string): Uint8Array {
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
