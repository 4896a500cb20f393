import type { Finding } from "#core/base";
import { SHORT_STITCH_MM, stitchLengths } from "../report";
import { JUMP, STITCH, type Stitches } from "../stitches";
import { countOf, type DesignCheck, placeOf } from "./check";
import type { SewnColumn } from "./sewn-columns";

/** TRADE.md: a satin stitch over 7 mm snags; the machine slows on long stitches. Common practice, no source. */
const SNAG_MM = 7;
/** STITCHING.md: at most this share of stitches under 0.5 mm. */
const SHORT_SHARE = 0.03;

/** Stitches so short that they pile up, or so long that they catch. */
export const stitchLength: DesignCheck = ({ design, counts, columns }) => {
  const findings: Finding[] = [];
  if (counts.stitches === 0) return findings;
  const { longestMm, short, zero } = stitchLengths(design);
  if (short - zero > counts.stitches * SHORT_SHARE) {
    findings.push({
      code: "stitches-too-short",
      level: "warning",
      message: `${short} of ${counts.stitches} stitches are shorter than 0.5 mm; they break thread and needles.`,
      advice: "Have the shortest merged, or the design made for this size.",
      at: placeOf(design, firstShort(design)),
    });
  }
  if (zero > 0) {
    findings.push({
      code: "stitches-without-length",
      level: "note",
      message: `${countOf(zero, "stitch goes", "stitches go")} into the hole they came from.`,
    });
  }
  if (longestMm > SNAG_MM) {
    const long = longStitches(design, columns());
    if (long.count > 0)
      findings.push({
        code: "stitches-too-long",
        level: "warning",
        message: `${countOf(long.count, "stitch", "stitches")} outside satin ${long.count === 1 ? "is" : "are"} longer than ${SNAG_MM} mm (the longest ${long.longestMm.toFixed(1)} mm); they can catch and pull.`,
        advice: "Good on a wall hanging, not on a towel or a robe.",
        at: placeOf(design, long.at),
      });
  }
  return findings;
};

/** Long stitches that stand in no satin (columns have a check of their own): how many, and the longest. */
function longStitches(
  { kind, x, y }: Stitches,
  columns: readonly SewnColumn[],
): { readonly count: number; readonly longestMm: number; readonly at: number } {
  let count = 0;
  let longest = 0;
  let at = 0;
  let next = 0;
  for (let i = 1; i < kind.length; i++) {
    if (kind[i] !== STITCH || kind[i - 1] === JUMP) continue;
    while (next < columns.length && columns[next]!.to < i) next++;
    if (next < columns.length && columns[next]!.from < i) continue;
    const dx = x[i]! - x[i - 1]!;
    const dy = y[i]! - y[i - 1]!;
    const length = dx * dx + dy * dy;
    if (length <= (SNAG_MM * 10) ** 2) continue;
    count++;
    if (length > longest) [longest, at] = [length, i];
  }
  return { count, longestMm: Math.sqrt(longest) / 10, at };
}

function firstShort({ kind, x, y }: Stitches): number {
  for (let i = 1; i < kind.length; i++) {
    if (kind[i] !== STITCH || kind[i - 1] !== STITCH) continue;
    const length = Math.hypot(x[i]! - x[i - 1]!, y[i]! - y[i - 1]!);
    if (0 < length && length < SHORT_STITCH_MM * 10) return i;
  }
  return 0;
}
