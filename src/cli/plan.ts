import { readFileSync } from "node:fs";
import { availableParallelism } from "node:os";
import { type Command, InvalidArgumentError, Option } from "commander";
import { Refusal } from "#core/base";
import { checkPlan, type Plan } from "#core/planning";
import { solveInWorkers } from "#app";
import { parseProblem } from "#contract";

interface PlanOptions {
  readonly seconds: number;
  readonly seed: number;
  readonly threads: number;
  readonly evaluations?: number;
  readonly json?: boolean;
}

const defaultThreads = Math.max(1, availableParallelism() - 1);

/** `spoolwright plan PROBLEM.json`: solves one planning problem. */
export function addPlanCommand(program: Command): void {
  program
    .command("plan")
    .description("solve one planning problem (spoolwright/problem@1) and print the plan")
    .argument("<problem>", "the problem's JSON file; - reads standard input")
    .addOption(new Option("--seconds <s>", "how long to search").argParser(numberFrom(0, 86_400)).default(10))
    .addOption(new Option("--seed <n>", "seed of chance").argParser(wholeFrom(0, 2 ** 31 - 1)).default(1))
    .addOption(
      new Option("--threads <n>", "threads that search").argParser(wholeFrom(1, 256)).default(defaultThreads),
    )
    .addOption(new Option("--evaluations <n>", "stop at this many evaluations").argParser(wholeFrom(1, 1e12)))
    .option("--json", "print one JSON document, the plan (spoolwright/plan@1), and nothing else")
    .action(async (file: string, options: PlanOptions) => {
      process.exitCode = await planFile(file, options);
    });
}

async function planFile(file: string, options: PlanOptions): Promise<number> {
  const say = (line: string): void => void process.stderr.write(`${line}\n`);
  let problem;
  try {
    problem = parseProblem(readJson(file));
  } catch (trouble) {
    if (!(trouble instanceof Refusal) && !(trouble instanceof Unreadable)) throw trouble;
    say(trouble.message);
    if (trouble instanceof Refusal) {
      for (const { field, found, expected } of trouble.details)
        say(`  ${field}: found ${found}, expected ${expected}`);
    }
    return 2;
  }
  const stopping = new AbortController();
  const interrupt = (): void => stopping.abort();
  process.once("SIGINT", interrupt);
  try {
    const plan = await solveInWorkers(problem, {
      ...options,
      evaluations: options.evaluations,
      signal: stopping.signal,
      onTrouble: (trouble) =>
        say(`The search broke off early: ${trouble instanceof Error ? trouble.message : String(trouble)}`),
      onProgress: ({ best, bound }) =>
        say(
          `cost ${best.cost.toFixed(2)} (no plan goes below ${bound.cost.toFixed(2)}), ${best.threadings} threadings, ${best.lateJobs} late, ${best.evaluations} evaluations`,
        ),
    });
    const { findings } = checkPlan(problem, plan);
    if (findings.length > 0) {
      say("The plan found breaks its own rules; it is not given out:");
      for (const finding of findings.slice(0, 20)) say(`  ${finding.message}`);
      return 1;
    }
    await print(options.json ? `${JSON.stringify(plan)}\n` : summary(plan));
    return 0;
  } catch (trouble) {
    say(`No plan was found: ${trouble instanceof Error ? trouble.message : String(trouble)}`);
    return 1;
  } finally {
    process.off("SIGINT", interrupt);
  }
}

class Unreadable extends Error {}

function readJson(file: string): unknown {
  let text: string;
  try {
    text = readFileSync(file === "-" ? 0 : file, "utf8");
  } catch (trouble) {
    throw new Unreadable(`${file} cannot be read: ${(trouble as Error).message}`);
  }
  try {
    return JSON.parse(text.replace(/^\uFEFF/, ""));
  } catch (trouble) {
    throw new Unreadable(`${file} is not JSON: ${(trouble as Error).message}`);
  }
}

/** A pipe takes only so much at a time: wait until all is written. */
const print = (text: string): Promise<void> =>
  new Promise((resolve) => process.stdout.write(text, () => resolve()));

function summary(plan: Plan): string {
  const { totals, bounds, unplanned, solver } = plan;
  const lines = [
    `${plan.runs.length} jobs planned, ${totals.lateJobs === 0 ? "all on time" : `${totals.lateJobs} late by ${totals.lateMinutes.toFixed(1)} min`}`,
    `${totals.threadings} threadings (no plan needs fewer than ${bounds.threadings}), ${totals.midStops} stops inside a design`,
    `ends ${clockText(totals.finishAt)} after the start (not before ${clockText(bounds.finishAt)})`,
    `cost ${totals.cost.toFixed(2)}, proven to be at least ${bounds.cost.toFixed(2)}`,
    `${solver.evaluations} plans tried in ${solver.seconds.toFixed(1)} s`,
    ...unplanned.map((entry) => `left out: ${entry.job ?? entry.chore}: ${entry.why}`),
  ];
  return `${lines.join("\n")}\n`;
}

const clockText = (seconds: number): string =>
  `${Math.floor(seconds / 3600)} h ${String(Math.round((seconds % 3600) / 60)).padStart(2, "0")} min`;

function numberFrom(least: number, most: number) {
  return (text: string): number => {
    const value = Number(text);
    if (text.trim() === "" || !(least <= value && value <= most))
      throw new InvalidArgumentError(`Found ${text}, expected a number from ${least} to ${most}.`);
    return value;
  };
}

function wholeFrom(least: number, most: number) {
  const parse = numberFrom(least, most);
  return (text: string): number => {
    const value = parse(text);
    if (!Number.isInteger(value)) throw new InvalidArgumentError(`Found ${text}, expected a whole number.`);
    return value;
  };
}
