import type { Finding } from "#core/base";
import { stitchLengths } from "../report";
import { JUMP, STITCH, type Stitches } from "../stitches";
import type { DesignCheck } from "./check";

/** TRADE.md: a satin stitch over 7 mm snags; the machine slows on long stitches. Common practice, no source. */
const SNAG_MM = 7;
/** STITCHING.md: at most this share of stitches under 0.5 mm. */
const SHORT_SHARE = 0.03;

/** Stitches so short that they pile up, or so long that they catch. */
export const stitchLength: DesignCheck = ({ design, counts }) => {
  const findings: Finding[] = [];
  if (counts.stitches === 0) return findings;
  const { longestMm, short, zero } = stitchLengths(design);
  if (short - zero > counts.stitches * SHORT_SHARE) {
    findings.push({
      code: "stitches-too-short",
      level: "warning",
      message: `${short} of ${counts.stitches} stitches are shorter than 0.5 mm.`,
      advice: "Short stitches break thread and needles; have the design made for this size.",
    });
  }
  if (zero > 0) {
    findings.push({
      code: "stitches-without-length",
      level: "note",
      message: `${zero} stitches go into the hole they came from.`,
    });
  }
  if (longestMm > SNAG_MM) {
    const [count, stitch] = countLong(design);
    findings.push({
      code: "stitches-too-long",
      level: "warning",
      message: `${count} stitches are longer than ${SNAG_MM} mm (the longest ${longestMm.toFixed(1)} mm); they can catch and pull.`,
      advice: "Good on a wall hanging, not on a towel or a robe.",
      at: { stitch },
    });
  }
  return findings;
};

/** How many long stitches there are, and the number of the first, from 1. */
function countLong(design: Stitches): readonly [number, number] {
  let count = 0;
  let first = 0;
  let number = 0;
  for (let i = 0; i < design.kind.length; i++) {
    if (design.kind[i] !== STITCH) continue;
    number++;
    if (i > 0 && design.kind[i - 1] === JUMP) continue;
    const dx = design.x[i]! - (i > 0 ? design.x[i - 1]! : 0);
    const dy = design.y[i]! - (i > 0 ? design.y[i - 1]! : 0);
    if (dx * dx + dy * dy > (SNAG_MM * 10) ** 2) {
      count++;
      if (first === 0) first = number;
    }
  }
  return [count, first];
}
