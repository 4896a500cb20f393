import { type Compiled, NEVER } from "./compile";

/**
 * The free time of all hands, as gaps in flat arrays. Invariant: the gaps of a hand lie apart and in order, and are
 * exactly its shifts less the tasks taken (gaps shorter than any task left out). Work of a task: one binary search and
 * a short walk for each hand.
 */
export interface HandGaps {
  /** The hand and gap that `place` found. */
  foundHand: number;
  /** All shifts are free again. */
  reset(): void;
  /** The soonest start of a hand's task from `at` on, machine m (−1 for none) being up; −1 when there is none. */
  place(at: number, seconds: number, m: number): number;
  /** Takes what `place` found out of the hand's gaps. */
  take(start: number, seconds: number): void;
  /** Numbers that `save` writes at present. */
  savedSize(): number;
  save(into: Int32Array, from: number): void;
  restore(out: Int32Array, from: number): void;
}

/** The soonest `seconds` from `at` on with the machine up. */
export function whileUp(compiled: Compiled, m: number, at: number, seconds: number): number {
  const starts = compiled.downStart[m]!;
  const ends = compiled.downEnd[m]!;
  for (let d = 0; d < starts.length; d++) {
    if (ends[d]! <= at) continue;
    if (at + seconds <= starts[d]! && !(seconds === 0 && at > starts[d]!)) break;
    at = ends[d]!;
  }
  return at;
}

export function handGaps(compiled: Compiled, mostTasks: number): HandGaps {
  const { hands, shortestTaskS: shortest } = compiled;
  const width = mostTasks + compiled.shiftStart.reduce((most, own) => Math.max(most, own.length), 0) + 1;
  const starts = new Int32Array(hands * width);
  const ends = new Int32Array(hands * width);
  const counts = new Int32Array(hands);
  let foundGap = -1;

  const gaps: HandGaps = { foundHand: -1, reset, place, take, savedSize, save, restore };
  return gaps;

  function reset(): void {
    for (let h = 0; h < hands; h++) {
      starts.set(compiled.shiftStart[h]!, h * width);
      ends.set(compiled.shiftEnd[h]!, h * width);
      counts[h] = compiled.shiftStart[h]!.length;
    }
  }

  function place(at: number, seconds: number, m: number): number {
    if (seconds === 0) return placeInstant(at, m);
    const watchDown = m >= 0 && compiled.downStart[m]!.length > 0;
    const until = at + seconds;
    let best = NEVER;
    let waste = NEVER;
    let hand = -1;
    // A start at once that splits no gap cannot be bettered.
    for (let h = 0; h < hands && !(best === at && waste === 0); h++) {
      const first = h * width;
      const beyond = first + counts[h]!;
      let low = first;
      let high = beyond;
      while (low < high) {
        const middle = (low + high) >> 1;
        if (ends[middle]! < until) low = middle + 1;
        else high = middle;
      }
      for (let g = low; g < beyond; g++) {
        const from = starts[g]!;
        if (from > best) break;
        let start = from > at ? from : at;
        if (watchDown) start = whileUp(compiled, m, start, seconds);
        if (start + seconds > ends[g]!) continue;
        const idle = start - from;
        if (start < best || (start === best && idle < waste)) {
          best = start;
          waste = idle;
          hand = h;
          foundGap = g;
        }
        break;
      }
    }
    gaps.foundHand = hand;
    return hand < 0 ? -1 : best;
  }

  function placeInstant(at: number, m: number): number {
    let best = NEVER;
    gaps.foundHand = -1;
    for (let h = 0; h < hands; h++) {
      const own = compiled.shiftStart[h]!;
      const until = compiled.shiftEnd[h]!;
      for (let g = 0; g < own.length; g++) {
        let start = Math.max(at, own[g]!);
        if (m >= 0) start = whileUp(compiled, m, start, 0);
        if (start > until[g]!) continue;
        if (start < best) {
          best = start;
          gaps.foundHand = h;
        }
        break;
      }
    }
    return gaps.foundHand < 0 ? -1 : best;
  }

  function take(start: number, seconds: number): void {
    if (seconds === 0) return;
    const h = gaps.foundHand;
    const g = foundGap;
    const to = ends[g]!;
    const end = start + seconds;
    const keepsLeft = start - starts[g]! >= shortest;
    const keepsRight = to - end >= shortest;
    if (keepsLeft && keepsRight) {
      for (let i = h * width + counts[h]!; i > g + 1; i--) {
        starts[i] = starts[i - 1]!;
        ends[i] = ends[i - 1]!;
      }
      ends[g] = start;
      starts[g + 1] = end;
      ends[g + 1] = to;
      counts[h]!++;
    } else if (keepsLeft) ends[g] = start;
    else if (keepsRight) starts[g] = end;
    else {
      const last = h * width + --counts[h]!;
      for (let i = g; i < last; i++) {
        starts[i] = starts[i + 1]!;
        ends[i] = ends[i + 1]!;
      }
    }
  }

  function savedSize(): number {
    let size = hands;
    for (let h = 0; h < hands; h++) size += 2 * counts[h]!;
    return size;
  }

  function save(into: Int32Array, from: number): void {
    for (let h = 0; h < hands; h++) {
      const count = counts[h]!;
      into[from++] = count;
      for (let g = h * width; g < h * width + count; g++) {
        into[from++] = starts[g]!;
        into[from++] = ends[g]!;
      }
    }
  }

  function restore(out: Int32Array, from: number): void {
    for (let h = 0; h < hands; h++) {
      const count = out[from++]!;
      counts[h] = count;
      for (let g = h * width; g < h * width + count; g++) {
        starts[g] = out[from++]!;
        ends[g] = out[from++]!;
      }
    }
  }
}
