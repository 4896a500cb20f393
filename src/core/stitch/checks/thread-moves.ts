import type { Finding } from "#core/base";
import { SEWING } from "../cloth";
import { LONGEST_MOVE_TENTHS, type Stitches, TRIM_JUMPS } from "../stitches";
import { countOf, type DesignCheck, placeOf, placesOf } from "./check";
import type { ThreadMove } from "./sewn-ground";

/** Thread that shows for less than this is not worth the seconds. */
const LEAST_BARE_MM = 2;

/** A move of the thread that needs a cut and has none: over 3 mm, and lying where people see it. */
export const needsTrim = ({ from, to, gapMm, bareMm }: ThreadMove): boolean =>
  to - from < TRIM_JUMPS && gapMm > SEWING.trimGapMm && bareMm > LEAST_BARE_MM;

/** A cut over a gap that is not worth it. A long way on one axis takes three records without being a wish. */
export const needlessTrim = ({ from, to, gapMm }: ThreadMove): boolean =>
  to - from >= TRIM_JUMPS && gapMm <= SEWING.trimGapMm && gapMm * 10 <= 2 * LONGEST_MOVE_TENTHS;

/** Thread that lies over finished sewing for longer than this is seen. */
const ACROSS_MM = 1.5;

/** Trims that are missing or needless, and thread that lies across what is sewn. */
export const trims: DesignCheck = ({ design, counts, moves }) => {
  if (counts.jumps === 0) return [];
  const findings: Finding[] = [];
  const missing = moves().filter(needsTrim);
  const across = missing.filter(({ acrossMm }) => acrossMm > ACROSS_MM);
  const bare = missing.filter(({ acrossMm }) => acrossMm <= ACROSS_MM);
  if (across.length > 0) {
    across.sort((a, b) => b.acrossMm - a.acrossMm || a.from - b.from);
    const longest = across[0]!;
    findings.push({
      code: "jump-across-sewing",
      level: "warning",
      message: `${countOf(across.length, "jump")} ${across.length === 1 ? "leaves" : "leave"} thread across what is sewn already (${longest.gapMm.toFixed(1)} mm the longest); it must be cut by hand without cutting the sewing.`,
      advice: "Have trims put in.",
      at: placeOf(design, longest.from - 1),
      ...placesOfMoves(design, across),
    });
  }
  if (bare.length > 0) {
    bare.sort((a, b) => b.gapMm - a.gapMm || a.from - b.from);
    const longest = bare[0]!;
    findings.push({
      code: "trim-missing",
      level: "note",
      message: `${countOf(bare.length, "jump")} over ${SEWING.trimGapMm} mm ${bare.length === 1 ? "has" : "have"} no trim (${longest.gapMm.toFixed(1)} mm the longest); loose thread is left on the cloth and cut by hand.`,
      advice: "Have trims put in.",
      at: placeOf(design, longest.from - 1),
      ...placesOfMoves(design, bare),
    });
  }
  const needless = moves().filter(needlessTrim);
  if (needless.length > 0) {
    findings.push({
      code: "trim-needless",
      level: "note",
      message: `${countOf(needless.length, "trim")} ${needless.length === 1 ? "is" : "are"} over gaps of ${SEWING.trimGapMm} mm or less; each holds the machine up for some seconds and can pull the thread out of the needle.`,
      advice: "Have them taken out; thread over so short a gap is not seen.",
      at: placeOf(design, needless[0]!.from - 1),
      ...placesOfMoves(design, needless),
    });
  }
  return findings;
};

const placesOfMoves = (design: Stitches, moves: readonly ThreadMove[]) =>
  placesOf(design, moves.map(({ from }) => Math.max(0, from - 1))); // prettier-ignore
