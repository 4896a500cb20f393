import type { Finding, Refusal } from "#core/base";
import { compareHeader, HEADER_BYTES, readHeader } from "./machine-header";
import { refuseStitches } from "./refusals";
import { guessContent } from "./sniff";
import { JUMP, STITCH, type Stitches, STOP } from "./stitches";

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
