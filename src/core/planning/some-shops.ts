import { type Chance, pick } from "#core/base";
import type { Job, Problem } from "./problem";

/** Shops for the planner's tests. */
export const cost = { perLateMinute: 2, perThreading: 1.5, perMidStop: 4, perFinishMinute: 0.5 };

export function job(id: string, colours: readonly string[], more: Partial<Job> = {}): Job {
  return {
    id, parts: colours.map((colour) => ({ colour, stitches: 700 })), trims: 0, hoop: "round", machines: null,
    releaseAt: 0, dueAt: null, weight: 1, hoopS: 60, unhoopS: 30, finishS: 90, ...more,
  }; // prettier-ignore
}

export function machine(
  id: string,
  more: Partial<Problem["machines"][number]> = {},
): Problem["machines"][number] {
  return {
    id, needles: 3, threaded: [null, null, null], fixed: [], hoops: ["round"], down: [], stitchesPerMinute: 700,
    colourChangeS: 8, trimS: 6, threadS: 60, loadS: 85, unloadS: 30, ...more,
  }; // prettier-ignore
}

export function shop(more: Partial<Problem> = {}): Problem {
  return {
    format: "spoolwright/problem@1", hands: [{ id: "ann", shifts: [[0, 14_400], [16_200, 30_600]] }], open: [[0, 30_600]],
    hoops: [{ id: "round", count: 2 }], machines: [machine("m1")], jobs: [], chores: [], cost, ...more,
  }; // prettier-ignore
}

/** Any small problem, odd ones too: no time for handling, downs, fixed needles, late releases, overlapping hours. */
export function anyProblem(chance: Chance): Problem {
  const upTo = (most: number) => chance.below(most + 1);
  const often = (outOf: number) => chance.below(outOf) === 0;
  const colours = ["a", "b", "c", "d", "e", "f", "g"].slice(0, 2 + upTo(5));
  const hours = (count: number, most: number): [number, number][] => {
    let at = upTo(300);
    return Array.from({ length: count }, () => {
      const from = at;
      at = from + 1 + upTo(most);
      const to = at;
      at += upTo(2) * upTo(800);
      return [from, to];
    });
  };
  const kinds = ["p", "q"].slice(0, 1 + upTo(1)).map((id) => ({ id, count: upTo(3) }));
  const machines = Array.from({ length: 1 + upTo(2) }, (_, m) => {
    const needles = 1 + upTo(4);
    return machine(`m${m}`, {
      needles,
      threaded: Array.from({ length: needles }, () => (often(2) ? null : pick(colours, chance))),
      fixed: often(3) ? [1 + upTo(needles - 1)] : [],
      hoops: kinds.filter(() => !often(4)).map((kind) => kind.id),
      down: often(2) ? hours(1 + upTo(1), 400) : [],
      stitchesPerMinute: 400 + upTo(500),
      colourChangeS: upTo(12),
      threadS: often(4) ? 0 : upTo(90),
      loadS: often(4) ? 0 : upTo(90),
      unloadS: often(4) ? 0 : upTo(40),
    });
  });
  const due = () => (often(3) ? null : upTo(8000));
  return shop({
    hands: Array.from({ length: 1 + upTo(1) }, (_, h) => ({ id: `h${h}`, shifts: hours(1 + upTo(3), 6000) })),
    open: hours(1 + upTo(3), 8000),
    hoops: kinds,
    machines,
    jobs: Array.from({ length: upTo(7) }, (_, j) => ({
      ...job(
        `j${j}`,
        Array.from({ length: 1 + upTo(7) }, () => pick(colours, chance)),
      ),
      parts: Array.from({ length: 1 + upTo(7) }, () => ({
        colour: pick(colours, chance),
        stitches: upTo(often(3) ? 9000 : 900),
      })),
      trims: upTo(5),
      hoop: often(4) ? null : pick(kinds, chance).id,
      machines: often(4) ? [pick(machines, chance).id] : null,
      releaseAt: often(2) ? 0 : upTo(3000),
      dueAt: due(),
      weight: upTo(4),
      hoopS: often(4) ? 0 : upTo(150),
      unhoopS: often(4) ? 0 : upTo(50),
      finishS: often(4) ? 0 : upTo(150),
    })),
    chores: Array.from({ length: upTo(3) }, (_, c) => ({
      id: `c${c}`, machine: often(2) ? null : pick(machines, chance).id, seconds: upTo(900), releaseAt: upTo(2000), dueAt: due(), weight: upTo(3),
    })), // prettier-ignore
    cost: { perLateMinute: upTo(4), perThreading: upTo(3), perMidStop: upTo(6), perFinishMinute: upTo(2) },
  });
}
