/**
 * The shared problems by the clock, through the built program's command line on all the threads given: a search asked for
 * a short time, one asked for a longer time, the careful person's plan, and the bound that the longer one proved.
 * `npm run bench quality/planning-clock [seconds, 2] [--reference seconds, 60] [--threads n, 2] [--seed n] [--only name]`
 * For a quiet computer: its seconds are the clock's.
 */
import { spawn } from "node:child_process";
import { existsSync, readdirSync, readFileSync } from "node:fs";
import path from "node:path";
import { parseProblem } from "#contract";
import { carefulPerson, type Plan } from "#core/planning";

const words = process.argv.slice(2);
const after = (flag: string, without: number): number =>
  words.includes(flag) ? Number(words[words.indexOf(flag) + 1]) || without : without;
const seconds = Number(words.find((word, at) => Number(word) > 0 && !words[at - 1]?.startsWith("--")) ?? 2);
const referenceS = after("--reference", 60);
const threads = after("--threads", 2);
const seed = after("--seed", 1);
const only = words.includes("--only") ? words[words.indexOf("--only") + 1]! : "";
const problems = path.join(import.meta.dirname, "../../../shared/benchmarks/problems");
const program = path.join(import.meta.dirname, "../../bin/spoolwright.mjs");

interface Searched {
  readonly plan: Plan;
  /** From the start of the program to the first plan told of. */
  readonly firstMs: number;
  readonly mostMb: number;
}

/** One search as a person starts it, from a cold start. */
function search(file: string, forS: number): Promise<Searched> {
  return new Promise((resolve, reject) => {
    let firstMs = 0;
    const asked = ["plan", file, "--seconds", forS, "--threads", threads, "--seed", seed, "--json"];
    const startMs = performance.now();
    const child = spawn(process.execPath, [program, ...asked.map(String)], {
      stdio: ["ignore", "pipe", "pipe"],
    });
    let out = "";
    let mostMb = 0;
    const watch = setInterval(() => {
      const status = `/proc/${child.pid}/status`;
      if (existsSync(status))
        mostMb = Number(/VmHWM:\s+(\d+)/.exec(readFileSync(status, "utf8"))?.[1] ?? 0) / 1024;
    }, 500);
    child.stdout.on("data", (chunk: Buffer) => (out += chunk.toString()));
    child.stderr.on("data", (chunk: Buffer) => {
      if (firstMs === 0 && /^cost [\d.]+/m.test(chunk.toString())) firstMs = performance.now() - startMs;
    });
    child.once("close", (status) => {
      clearInterval(watch);
      if (status !== 0) return reject(new Error(`${file}: ended with ${status}`));
      resolve({ plan: JSON.parse(out) as Plan, firstMs, mostMb });
    });
  });
}

const percent = (share: number): string => `${(100 * share).toFixed(1)} %`;
const row = (cells: readonly string[]): void =>
  console.log(cells.map((cell, at) => (at === 0 ? cell.padEnd(14) : cell.padStart(10))).join(""));

if (!existsSync(problems)) console.log("The shared problems are not at hand.");
else {
  row([
    "problem",
    `${seconds} s`,
    `${referenceS} s`,
    "above",
    "careful",
    "bound",
    "gap",
    "first ms",
    "MB",
    "tried",
  ]);
  const aboves: number[] = [];
  const gaps: number[] = [];
  for (const file of readdirSync(problems).filter((one) => one.endsWith(".json") && one.includes(only))) {
    const where = path.join(problems, file);
    const short = await search(where, seconds);
    const { plan, mostMb } = await search(where, referenceS);
    const shortCost = short.plan.totals.cost;
    const careful = carefulPerson(parseProblem(JSON.parse(readFileSync(where, "utf8")))).totals.cost;
    const above = shortCost / plan.totals.cost - 1;
    const gap = shortCost / plan.bounds.cost - 1;
    aboves.push(above);
    gaps.push(gap);
    row([
      file.replace(".json", ""),
      shortCost.toFixed(1),
      plan.totals.cost.toFixed(1),
      percent(above),
      careful.toFixed(1),
      plan.bounds.cost.toFixed(1),
      percent(gap),
      short.firstMs.toFixed(0),
      mostMb.toFixed(0),
      String(short.plan.solver.evaluations),
    ]);
  }
  const mean = (values: readonly number[]) => values.reduce((sum, one) => sum + one, 0) / values.length;
  console.log(`above in the mean ${percent(mean(aboves))}, most ${percent(Math.max(...aboves))}; gap in the mean ${percent(mean(gaps))}`); // prettier-ignore
}
