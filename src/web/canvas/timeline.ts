import { JUMP, STITCH, STOP } from "./stitches";

/** What a machine takes, as the page knows it: stitches a minute, seconds a colour change, seconds a trim. */
export interface Pace {
  readonly stitchesPerMinute: number;
  readonly colourChangeS: number;
  readonly trimS: number;
}

/** When each record has been done on a machine: seconds from the start, `secondsAt[n]` after n records. */
export interface Timeline {
  readonly totalS: number;
  readonly secondsAt: Float64Array;
}

/**
 * The sewing time of CONTRACT.md laid along the records: a stitch takes 60 / speed, a stop a colour change, the third
 * jump in a row a trim, any other jump nothing. `sameThread` tells of parts whose stop changes no colour.
 */
export function timelineOf(
  kinds: Uint8Array,
  { stitchesPerMinute, colourChangeS, trimS }: Pace,
  sameThread: (part: number) => boolean = () => false,
): Timeline {
  const secondsAt = new Float64Array(kinds.length + 1);
  const stitchS = 60 / stitchesPerMinute;
  let at = 0;
  let jumps = 0;
  let part = 0;
  for (let i = 0; i < kinds.length; i++) {
    if (kinds[i] === STITCH) at += stitchS;
    if (kinds[i] === STOP && !sameThread(++part)) at += colourChangeS;
    jumps = kinds[i] === JUMP ? jumps + 1 : 0;
    if (jumps === 3) at += trimS;
    secondsAt[i + 1] = at;
  }
  return { totalS: at, secondsAt };
}

/** How many records are done after so many seconds. */
export function recordsAt({ secondsAt }: Timeline, seconds: number): number {
  let low = 0;
  let high = secondsAt.length - 1;
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (secondsAt[middle]! <= seconds) low = middle;
    else high = middle - 1;
  }
  return low;
}

/** The record `by` stitches further on, or back: jumps and stops are passed over. */
export function stitchesOn(kinds: Uint8Array, from: number, by: 1 | -1): number {
  let at = Math.min(Math.max(from, 0), kinds.length);
  do at += by;
  while (0 < at && at < kinds.length && kinds[at - 1] !== STITCH);
  return Math.min(Math.max(at, 0), kinds.length);
}
