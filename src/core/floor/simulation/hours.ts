/** Intervals [start, end) in order, asked about a time that only moves forward. */
export type Hours = readonly (readonly [start: number, end: number])[];

/** Joins what touches or overlaps, in order. */
export function joinedHours(hours: Hours): Hours {
  const joined: [number, number][] = [];
  for (const [start, end] of [...hours].sort((a, b) => a[0] - b[0])) {
    const last = joined.at(-1);
    if (end <= start) continue;
    if (last !== undefined && start <= last[1]) last[1] = Math.max(last[1], end);
    else joined.push([start, end]);
  }
  return joined;
}

/** What is left of `hours` outside `taken`; both in order, each without overlap. */
export function hoursWithout(hours: Hours, taken: Hours): Hours {
  const left: [number, number][] = [];
  for (const [start, end] of hours) {
    let from = start;
    for (const [takenFrom, takenTo] of taken) {
      if (takenTo <= from || takenFrom >= end) continue;
      if (takenFrom > from) left.push([from, takenFrom]);
      from = Math.max(from, takenTo);
    }
    if (from < end) left.push([from, end]);
  }
  return left;
}

export interface Clock {
  /** The end of the interval that holds the time; −1 where none does. Times asked for never go back. */
  endOfHours(time: number): number;
  /** The next start after the time; Infinity where there is none. */
  nextStart(time: number): number;
  /** Seconds of the intervals within [from, to). */
  within(from: number, to: number): number;
}

export function createClock(hours: Hours): Clock {
  const starts = Float64Array.from(hours, ([start]) => start);
  const ends = Float64Array.from(hours, ([, end]) => end);
  const before = new Float64Array(starts.length + 1);
  starts.forEach((start, at) => (before[at + 1] = before[at]! + ends[at]! - start));
  let at = 0;
  const upTo = (time: number): number => {
    let [low, high] = [0, starts.length];
    while (low < high) {
      const middle = (low + high) >> 1;
      if (ends[middle]! <= time) low = middle + 1;
      else high = middle;
    }
    return low === starts.length ? before[low]! : before[low]! + Math.max(0, time - starts[low]!);
  };
  return {
    endOfHours(time) {
      while (at < starts.length && ends[at]! <= time) at++;
      return at < starts.length && starts[at]! <= time ? ends[at]! : -1;
    },
    nextStart(time) {
      while (at < starts.length && ends[at]! <= time) at++;
      let next = at;
      while (next < starts.length && starts[next]! <= time) next++;
      return next < starts.length ? starts[next]! : Infinity;
    },
    within: (from, to) => (to <= from ? 0 : upTo(to) - upTo(from)),
  };
}
