/**
 * The floor, simulated: how fast a season plays, what the same luck is worth, how often limits hold, and how the shop
 * that decides from moment to moment stands against the planner and a careful person on sample days.
 */
import fs from "node:fs";
import path from "node:path";
import { seededChance } from "#core/base";
import { type Plan, type Problem, solve } from "#core/planning";
import {
  certain,
  changedShop,
  compileShop,
  dispatch,
  estimateOf,
  type Measure,
  measuresOf,
  play,
  type Season,
} from "../../src/core/floor/simulation";
import { someSeason, variedSeason } from "../../src/core/floor/simulation/some-shops";

const seeds = (count: number, from = 1) => Array.from({ length: count }, (_, at) => from + at);
const processorMs = (what: () => void): number => {
  const from = process.cpuUsage();
  what();
  const { user, system } = process.cpuUsage(from);
  return (user + system) / 1000;
};

function speed(): void {
  console.log("a season of 10,000 pieces on 3 machines (bar: under 1 s on one core), ms of processor time");
  const shop = someSeason(seededChance(1), 10_000, 60);
  const compile = processorMs(() => compileShop(shop));
  const compiled = compileShop(shop);
  const plays = seeds(6).map((seed) => processorMs(() => void play(compiled, { seed }, dispatch())));
  console.log(`  made ready ${compile.toFixed(0)}; played ${plays.map((ms) => ms.toFixed(0)).join(", ")}`);
}

function sameLuck(): void {
  console.log(
    "one more frame, 40 seasons of 26 days: variance of the difference on two lucks / on the same (bar: 5)",
  );
  const more = (seed: number) =>
    changedShop(variedSeason(seed, 26), [{ change: "hoops", hoop: "small", more: 1 }], seed);
  const measured = (shop: ReturnType<typeof variedSeason>, seed: number) =>
    measuresOf(play(compileShop(shop), { seed }, dispatch()), 18);
  const today = seeds(40).map((seed) => measured(variedSeason(seed, 26), seed));
  const changed = seeds(40).map((seed) => measured(more(seed), seed));
  const variance = (values: readonly number[]) => {
    const mean = values.reduce((sum, one) => sum + one, 0) / values.length;
    return values.reduce((sum, one) => sum + (one - mean) ** 2, 0) / (values.length - 1);
  };
  for (const measure of Object.keys(today[0]!) as Measure[]) {
    const same = variance(changed.map((one, at) => one[measure] - today[at]![measure]));
    const apart = variance(changed.map((one, at) => one[measure] - today[(at + 1) % 40]![measure]));
    const { low, high } = estimateOf(changed.map((one, at) => one[measure] - today[at]![measure]));
    console.log(
      `  ${measure.padEnd(24)} ${(apart / same).toFixed(1).padStart(7)}   ${low.toFixed(4)} … ${high.toFixed(4)}`,
    );
  }
}

function limitsHold(): void {
  console.log("95 % limits of a difference on a shop whose truth is known (breaks): held in (bar: 93–97 %)");
  const shop = someSeason(seededChance(4), 25, 60);
  const withBreaks = (breakEveryStitches: number) =>
    compileShop({ ...shop, chances: { ...shop.chances, breakEveryStitches, spoiledShare: 0 } });
  const [often, seldom] = [withBreaks(10_000), withBreaks(20_000)];
  const stitches = shop.problem.jobs.reduce(
    (sum, { parts }) => sum + parts.reduce((all, one) => all + one.stitches, 0),
    0,
  );
  for (const pairs of [5, 8, 20]) {
    const held = seeds(400).filter((round) => {
      const differences = seeds(pairs, pairs * round).map(
        (seed) => play(often, { seed }, dispatch()).breaks - play(seldom, { seed }, dispatch()).breaks,
      );
      const { low, high } = estimateOf(differences);
      return low <= stitches / 20_000 && stitches / 20_000 <= high;
    });
    console.log(`  ${String(pairs).padStart(3)} pairs: ${((100 * held.length) / 400).toFixed(1)} %`);
  }
}

function costOf(problem: Problem, season: Season): { cost: number; lateMinutes: number } {
  let weighted = 0;
  let lateS = 0;
  season.endOf.forEach((end, at) => {
    const { dueAt, weight } = problem.jobs[at]!;
    const late = dueAt === null ? 0 : Math.max(0, end - dueAt);
    weighted += weight * late;
    lateS += late;
  });
  const { perLateMinute, perThreading, perMidStop, perFinishMinute } = problem.cost;
  return {
    cost:
      (perLateMinute * weighted + perFinishMinute * season.endS) / 60 +
      perThreading * season.threadings +
      perMidStop * season.midStops,
    lateMinutes: lateS / 60,
  };
}

function againstPlanner(): void {
  const folder = path.join(import.meta.dirname, "../../../shared/benchmarks/problems");
  if (!fs.existsSync(folder)) {
    console.log("sample days: ../shared is not there, left out");
    return;
  }
  const careful = JSON.parse(fs.readFileSync(path.join(folder, "CAREFUL-PERSON.txt"), "utf8")) as Record<
    string,
    { cost: number; threadings: number; lateMinutes: number }
  >;
  console.log(
    "sample days, nothing left to chance: cost (threadings, late minutes) of moment to moment | careful person | planner, 2,000 evaluations",
  );
  const shares: number[] = [];
  for (const [name, person] of Object.entries(careful)) {
    const given = JSON.parse(fs.readFileSync(path.join(folder, `${name}.json`), "utf8")) as Problem;
    const problem: Problem = {
      ...given,
      machines: given.machines.map((machine) => ({
        ...machine,
        fixed: machine.fixed ?? [],
        down: machine.down ?? [],
      })),
      jobs: given.jobs.map((job) => ({ ...job, machines: job.machines ?? null })),
    };
    const season = play(compileShop({ problem, chances: certain, care: [] }), { seed: 1 }, dispatch());
    const own = costOf(problem, season);
    const plan: Plan = solve(problem, { evaluations: 2000, bounds: "quick" });
    shares.push(own.cost / plan.totals.cost);
    const words = (cost: number, threadings: number, late: number) =>
      `${cost.toFixed(0).padStart(5)} (${threadings}, ${late.toFixed(0)})`;
    console.log(
      `  ${name.padEnd(14)} ${words(own.cost, season.threadings, own.lateMinutes).padEnd(18)} | ${words(person.cost, person.threadings, person.lateMinutes).padEnd(18)} | ${words(plan.totals.cost, plan.totals.threadings, plan.totals.lateMinutes)}`,
    );
  }
  const mean = Math.exp(shares.reduce((sum, one) => sum + Math.log(one), 0) / shares.length);
  console.log(`  moment to moment over planner, geometric mean: ${mean.toFixed(2)}`);
}

speed();
sameLuck();
limitsHold();
againstPlanner();
