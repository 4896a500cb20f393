/**
 * How good plans are: cost against the careful person's, against what is proven and, when asked, against a longer
 * search of the same planner; on seeded days and on the shared problems where they are at hand. Then the order of one
 * machine against exact values of the synthetic days (EXACT.csv). One thread; seconds are of processor time, so that a
 * busy computer does not count.
 * `npm run bench quality/planning [seconds] [--reference seconds] [--seeds n] [--only name]`: seconds for each problem,
 * 2 when left out; the mean of n seeds, 1 when left out. With a longer search beside it, threadings and lateness are
 * those of the longer one.
 */
import { existsSync, readdirSync, readFileSync } from "node:fs";
import path from "node:path";
import { carefulPerson, checkPlan, type Plan, type Problem, solve } from "#core/planning";
import { parseProblem } from "#contract";
import { seededDay } from "./seeded-day";

const words = process.argv.slice(2);
const after = (flag: string): string | undefined =>
  words.includes(flag) ? words[words.indexOf(flag) + 1] : undefined;
const referenceS = words.includes("--reference") ? Number(after("--reference")) || 60 : 0;
const seeds = Number(after("--seeds") ?? 1);
const only = after("--only") ?? "";
const seconds = Number(words.find((word, at) => Number(word) > 0 && !words[at - 1]?.startsWith("--")) ?? 2);
const shared = path.join(import.meta.dirname, "../../../shared/benchmarks");

interface Row {
  readonly cost: number;
  readonly careful: number;
  /** The bound's, in parts of the bound. */
  readonly gap: number;
  readonly threadings: number;
  readonly carefulThreadings: number;
  readonly later: boolean;
  readonly above: number | null;
}

const heading = ["problem", "cost", "careful", "reference", "above", "bound", "gap", "threadings", "careful", "late min", "careful", "first ms", "tried"]; // prettier-ignore
const widths = [14, 8, 8, 9, 7, 8, 7, 10, 7, 8, 8, 8, 9];
const line = (cells: readonly string[]): void =>
  console.log(
    cells.map((cell, at) => (at === 0 ? cell.padEnd(widths[0]!) : cell.padStart(widths[at]!))).join(" "),
  );
const percent = (share: number): string => `${(100 * share).toFixed(1)}%`;

/** Seconds of processor time this process has had. */
const processorS = (): number => {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1e6;
};

interface Made {
  readonly plan: Plan;
  readonly firstMs: number;
  /** The cost when the shorter time was over. */
  readonly shortCost: number;
}

/** One search, looked at when `forS` are over and again when the longer time is. */
function planFor(problem: Problem, seed: number): Made {
  const start = processorS();
  let firstMs = 0;
  let shortCost = 0;
  const plan = solve(problem, {
    seed,
    stop: ({ cost }) => {
      const passedS = processorS() - start;
      firstMs ||= passedS * 1000;
      if (passedS > seconds) shortCost ||= cost;
      return passedS > Math.max(seconds, referenceS);
    },
  });
  return { plan, firstMs, shortCost: shortCost || plan.totals.cost };
}

const mean = (values: readonly number[]): number => values.reduce((sum, one) => sum + one, 0) / values.length;

function show(name: string, problem: Problem): Row {
  const made = Array.from({ length: seeds }, (_, at) => planFor(problem, at + 1));
  const { plan, firstMs } = made[0]!;
  const shortCost = mean(made.map((one) => one.shortCost));
  const reference = referenceS > 0 ? mean(made.map((one) => one.plan.totals.cost)) : null;
  const { totals, bounds } = plan;
  const careful = carefulPerson(problem).totals;
  const faults = made.reduce((sum, one) => sum + checkPlan(problem, one.plan).findings.length, 0);
  const gap = bounds.cost > 0 ? shortCost / bounds.cost - 1 : 0;
  const above = reference === null ? null : shortCost / reference - 1;
  line([
    name,
    shortCost.toFixed(1),
    careful.cost.toFixed(1),
    reference?.toFixed(1) ?? "",
    above === null ? "" : percent(above),
    bounds.cost.toFixed(1),
    percent(gap),
    String(totals.threadings),
    String(careful.threadings),
    totals.lateMinutes.toFixed(1),
    careful.lateMinutes.toFixed(1),
    firstMs.toFixed(0),
    String(plan.solver.evaluations),
  ]);
  if (faults > 0) console.log(`  ${faults} FAULTS`);
  return {
    cost: shortCost,
    careful: careful.cost,
    gap,
    threadings: totals.threadings,
    carefulThreadings: careful.threadings,
    later: totals.lateMinutes > careful.lateMinutes + 1e-9,
    above,
  };
}

line(heading);
for (const jobs of only ? [] : [20, 40, 60])
  show(`seeded ${jobs}`, seededDay({ jobs, machines: 3, hands: 2, seed: jobs }));

const problems = path.join(shared, "problems");
if (existsSync(problems)) {
  const rows: Row[] = [];
  for (const file of readdirSync(problems).filter((one) => one.endsWith(".json") && one.includes(only))) {
    const problem = parseProblem(JSON.parse(readFileSync(path.join(problems, file), "utf8")));
    rows.push(show(file.replace(".json", ""), problem));
  }
  const sum = (of: (row: Row) => number): number => rows.reduce((all, row) => all + of(row), 0);
  const threadings = sum((row) => row.threadings);
  const careful = sum((row) => row.carefulThreadings);
  const aboves = rows.flatMap((row) => (row.above === null ? [] : [row.above]));
  console.log(
    `${rows.filter((row) => row.cost > row.careful).length} of ${rows.length} cost more than the careful person's, ` +
      `${rows.filter((row) => row.later).length} are later; ` +
      `${threadings} threadings against ${careful}: ${percent(1 - threadings / careful)} fewer; ` +
      `gap to the own bound ${percent(sum((row) => row.gap) / rows.length)} in the mean` +
      (aboves.length > 0 ? `; at most ${percent(Math.max(...aboves))} above ${referenceS} s` : ""),
  );
}

/** A machine with empty needles, nothing but threadings counted: each design's colours at once on needles. */
function oneMachine(text: string): Problem {
  const [jobs, colours, needles, ...cells] = text.trim().split(/\s+/).map(Number);
  return {
    format: "spoolwright/problem@1",
    hands: [{ id: "hand", shifts: [[0, 1e6]] }],
    open: [[0, 1e6]],
    hoops: [],
    machines: [
      { id: "machine", needles: needles!, threaded: Array<null>(needles!).fill(null), fixed: [], hoops: [], down: [], stitchesPerMinute: 60, colourChangeS: 0, trimS: 0, threadS: 1, loadS: 0, unloadS: 0 },
    ], // prettier-ignore
    jobs: Array.from({ length: jobs! }, (_, j) => ({
      id: `job ${j + 1}`,
      parts: Array.from({ length: colours! }, (__, c) => c).filter((c) => cells[c * jobs! + j] === 1).map((c) => ({ colour: `c${c}`, stitches: 1 })),
      trims: 0, hoop: null, machines: null, releaseAt: 0, dueAt: null, weight: 1, hoopS: 0, unhoopS: 0, finishS: 0,
    })), // prettier-ignore
    chores: [],
    cost: { perLateMinute: 0, perThreading: 1, perMidStop: 1000, perFinishMinute: 0 },
  };
}

const days = path.join(shared, "synthetic-day");
if (existsSync(days) && !only) {
  let exact = 0;
  let all = 0;
  let over = 0;
  for (const line of readFileSync(path.join(days, "EXACT.csv"), "utf8").trim().split("\n")) {
    const [file, , , , , least] = line.split(",");
    if (!/^\d+$/.test(least ?? "")) continue;
    const problem = oneMachine(readFileSync(path.join(days, path.basename(file!)), "utf8"));
    const found = solve(problem, { seed: 1, evaluations: 30_000 }).totals.threadings;
    all++;
    if (found === Number(least)) exact++;
    over += found - Number(least);
  }
  console.log(
    `synthetic days, one machine: ${exact} of ${all} at the proven optimum after 30,000 evaluations, ${over} threadings over in all`,
  );
}
