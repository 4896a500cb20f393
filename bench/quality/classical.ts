/** Published one-machine problems written as planning problems (../shared/PLANNING.md says how). */
import type { Problem } from "#core/planning";

const base = {
  format: "spoolwright/problem@1",
  hands: [{ id: "hand", shifts: [[0, 1e6]] }],
  open: [[0, 1e6]],
  hoops: [],
  chores: [],
} as const;
const machine = { id: "machine", fixed: [], hoops: [], down: [], stitchesPerMinute: 60, colourChangeS: 0, trimS: 0, threadS: 1, loadS: 0, unloadS: 0 } as const; // prettier-ignore
const job = { trims: 0, hoop: null, machines: null, releaseAt: 0, hoopS: 0, unhoopS: 0, finishS: 0 } as const;

/** Jobs, tools, capacity, then a row of zeros and ones for each tool: an empty machine, nothing but threadings costs. */
export function toolSwitching(file: readonly number[]): { problem: Problem; needles: number } {
  const [jobs, tools, needles, ...cells] = file as [number, number, number, ...number[]];
  const problem: Problem = {
    ...base,
    machines: [{ ...machine, needles, threaded: Array<null>(needles).fill(null) }],
    jobs: Array.from({ length: jobs }, (_, j) => ({
      ...job,
      id: `job ${j + 1}`,
      parts: [...Array(tools).keys()]
        .filter((tool) => cells[tool * jobs + j] === 1)
        .map((tool) => ({ colour: `c${tool}`, stitches: 1 })),
      dueAt: null,
      weight: 1,
    })),
    cost: { perLateMinute: 0, perThreading: 1, perMidStop: 1000, perFinishMinute: 0 },
  };
  return { problem, needles };
}

/** Processing times, weights, due dates: every thread on its needle, a second late costs the job's weight. */
export function weightedTardiness(numbers: readonly number[]): Problem {
  const size = numbers.length / 3;
  return {
    ...base,
    machines: [{ ...machine, needles: 1, threaded: ["c"] }],
    jobs: Array.from({ length: size }, (_, j) => ({
      ...job,
      id: `job ${j + 1}`,
      parts: [{ colour: "c", stitches: numbers[j]! }],
      weight: numbers[size + j]!,
      dueAt: numbers[2 * size + j]!,
    })),
    cost: { perLateMinute: 60, perThreading: 0, perMidStop: 0, perFinishMinute: 0 },
  };
}
