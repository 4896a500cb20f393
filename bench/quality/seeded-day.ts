import { type Chance, pick, seededChance } from "#core/base";
import type { Problem } from "#core/planning";

const colours = ["white", "black", "navy", "ivory", "red", "sky", "gold", "rose", "sand", "mint", "teal", "plum", "olive", "rust", "slate", "lemon"]; // prettier-ignore

/** A colour by Zipf's law: white and black are common, lemon is rare. */
function someColour(chance: Chance): string {
  const total = colours.reduce((sum, _, at) => sum + 1 / (at + 1), 0);
  let draw = chance.next() * total;
  for (const [at, colour] of colours.entries()) {
    draw -= 1 / (at + 1);
    if (draw < 0) return colour;
  }
  return colours[0]!;
}

/** A made-up studio's day with due times that can just be kept. */
export function seededDay(asked: { jobs: number; machines: number; hands: number; seed: number }): Problem {
  const chance = seededChance(asked.seed);
  const between = (least: number, most: number) => least + chance.below(most - least + 1);
  return {
    format: "spoolwright/problem@1",
    hands: Array.from({ length: asked.hands }, (_, h) => ({ id: `hand ${h + 1}`, shifts: [[0, 14_400], [16_200, 43_200]] })), // prettier-ignore
    open: [[0, 46_800]],
    hoops: [{ id: "large", count: 6 }, { id: "small", count: 6 }], // prettier-ignore
    machines: Array.from({ length: asked.machines }, (_, m) => {
      const needles = m === 0 ? 6 : 10;
      return {
        id: `machine ${m + 1}`,
        needles,
        threaded: Array.from({ length: needles }, () => (chance.below(2) === 0 ? someColour(chance) : null)),
        fixed: [],
        hoops: ["large", "small"],
        down: m === 0 ? [[7200, 9000] as const] : [],
        stitchesPerMinute: 700 + 50 * chance.below(4),
        colourChangeS: 8,
        trimS: 6,
        threadS: 60,
        loadS: 85,
        unloadS: 30,
      };
    }),
    jobs: Array.from({ length: asked.jobs }, (_, j) => ({
      id: `job ${j + 1}`,
      parts: Array.from({ length: between(1, 6) }, () => ({
        colour: someColour(chance),
        stitches: between(700, 4000),
      })),
      trims: between(2, 12),
      hoop: pick(["large", "small"], chance),
      machines: null,
      releaseAt: 0,
      dueAt: between(9000, 42_000),
      weight: pick([1, 2, 5], chance),
      hoopS: pick([45, 60, 150], chance),
      unhoopS: 30,
      finishS: pick([90, 120, 180], chance),
    })),
    chores: Array.from({ length: asked.machines }, (_, m) => ({
      id: `oil machine ${m + 1}`,
      machine: `machine ${m + 1}`,
      seconds: 240,
      releaseAt: 10_800,
      dueAt: 18_000,
      weight: 1,
    })),
    cost: { perLateMinute: 2, perThreading: 1.5, perMidStop: 4, perFinishMinute: 0.5 },
  };
}
