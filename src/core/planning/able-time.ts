import { type Compiled, joined, NEVER, without } from "./compile";

/** Time in which a machine can be busy with a run: it is up, and somebody is there or the shop is open. */
export interface AbleTime {
  /** Seconds of it before t. */
  upTo(m: number, t: number): number;
  /** The time by which so many seconds of it have passed. */
  wallAt(m: number, seconds: number): number;
}

export function ableTime(compiled: Compiled): AbleTime {
  const { problem } = compiled;
  const there = joined([...problem.open, ...problem.hands.flatMap((hand) => hand.shifts)]);
  const rows = problem.machines.map((machine) => {
    const able = without(there, joined(machine.down));
    let sum = 0;
    return {
      from: Int32Array.from(able, ([from]) => from),
      to: Int32Array.from(able, ([, to]) => to),
      before: Int32Array.from(able, ([from, to]) => (sum += to - from) - (to - from)),
    };
  });
  return {
    upTo(m, t) {
      const { from, to, before } = rows[m]!;
      for (let i = from.length - 1; i >= 0; i--) {
        if (t >= from[i]!) return before[i]! + Math.min(t, to[i]!) - from[i]!;
      }
      return 0;
    },
    wallAt(m, seconds) {
      const { from, to, before } = rows[m]!;
      for (let i = 0; i < from.length; i++) {
        const left = seconds - before[i]!;
        if (left <= to[i]! - from[i]!) return from[i]! + (left > 0 ? left : 0);
      }
      // More than there is: then it is never done.
      return NEVER;
    },
  };
}
