import { describe, expect, it } from "vitest";
import { type Chance, seededChance } from "#core/base";
import { machineInterference, steadyInterference, waitingCompared } from "./interference";

/** Running share and mean number waiting for r = 0.05, 0.1, 0.2, 0.5, 1: PLANNING.md's table, computed from the formulas. */
const table: readonly (readonly [
  machines: number,
  hands: number,
  values: readonly (readonly [number, number])[],
])[] = [
  [
    2,
    1,
    [
      [0.9502, 0.0045],
      [0.9016, 0.0164],
      [0.8108, 0.0541],
      [0.6, 0.2],
      [0.4, 0.4],
    ],
  ],
  [
    3,
    1,
    [
      [0.9479, 0.0142],
      [0.8931, 0.0527],
      [0.7839, 0.178],
      [0.5263, 0.6316],
      [0.3125, 1.125],
    ],
  ],
  [
    3,
    2,
    [
      [0.9523, 0.0002],
      [0.9087, 0.0011],
      [0.8314, 0.0069],
      [0.6545, 0.0545],
      [0.4706, 0.1765],
    ],
  ],
  [
    4,
    1,
    [
      [0.9453, 0.0296],
      [0.8833, 0.1133],
      [0.7521, 0.3901],
      [0.4524, 1.2857],
      [0.2462, 2.0308],
    ],
  ],
  [
    6,
    1,
    [
      [0.9395, 0.0809],
      [0.8591, 0.3297],
      [0.6735, 1.1511],
      [0.3293, 3.0363],
      [0.1666, 4.001],
    ],
  ],
  [
    6,
    2,
    [
      [0.9519, 0.0032],
      [0.9057, 0.0227],
      [0.8141, 0.1384],
      [0.563, 0.9334],
      [0.3252, 2.0973],
    ],
  ],
  [
    10,
    2,
    [
      [0.9505, 0.0198],
      [0.8961, 0.1425],
      [0.7596, 0.8845],
      [0.3963, 4.0559],
      [0.2, 6.0005],
    ],
  ],
];
const ratios = [0.05, 0.1, 0.2, 0.5, 1];

describe("machine interference", () => {
  it("gives the book's 0.3297 for six machines and one hand, 0.3389 for twenty and three, at a tenth (W. Feller vol. 1, ch. XVII, from memory)", () => {
    expect(machineInterference({ machines: 6, hands: 1, serviceRatio: 0.1 }).waiting).toBeCloseTo(0.3297, 4);
    expect(machineInterference({ machines: 20, hands: 3, serviceRatio: 0.1 }).waiting).toBeCloseTo(0.3389, 4);
  });

  it("gives the table of running shares and waiting numbers", () => {
    for (const [machines, hands, values] of table)
      values.forEach(([running, waiting], index) => {
        const found = machineInterference({ machines, hands, serviceRatio: ratios[index]! });
        expect(Math.abs(found.runningShare - running)).toBeLessThan(6e-5);
        expect(Math.abs(found.waiting - waiting)).toBeLessThan(6e-5);
        expect(found.runningShare + found.servedShare + found.waitingShare).toBeCloseTo(1, 12);
        expect(found.served).toBeCloseTo(found.runningShare * machines * ratios[index]!, 10);
      });
  });

  it("with services equally long gives the table of machines running (H. Ashcroft 1950; the table of PLANNING.md)", () => {
    const running: Record<number, readonly number[]> = {
      0.05: [1.903, 2.85, 3.795, 5.673, 9.368],
      0.1: [1.81, 2.701, 3.579, 5.278, 8.21],
      0.2: [1.641, 2.411, 3.123, 4.264, 4.988],
      0.5: [1.245, 1.673, 1.906, 1.999, 2.0],
    };
    for (const [ratio, row] of Object.entries(running))
      [2, 3, 4, 6, 10].forEach((machines, index) => {
        const found = steadyInterference({ machines, serviceRatio: Number(ratio) });
        expect(Math.abs(found.runningShare * machines - row[index]!)).toBeLessThan(6e-4);
      });
  });

  it("is none for a machine alone, or when nothing is to be served", () => {
    expect(machineInterference({ machines: 1, hands: 1, serviceRatio: 0.3 }).waiting).toBe(0);
    expect(steadyInterference({ machines: 1, serviceRatio: 0.3 }).waiting).toBeCloseTo(0, 12);
    expect(steadyInterference({ machines: 3, serviceRatio: 0 }).runningShare).toBe(1);
  });

  it("agrees with machines and hands simulated event by event", () => {
    for (const [machines, hands] of [
      [3, 1],
      [4, 2],
    ] as const) {
      const seen = simulatedWaiting({ machines, hands, serviceRatio: 0.2, chance: seededChance(17) });
      const told = machineInterference({ machines, hands, serviceRatio: 0.2 }).waiting;
      expect(Math.abs(seen / told - 1)).toBeLessThan(0.06);
    }
  });
});

describe("waiting, by chance and by practice", () => {
  const load = { machines: 3, hands: 1, runS: 60_000, servedS: 12_000 };

  it("is told apart", () => {
    const found = waitingCompared({ ...load, waitedS: 12_000 })!;
    expect(found.byChance).toBeCloseTo(0.178 / 3, 3);
    expect(found.byChanceSteady).toBeLessThan(found.byChance);
    expect(found.sentence).toBe(
      "The machines waited for hands 14 % of their time. With 3 machines and 1 person at this load, chance alone makes 3.6 % to 5.9 %: the 124 min beyond that are practice, not chance.",
    );
  });

  it("within the two closed forms is chance, below them better than chance", () => {
    expect(waitingCompared({ ...load, waitedS: 3600 })!.sentence).toContain("the waiting is chance");
    expect(waitingCompared({ ...load, waitedS: 0 })!.sentence).toContain("sooner than chance");
    expect(waitingCompared({ ...load, waitedS: 0 })!.beyondChanceS).toBe(0);
  });

  it("is not told of a day on which nothing ran", () => {
    expect(waitingCompared({ ...load, runS: 0, waitedS: 100 })).toBeNull();
  });
});

/** The mean number waiting over a long simulated time: the next event of the Markov chain's machines, one by one. */
function simulatedWaiting(asked: {
  readonly machines: number;
  readonly hands: number;
  readonly serviceRatio: number;
  readonly chance: Chance;
}): number {
  const { machines, hands, serviceRatio, chance } = asked;
  const exponential = (mean: number) => -mean * Math.log(1 - chance.next());
  const endsAt = Array.from({ length: machines }, () => exponential(1));
  const state: ("runs" | "waits" | "served")[] = endsAt.map(() => "runs");
  const line: number[] = [];
  let now = 0;
  let area = 0;
  const serve = (machine: number) => {
    state[machine] = "served";
    endsAt[machine] = now + exponential(serviceRatio);
  };
  for (let event = 0; event < 300_000; event++) {
    const moving = endsAt.map((at, machine) => (state[machine] === "waits" ? Infinity : at));
    const next = moving.indexOf(Math.min(...moving));
    area += line.length * (moving[next]! - now);
    now = moving[next]!;
    if (state[next] === "served") {
      state[next] = "runs";
      endsAt[next] = now + exponential(1);
      if (line.length > 0) serve(line.shift()!);
    } else if (state.filter((one) => one === "served").length < hands) serve(next);
    else {
      state[next] = "waits";
      line.push(next);
    }
  }
  return area / now;
}
