import { JUMP, STITCH, type Stitches } from "../stitches";
import { type DesignCheck, placeOf, placesOf } from "./check";

/** A tie is made of stitches no longer than this (TRADE.md 0.6–0.8 mm, with room for other makers' ways). */
export const TIE_MM = 1.3;

/** A thread that is cut without small stitches before the cut can come undone. Says maybe: ties look many ways. */
export const missingTieOff: DesignCheck = ({ design, counts }) => {
  let cuts = 0;
  const loose: number[] = [];
  for (let i = 0; i < design.kind.length; i++) {
    if (design.kind[i] !== STITCH) continue;
    if (!cutFollows(design, i)) continue;
    cuts++;
    if (!tiedAt(design, i)) loose.push(i);
  }
  if (loose.length === 0 || counts.stitches === 0) return [];
  return [
    {
      code: "tie-off-missing",
      level: "note",
      message: `${loose.length} of ${cuts} thread ends may have no tie-off; they can come undone in the wash.`,
      advice: "Look at the ends, or have small stitches added before the cut.",
      at: placeOf(design, loose[0]!),
      ...placesOf(design, loose),
    },
  ];
};

/** Whether the thread is cut after record i: the end, a stop, or three jumps. */
export function cutFollows({ kind }: Stitches, i: number): boolean {
  if (i + 1 === kind.length) return true;
  if (kind[i + 1] === STITCH) return false;
  if (kind[i + 1] !== JUMP) return true;
  let jumps = 0;
  while (kind[i + 1 + jumps] === JUMP) jumps++;
  return jumps >= 3 || i + 1 + jumps === kind.length || kind[i + 1 + jumps] !== STITCH;
}

/** At least two short stitches among the last four. */
export function tiedAt({ kind, x, y }: Stitches, last: number): boolean {
  let short = 0;
  for (let i = last; i > Math.max(0, last - 4) && kind[i] === STITCH; i--) {
    const dx = x[i]! - x[i - 1]!;
    const dy = y[i]! - y[i - 1]!;
    if (dx * dx + dy * dy <= (TIE_MM * 10) ** 2) short++;
  }
  return short >= 2;
}
