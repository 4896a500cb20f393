/**
 * Plans against published values, through `solve()` as anybody calls it: job sequencing and tool switching, weighted
 * tardiness, and our own synthetic days with exact values. The sets lie in ../shared and are not shipped.
 *
 *   npm run bench quality/published -- [seconds each, 10] [tools|tardiness|days …] [A1 … D4, A … D: only these sets] [to-reference]
 *
 * `to-reference` ends a tool-switching run that has come to the reference's value. Seconds are processor seconds, so that a busy machine does not change what is measured.
 */
import { existsSync, readFileSync } from "node:fs";
import path from "node:path";
import { checkPlan, type Plan, type Problem, solve } from "#core/planning";
import { toolSwitching, weightedTardiness } from "./classical";

const words = process.argv.slice(2);
const seconds = Number(words.find((word) => Number(word) > 0) ?? 10);
const toReference = words.includes("to-reference");
const parts = words.filter((word) => ["tools", "tardiness", "days"].includes(word));
const sets = words.filter((word) => /^[A-D][1-4]?$/.test(word));
const wanted = (part: string): boolean => parts.length === 0 || parts.includes(part);
const shared = path.join(import.meta.dirname, "../../../shared/benchmarks");
const numbers = (file: string): number[] =>
  readFileSync(path.join(shared, file), "utf8").trim().split(/\s+/).map(Number);

interface Solved {
  readonly plan: Plan;
  /** Processor seconds until the best was found, and in all. */
  readonly bestAtS: number;
  readonly tookS: number;
}

function solved(problem: Problem, enough: number): Solved {
  const start = process.cpuUsage().user;
  const elapsedS = () => (process.cpuUsage().user - start) / 1e6;
  let bestAtS = 0;
  let best = Infinity;
  const plan = solve(problem, {
    seed: 1,
    stop: ({ cost }) => {
      if (cost < best - 1e-9) [best, bestAtS] = [cost, elapsedS()];
      return best <= enough || elapsedS() > seconds;
    },
  });
  const { findings } = checkPlan(problem, plan);
  if (findings.length > 0) console.log(`  FAULT: ${findings[0]!.message}`);
  return { plan, bestAtS, tookS: elapsedS() };
}

const cell = (value: string | number, width = 9): string => String(value).padStart(width);
const percent = (ours: number, theirs: number): string => `${(100 * (ours / theirs - 1)).toFixed(2)} %`;

function toolsTable(): void {
  const reference = new Map<string, number>();
  for (const line of readFileSync(path.join(shared, "tool-switching/REFERENCE.txt"), "utf8").split("\n")) {
    const [name, value] = line.split(" ");
    if (name && name !== "#") reference.set(name, Number(value));
  }
  console.log(`\nTool switching (Catanzaro, Gouveia, Labbé 2015), switches, ${seconds} s each`);
  console.log(
    `${"set".padEnd(4)}${["ours", "reference", "gap", "equal", "better", "worse", "proven", "s to best"].map((head) => cell(head, 10)).join("")}`,
  );
  const all = { ours: 0, theirs: 0 };
  const notes: string[] = [];
  for (const letter of ["A", "B", "C", "D"])
    for (const size of [1, 2, 3, 4]) {
      const set = letter + size;
      if (sets.length > 0 && !sets.includes(set) && !sets.includes(letter)) continue;
      const sum = { ours: 0, theirs: 0, equal: 0, better: 0, worse: 0, proven: 0, bestAtS: 0, count: 0 };
      for (let k = 1; k <= 10; k++) {
        const name = `${set}-${k}`;
        const theirs = reference.get(name);
        if (theirs === undefined) continue;
        const { problem, needles } = toolSwitching(numbers(`tool-switching/catanzaro/${name}.txt`));
        const { plan, bestAtS } = solved(problem, toReference ? theirs + needles : 0);
        const ours = plan.totals.threadings - needles;
        sum.ours += ours;
        sum.theirs += theirs;
        sum.count++;
        sum.bestAtS += bestAtS;
        if (ours === theirs) sum.equal++;
        else {
          sum[ours < theirs ? "better" : "worse"]++;
          notes.push(`${name} ${ours} (${theirs})`);
        }
        if (plan.bounds.cost >= plan.totals.cost - 1e-6) sum.proven++;
      }
      if (sum.count === 0) continue;
      all.ours += sum.ours;
      all.theirs += sum.theirs;
      const gap = percent(sum.ours, sum.theirs);
      const row = [sum.ours, sum.theirs, gap, sum.equal, sum.better, sum.worse, sum.proven];
      console.log(
        `${set.padEnd(4)}${[...row, (sum.bestAtS / sum.count).toFixed(2)].map((value) => cell(value, 10)).join("")}`,
      );
    }
  console.log(`all ${cell(all.ours, 10)}${cell(all.theirs, 10)}${cell(percent(all.ours, all.theirs), 10)}`);
  if (notes.length > 0) console.log(`differ: ${notes.join(", ")}`);
}

function tardinessTable(): void {
  console.log(
    `\nWeighted tardiness (OR-Library wt40, wt50), ended at the published value or after ${seconds} s`,
  );
  for (const size of [40, 50]) {
    const all = numbers(`weighted-tardiness/wt${size}.txt`);
    const optima = numbers(`weighted-tardiness/wtopt${size}.txt`);
    let equal = 0;
    let worst = 0;
    let sum = 0;
    const missed: string[] = [];
    optima.forEach((optimum, k) => {
      const problem = weightedTardiness(all.slice(3 * size * k, 3 * size * (k + 1)));
      const { plan, tookS } = solved(problem, optimum + 1e-6);
      worst = Math.max(worst, tookS);
      sum += tookS;
      if (Math.round(plan.totals.cost) === optimum) equal++;
      else missed.push(`${k + 1}: ${plan.totals.cost} (${optimum})`);
    });
    console.log(
      `wt${size}: ${equal} of ${optima.length} at the published value, mean ${(sum / optima.length).toFixed(2)} s, longest ${worst.toFixed(2)} s ${missed.join(", ")}`,
    );
  }
}

function daysTable(): void {
  let equal = 0;
  let proven = 0;
  let count = 0;
  let worst = 0;
  const missed: string[] = [];
  for (const line of readFileSync(path.join(shared, "synthetic-day/EXACT.csv"), "utf8").trim().split("\n")) {
    const [file, , , , , least] = line.split(",");
    if (!/^\d+$/.test(least ?? "")) continue;
    const { problem } = toolSwitching(numbers(`synthetic-day/${path.basename(file!)}`));
    const { plan, tookS } = solved(problem, 0);
    count++;
    if (plan.totals.threadings === Number(least)) equal++;
    else missed.push(`${path.basename(file!)}: ${plan.totals.threadings} (${least})`);
    if (plan.bounds.cost >= plan.totals.cost - 1e-6) proven++;
    worst = Math.max(worst, tookS);
  }
  console.log(
    `\nSynthetic days: ${equal} of ${count} at the exact value, ${proven} proven best by ourselves, longest ${worst.toFixed(2)} s ${missed.join(", ")}`,
  );
}

if (!existsSync(shared)) {
  console.log("The published sets are not at hand (../shared/benchmarks): nothing to measure.");
} else {
  if (wanted("tools")) toolsTable();
  if (wanted("tardiness")) tardinessTable();
  if (wanted("days")) daysTable();
}
