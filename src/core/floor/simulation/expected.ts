/** What the shop expects of the next hours: when a machine stops, and whether a piece still fits before it must stand. */
import type { Floor } from "./floor";
import { createClock } from "./hours";
import type { Stretch } from "./needle-use";

export interface Expected {
  /** A machine has begun a piece. */
  begun(machine: number, now: number, stretches: readonly Stretch[]): void;
  /** When the first of the machines that sew now wants hands again; Infinity where none sews. */
  nextStop(now: number): number;
  /** Whether so many seconds at a machine end before its hours do; true where it is not open now. */
  fits(machine: number, now: number, seconds: number): boolean;
}

export function createExpected({ compiled, standing }: Floor): Expected {
  const { machines, shop } = compiled;
  const clocks = compiled.sewable.map(createClock);
  const busyUntil = new Float64Array(machines);
  return {
    begun(machine, now, stretches) {
      const { threadS, loadS } = shop.problem.machines[machine]!;
      let end = now + loadS;
      for (const { seconds, threadings } of stretches) end += seconds + threadings * threadS;
      busyUntil[machine] = end;
    },
    nextStop(now) {
      let next = Infinity;
      for (let machine = 0; machine < machines; machine++)
        if (!standing(machine) && busyUntil[machine]! >= now) next = Math.min(next, busyUntil[machine]!);
      return next;
    },
    fits(machine, now, seconds) {
      const end = clocks[machine]!.endOfHours(now);
      const from = standing(machine) ? now : Math.max(now, busyUntil[machine]!);
      return end < 0 || from > end || from + seconds <= end;
    },
  };
}
