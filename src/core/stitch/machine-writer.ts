import { HEADER_BYTES, headerOf } from "./machine-header";
import { MACHINE_FILE_LIMIT_RECORDS } from "./machine-file";
import { refuseStitches } from "./refusals";
import { JUMP, LONGEST_MOVE_TENTHS, STITCH, type Stitches, withSplitMoves } from "./stitches";

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
  bytes.set(headerOf({ kind, x, y }, label));
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
