/** What is to come, soonest first: ordered by time, then priority, then the order in which it was put in. */
export interface EventQueue {
  readonly size: () => number;
  put(time: number, priority: number, what: number): void;
  /** Time of the next; Infinity when empty. */
  nextTime(): number;
  /** Takes the next out and gives what it was. */
  take(): number;
}

/** A binary heap in typed arrays that grow. */
export function createQueue(room = 1024): EventQueue {
  let times = new Float64Array(room);
  let ranks = new Float64Array(room);
  let whats = new Int32Array(room);
  let count = 0;
  let sequence = 0;

  const grow = (): void => {
    const [oldTimes, oldRanks, oldWhats] = [times, ranks, whats];
    times = new Float64Array(2 * count);
    ranks = new Float64Array(2 * count);
    whats = new Int32Array(2 * count);
    times.set(oldTimes);
    ranks.set(oldRanks);
    whats.set(oldWhats);
  };

  return {
    size: () => count,
    nextTime: () => (count === 0 ? Infinity : times[0]!),
    put(time, priority, what) {
      if (count === times.length) grow();
      // Priority and sequence in one number: exact to 2^53.
      const rank = priority * 2 ** 46 + sequence++;
      let at = count++;
      while (at > 0) {
        const up = (at - 1) >> 1;
        if (times[up]! < time || (times[up] === time && ranks[up]! < rank)) break;
        times[at] = times[up]!;
        ranks[at] = ranks[up]!;
        whats[at] = whats[up]!;
        at = up;
      }
      times[at] = time;
      ranks[at] = rank;
      whats[at] = what;
    },
    take() {
      const top = whats[0]!;
      count--;
      const time = times[count]!;
      const rank = ranks[count]!;
      const what = whats[count]!;
      let at = 0;
      for (;;) {
        let down = 2 * at + 1;
        if (down >= count) break;
        const other = down + 1;
        if (
          other < count &&
          (times[other]! < times[down]! || (times[other] === times[down] && ranks[other]! < ranks[down]!))
        )
          down = other;
        if (time < times[down]! || (time === times[down] && rank < ranks[down]!)) break;
        times[at] = times[down]!;
        ranks[at] = ranks[down]!;
        whats[at] = whats[down]!;
        at = down;
      }
      times[at] = time;
      ranks[at] = rank;
      whats[at] = what;
      return top;
    },
  };
}
