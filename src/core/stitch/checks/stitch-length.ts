import type { Finding } from "#core/base";
import { SHORT_STITCH_MM, stitchLengths } from "../report";
import { JUMP, STITCH, type Stitches } from "../stitches";
import { countOf, type DesignCheck, MOST_PLACES, placeOf, placesOf } from "./check";
import type { SewnColumn } from "./sewn-columns";

/** TRADE.md: a satin stitch over 7 mm snags; the machine slows on long stitches. Common practice, no source. */
const SNAG_MM = 7;
/** Marks on the picture stand this far apart. */
const APART_TENTHS = 20;
/** STITCHING.md: at most this share of stitches under 0.5 mm. */
const SHORT_SHARE = 0.03;

/** Stitches so short that they pile up, or so long that they catch. */
export const stitchLength: DesignCheck = ({ design, counts, columns }) => {
  const findings: Finding[] = [];
  if (counts.stitches === 0) return findings;
  const { longestMm, short, zero } = stitchLengths(design);
  if (short - zero > counts.stitches * SHORT_SHARE) {
    const shortest = shortOnes(design);
    findings.push({
      code: "stitches-too-short",
      level: "warning",
      message: `${short} of ${counts.stitches} stitches are shorter than 0.5 mm; they break thread and needles.`,
      advice: "Have the shortest merged, or the design made for this size.",
      at: placeOf(design, shortest[0] ?? 0),
      ...placesOf(design, shortest),
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
    if (long.length > 0)
      findings.push({
        code: "stitches-too-long",
        level: "warning",
        message: `${countOf(long.length, "stitch", "stitches")} outside satin ${long.length === 1 ? "is" : "are"} longer than ${SNAG_MM} mm (the longest ${long[0]!.lengthMm.toFixed(1)} mm); they can catch and pull.`,
        advice: "Good on a wall hanging, not on a towel or a robe.",
        at: placeOf(design, long[0]!.at),
        ...placesOf(
          design,
          long.map(({ at }) => at),
        ),
      });
  }
  return findings;
};

interface LongStitch {
  readonly at: number;
  readonly lengthMm: number;
}

/** Long stitches that stand in no satin (columns have a check of their own), the longest first. */
function longStitches({ kind, x, y }: Stitches, columns: readonly SewnColumn[]): LongStitch[] {
  const found: LongStitch[] = [];
  let next = 0;
  for (let i = 1; i < kind.length; i++) {
    if (kind[i] !== STITCH || kind[i - 1] === JUMP) continue;
    while (next < columns.length && columns[next]!.to < i) next++;
    if (next < columns.length && columns[next]!.from < i) continue;
    const dx = x[i]! - x[i - 1]!;
    const dy = y[i]! - y[i - 1]!;
    const length = dx * dx + dy * dy;
    if (length > (SNAG_MM * 10) ** 2) found.push({ at: i, lengthMm: Math.sqrt(length) / 10 });
  }
  return found.sort((a, b) => b.lengthMm - a.lengthMm || a.at - b.at);
}

/** Short stitches that stand at least 2 mm apart, in the order they are sewn: one mark tells of its neighbours. */
function shortOnes({ kind, x, y }: Stitches): number[] {
  const found: number[] = [];
  for (let i = 1; i < kind.length && found.length < MOST_PLACES; i++) {
    if (kind[i] !== STITCH || kind[i - 1] !== STITCH) continue;
    const length = Math.hypot(x[i]! - x[i - 1]!, y[i]! - y[i - 1]!);
    if (length === 0 || length >= SHORT_STITCH_MM * 10) continue;
    if (found.every((one) => Math.hypot(x[one]! - x[i]!, y[one]! - y[i]!) > APART_TENTHS)) found.push(i);
  }
  return found;
}
