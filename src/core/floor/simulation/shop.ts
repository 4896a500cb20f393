/** The shop as it is played: the planner's nouns over a season, and what chance does to its times. */
import { invariant } from "#core/base";
import type { Problem } from "#core/planning";
import { nameNumber, type Spread } from "./draws";
import { type Hours, hoursWithout, joinedHours } from "./hours";

/** What chance does. Every share and mean is of the shop's own measurements, or a default that says so. */
export interface Chances {
  /** Of the time a person's step takes, about its mean. */
  readonly handTimes: Spread;
  /** Of the time a stretch of sewing takes. */
  readonly sewing: Spread;
  /** Mean stitches between two broken threads; null: none breaks. */
  readonly breakEveryStitches: number | null;
  readonly mendS: number;
  /** Stitches a bobbin lasts; null: it never runs out. */
  readonly bobbinEveryStitches: number | null;
  readonly bobbinS: number;
  /** Of runs: the piece is spoiled and made again. */
  readonly spoiledShare: number;
}

/** Nothing is left to chance: each step takes what it is said to take. */
export const certain: Chances = {
  handTimes: { kind: "none" },
  sewing: { kind: "none" },
  breakEveryStitches: null,
  mendS: 0,
  bobbinEveryStitches: null,
  bobbinS: 0,
  spoiledShare: 0,
};

/** Care that comes round by hours run: the machine stands still and empty for `seconds` of a person's time. */
export interface RunCare {
  readonly machine: string;
  readonly everySewingS: number;
  readonly seconds: number;
}

export interface SimulatedShop {
  /**
   * Hands, hours, hoops, machines; `jobs` are the pieces of the season, each coming in at its `releaseAt`; `chores`
   * those known by date. Times in seconds from the season's start, on one axis over nights and closed days.
   */
  readonly problem: Pick<Problem, "hands" | "open" | "hoops" | "machines" | "jobs" | "chores">;
  readonly chances: Chances;
  readonly care: readonly RunCare[];
}

/** Names as numbers, sets as words of bits. */
export interface Compiled {
  readonly shop: SimulatedShop;
  readonly pieces: number;
  readonly machines: number;
  readonly hands: number;
  readonly chores: number;
  readonly colours: number;
  /** Words of 32 colours. */
  readonly words: number;
  /** Distinct colours of each piece, `words` a piece. */
  readonly pieceColours: Int32Array;
  readonly distinct: Uint16Array;
  /** Parts of piece p stand from partFrom[p] to partFrom[p + 1]. */
  readonly partFrom: Int32Array;
  readonly partColour: Int16Array;
  readonly partStitches: Float64Array;
  readonly trims: Float64Array;
  readonly stitches: Float64Array;
  readonly hoopKind: Int16Array;
  /** What pieces, chores and machines draw chance by. */
  readonly pieceName: Int32Array;
  readonly choreName: Int32Array;
  readonly machineName: Int32Array;
  readonly frames: readonly number[];
  /** 1 where a piece may go to a machine: `machines` a piece. */
  readonly fits: Uint8Array;
  readonly release: Float64Array;
  readonly due: Float64Array;
  readonly weight: Float64Array;
  readonly choreMachine: Int16Array;
  /** When a machine may sew: open and not down. */
  readonly sewable: readonly Hours[];
  readonly down: readonly Hours[];
  readonly care: readonly {
    readonly machine: number;
    readonly everySewingS: number;
    readonly seconds: number;
  }[];
  readonly threaded: readonly Int16Array[];
  readonly fixed: readonly Uint8Array[];
}

export function compileShop(shop: SimulatedShop): Compiled {
  const { problem } = shop;
  const { jobs, machines, hoops, chores } = problem;
  const colourOf = numbered([
    ...machines.flatMap(({ threaded }) => threaded.filter((colour) => colour !== null)),
    ...jobs.flatMap(({ parts }) => parts.map(({ colour }) => colour)),
  ]);
  const machineOf = numbered(machines.map(({ id }) => id));
  const kindOf = numbered(hoops.map(({ id }) => id));
  const colours = colourOf.size;
  const words = Math.max(1, Math.ceil(colours / 32));
  const parts = jobs.reduce((sum, job) => sum + job.parts.length, 0);
  const compiled = {
    pieceColours: new Int32Array(words * jobs.length),
    distinct: new Uint16Array(jobs.length),
    partFrom: new Int32Array(jobs.length + 1),
    partColour: new Int16Array(parts),
    partStitches: new Float64Array(parts),
    stitches: new Float64Array(jobs.length),
    fits: new Uint8Array(machines.length * jobs.length),
  };
  let part = 0;
  jobs.forEach((job, p) => {
    for (const { colour, stitches } of job.parts) {
      const number = colourOf.get(colour)!;
      const word = p * words + (number >> 5);
      if (((compiled.pieceColours[word]! >>> (number & 31)) & 1) === 0) compiled.distinct[p]!++;
      compiled.pieceColours[word]! |= 1 << (number & 31);
      compiled.partColour[part] = number;
      compiled.partStitches[part++] = stitches;
      compiled.stitches[p]! += stitches;
    }
    compiled.partFrom[p + 1] = part;
    machines.forEach((machine, m) => {
      const takes = job.hoop === null || machine.hoops.includes(job.hoop);
      const allowed = job.machines === null || job.machines.includes(machine.id);
      compiled.fits[p * machines.length + m] = takes && allowed ? 1 : 0;
    });
  });
  const down = machines.map((machine) => joinedHours(machine.down));
  const open = joinedHours(problem.open);
  return {
    ...compiled,
    shop,
    pieces: jobs.length,
    machines: machines.length,
    hands: problem.hands.length,
    chores: chores.length,
    colours,
    words,
    trims: Float64Array.from(jobs, ({ trims }) => trims),
    hoopKind: Int16Array.from(jobs, ({ hoop }) => (hoop === null ? -1 : known(kindOf, hoop, "hoop"))),
    pieceName: Int32Array.from(jobs, ({ id }) => nameNumber(id)),
    choreName: Int32Array.from(chores, ({ id }) => nameNumber(`chore ${id}`)),
    machineName: Int32Array.from(machines, ({ id }) => nameNumber(`machine ${id}`)),
    frames: hoops.map(({ count }) => count),
    release: Float64Array.from(jobs, ({ releaseAt }) => releaseAt),
    due: Float64Array.from(jobs, ({ dueAt }) => dueAt ?? Infinity),
    weight: Float64Array.from(jobs, ({ weight }) => weight),
    choreMachine: Int16Array.from(chores, ({ machine }) =>
      machine === null ? -1 : known(machineOf, machine, "machine"),
    ),
    sewable: down.map((taken) => hoursWithout(open, taken)),
    down,
    care: shop.care.map(({ machine, ...rest }) => ({
      machine: known(machineOf, machine, "machine"),
      ...rest,
    })),
    threaded: machines.map(({ needles, threaded }) =>
      Int16Array.from({ length: needles }, (_, n) => {
        const colour = threaded[n] ?? null;
        return colour === null ? -1 : colourOf.get(colour)!;
      }),
    ),
    fixed: machines.map(({ needles, fixed }) =>
      Uint8Array.from({ length: needles }, (_, n) => (fixed.includes(n + 1) ? 1 : 0)),
    ),
  };
}

function numbered(names: readonly string[]): Map<string, number> {
  const numbers = new Map<string, number>();
  for (const name of names) if (!numbers.has(name)) numbers.set(name, numbers.size);
  return numbers;
}

function known(numbers: Map<string, number>, name: string, noun: string): number {
  const number = numbers.get(name);
  invariant(number !== undefined, `a ${noun} that is named is there`);
  return number;
}

/** Whole seconds a stretch sews for: the planner's own rule (docs/formats/problem.md). */
export function stretchSeconds(
  { shop, partFrom, partColour, partStitches, trims }: Compiled,
  piece: number,
  machine: number,
  from: number,
  to: number,
): number {
  const { stitchesPerMinute, colourChangeS, trimS } = shop.problem.machines[machine]!;
  let stitches = 0;
  let changes = 0;
  for (let part = from; part <= to; part++) {
    stitches += partStitches[part]!;
    if (part > from && partColour[part] !== partColour[part - 1]) changes++;
  }
  const isLast = to === partFrom[piece + 1]! - 1;
  return Math.ceil(
    (60 * stitches) / stitchesPerMinute + colourChangeS * changes + (isLast ? trimS * trims[piece]! : 0),
  );
}
