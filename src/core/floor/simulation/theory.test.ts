import { describe, expect, it } from "vitest";
import { seededChance } from "#core/base";
import { certain, compileShop, dispatch, play, type SimulatedShop } from ".";
import { interferenceShop, MEAN_RUN_S, queueShop } from "./some-shops";

// The engine that plays the shop, played where the answer is known. Means over batches of one long run, the first of
// them left out (the run begins with all machines at a stand); a batch is long against the time between services.

const BATCHES = 41;

interface Seen {
  readonly mean: number;
  readonly standardError: number;
}

function batchMeans(values: readonly number[]): Seen {
  const mean = values.reduce((sum, one) => sum + one, 0) / values.length;
  const squares = values.reduce((sum, one) => sum + (one - mean) ** 2, 0);
  return { mean, standardError: Math.sqrt(squares / (values.length - 1) / values.length) };
}

/** Share of time a machine runs, and number waiting, from what the floor tells. */
function interference(shop: SimulatedShop, machines: number, seed: number): { running: Seen; waiting: Seen } {
  const sewing: [number, number][] = [];
  const serving: [number, number][] = [];
  // Until the last piece is loaded all machines have work.
  let until = 0;
  play(
    compileShop(shop),
    {
      seed,
      tell: ({ what, start, end }) => {
        (what === "sewing" ? sewing : serving).push([start, end]);
        if (what === "task") until = Math.max(until, start);
      },
    },
    dispatch(),
  );
  until -= 20 * MEAN_RUN_S;
  const length = until / BATCHES;
  const filled = (spans: readonly (readonly [number, number])[]): Float64Array => {
    const sums = new Float64Array(BATCHES);
    for (const [start, end] of spans)
      for (let at = Math.floor(start / length); at < BATCHES && at * length < end; at++)
        sums[at]! += Math.min(end, (at + 1) * length) - Math.max(start, at * length);
    return sums;
  };
  const running = [...filled(sewing)].slice(1).map((sum) => sum / length);
  const served = [...filled(serving)].slice(1).map((sum) => sum / length);
  return {
    running: batchMeans(running.map((one) => one / machines)),
    waiting: batchMeans(running.map((one, at) => machines - one - served[at]!)),
  };
}

/** The cells of the tables, all within three standard errors, and not too close either: their mean square is about one. */
function holds(
  cells: readonly { readonly seen: Seen; readonly value: number; readonly cell: string }[],
): void {
  const deviations = cells.map(({ seen, value, cell }) => ({
    cell,
    z: (seen.mean - value) / seen.standardError,
  }));
  expect(deviations.filter(({ z }) => !(Math.abs(z) < 3))).toEqual([]);
  const meanSquare = deviations.reduce((sum, { z }) => sum + z * z, 0) / deviations.length;
  expect(meanSquare).toBeGreaterThan(0.5);
  expect(meanSquare).toBeLessThan(1.6);
}

const ratios = [0.05, 0.1, 0.2, 0.5, 1];

/** Finite-source queue by W. Feller, vol. 1, ch. XVII: share of time a machine runs, mean number waiting. */
const exponential: readonly (readonly [machines: number, hands: number, cells: readonly (readonly [number, number])[]])[] = [
  [2, 1, [[0.9502, 0.0045], [0.9016, 0.0164], [0.8108, 0.0541], [0.6, 0.2], [0.4, 0.4]]],
  [3, 1, [[0.9479, 0.0142], [0.8931, 0.0527], [0.7839, 0.178], [0.5263, 0.6316], [0.3125, 1.125]]],
  [3, 2, [[0.9523, 0.0002], [0.9087, 0.0011], [0.8314, 0.0069], [0.6545, 0.0545], [0.4706, 0.1765]]],
  [4, 1, [[0.9453, 0.0296], [0.8833, 0.1133], [0.7521, 0.3901], [0.4524, 1.2857], [0.2462, 2.0308]]],
  [6, 1, [[0.9395, 0.0809], [0.8591, 0.3297], [0.6735, 1.1511], [0.3293, 3.0363], [0.1666, 4.001]]],
  [6, 2, [[0.9519, 0.0032], [0.9057, 0.0227], [0.8141, 0.1384], [0.563, 0.9334], [0.3252, 2.0973]]],
  [10, 2, [[0.9505, 0.0198], [0.8961, 0.1425], [0.7596, 0.8845], [0.3963, 4.0559], [0.2, 6.0005]]],
]; // prettier-ignore

/** One hand, constant service: H. Ashcroft, J. Royal Statistical Society B 12 (1950) 145–151; mean number running. */
const constant: readonly (readonly [ratio: number, running: readonly number[]])[] = [
  [0.05, [1.903, 2.85, 3.795, 5.673, 9.368]],
  [0.1, [1.81, 2.701, 3.579, 5.278, 8.21]],
  [0.2, [1.641, 2.411, 3.123, 4.264, 4.988]],
  [0.5, [1.245, 1.673, 1.906, 1.999, 2]],
];

describe("machines that wait for hands", () => {
  it("wait as long as the finite-source queue says, in every cell", () => {
    holds(
      exponential.flatMap(([machines, hands, cells], row) =>
        cells.flatMap(([running, waiting], column) => {
          const ratio = ratios[column]!;
          const shop = interferenceShop({ machines, hands, ratio }, 2500);
          const seen = interference(shop, machines, 300 + 100 * row + column);
          const cell = `${machines} machines, ${hands} hands, r = ${ratio}`;
          return [
            { seen: seen.running, value: running, cell },
            // Printed to four decimals: where next to nobody waits the last one counts.
            ...(waiting < 0.01 ? [] : [{ seen: seen.waiting, value: waiting, cell: `${cell}, waiting` }]),
          ];
        }),
      ),
    );
  });

  it("run as many as Ashcroft's table says where service is constant", () => {
    holds(
      constant.flatMap(([ratio, running], row) =>
        [2, 3, 4, 6, 10]
          // Where the hand is never idle nothing is left to chance, and there is no standard error.
          .map((machines, at) => ({ machines, value: running[at]! / machines }))
          .filter(({ machines }) => machines * ratio < 2)
          .map(({ machines, value }) => {
            const shop = interferenceShop({ machines, hands: 1, ratio }, 1500, "none");
            const cell = `${machines} machines, r = ${ratio}`;
            return { seen: interference(shop, machines, 7000 + 10 * row + machines).running, value, cell };
          }),
      ),
    );
  });
});

describe("pieces that queue for machines", () => {
  // M/M/c: L. Kleinrock, Queueing Systems vol. 1 (1975), ch. 3; A. K. Erlang's delay formula.
  const erlangWait = (machines: number, load: number): number => {
    let term = 1;
    let sum = 1;
    for (let n = 1; n < machines; n++) sum += term *= load / n;
    const last = (term * load) / machines / (1 - load / machines);
    return last / (sum + last);
  };

  it.each([
    [1, 0.5],
    [1, 0.8],
    [2, 0.7],
    [3, 0.85],
  ])(
    "go through %i equal machines at load %f in the time of the formula, and as many are in as Little says",
    (machines, use) => {
      const serviceS = 1000;
      const gapS = serviceS / (machines * use);
      const load = machines * use;
      const theory = serviceS + (erlangWait(machines, load) * serviceS) / (machines - load);
      const through: number[] = [];
      const inside: number[] = [];
      const rate: number[] = [];
      for (let seed = 1; seed <= 12; seed++) {
        const shop = queueShop({ machines, serviceS, gapS }, 4000, seededChance(seed));
        let [area, before, span] = [0, 0, 0];
        let number = 0;
        const season = play(
          compileShop(shop),
          {
            seed,
            watch: ({ now, arrived, done }) => {
              area += number * (now - before);
              before = span = now;
              number = arrived - done;
            },
          },
          dispatch(),
        );
        through.push(season.meanThroughS);
        inside.push(area / span);
        rate.push(season.done / span);
      }
      const seen = batchMeans(through);
      expect(Math.abs(seen.mean - theory) / seen.standardError).toBeLessThan(3);
      // Little's law holds for each run by itself: J. D. C. Little, Operations Research 9 (1961) 383–387.
      inside.forEach((one, at) => expect(one / (rate[at]! * through[at]!)).toBeCloseTo(1, 9));
    },
  );

  it("is busy the whole time its only machine has work, to the second", () => {
    const shop = queueShop({ machines: 1, serviceS: 500, gapS: 1e-6 }, 300, seededChance(2));
    const season = play(compileShop({ ...shop, chances: certain }), { seed: 1 }, dispatch());
    expect(season.endS).toBeGreaterThanOrEqual(300 * 500);
    expect(season.endS).toBeLessThan(300 * 500 + 1);
  });
});
