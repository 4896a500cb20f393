/**
 * How good plans are: cost against the careful person's and against what is proven, on seeded days and on the shared
 * problems where they are at hand; the order of one machine against exact values of the synthetic days (EXACT.csv).
 * Seconds per problem: the first word of the command line that is a number, else 3.
 */
import { existsSync, readdirSync, readFileSync } from "node:fs";
import path from "node:path";
import { carefulPerson, checkPlan, type Problem, solve } from "#core/planning";
import { parseProblem } from "#contract";
import { seededDay } from "./seeded-day";

const seconds = Number(process.argv.slice(2).find((word) => Number(word) > 0) ?? 3);
const shared = path.join(import.meta.dirname, "../../../shared/benchmarks");

function show(name: string, problem: Problem): void {
  const start = performance.now();
  let firstMs = 0;
  const plan = solve(problem, {
    seed: 1,
    stop: () => {
      firstMs ||= performance.now() - start;
      return performance.now() - start > seconds * 1000;
    },
  });
  const careful = carefulPerson(problem).totals;
  const faults = checkPlan(problem, plan).findings.length;
  console.log(
    `${name.padEnd(14)} cost ${plan.totals.cost.toFixed(1).padStart(7)}  bound ${plan.bounds.cost.toFixed(1).padStart(7)}  careful ${careful.cost.toFixed(1).padStart(7)}` +
      `  threadings ${plan.totals.threadings} ≥ ${plan.bounds.threadings} (careful ${careful.threadings})  late ${plan.totals.lateJobs}` +
      `  first plan ${firstMs.toFixed(0)} ms  ${plan.solver.evaluations} evaluations${faults > 0 ? `  ${faults} FAULTS` : ""}`,
  );
}

for (const jobs of [20, 40, 60])
  show(`seeded ${jobs}`, seededDay({ jobs, machines: 3, hands: 2, seed: jobs }));

const problems = path.join(shared, "problems");
if (existsSync(problems)) {
  for (const file of readdirSync(problems).filter((name) => name.endsWith(".json"))) {
    show(
      file.replace(".json", ""),
      parseProblem(JSON.parse(readFileSync(path.join(problems, file), "utf8"))),
    );
  }
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
if (existsSync(days)) {
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
