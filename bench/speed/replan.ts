/**
 * Planning anew after an event: a random day of 200 events on 60 pieces and 3 machines. Prints how long the answer at
 * once takes (p50, p95; the problem made ready, some hundred evaluations, needless moves undone), how many pieces it
 * moves, and what a long look would have saved. Every plan goes through the independent checker.
 */
import { seededChance } from "#core/base";
import { checkPlan, problemWhileRunning, replan, solve } from "#core/planning";
import { after, happenings, onFloor, standingAt, type Happening } from "../../src/core/planning/some-day";
import { seededDay } from "../quality/seeded-day";

const EVENTS = 200;
const PIECES = 60;
const chance = seededChance(7);
const day = seededDay({ jobs: 400, machines: 3, hands: 2, seed: 60 });
const stock = [...day.jobs];
let at = 0;
let clockS = 0;
/** Due in the same distance from now as it was from the day's start. */
const next = () => stock[at++]!;
const long = [[0, 400_000]] as const;
let problem = {
  ...day,
  jobs: Array.from({ length: PIECES }, next),
  hands: day.hands.map((hand) => ({ ...hand, shifts: [...long] })),
  open: [...long],
};
let plan = solve(problem, { evaluations: 12_000 });
const took: number[] = [];
const moved = new Map<Happening, number[]>(happenings.map((one) => [one, []]));
const gaps: number[] = [];
let faults = 0;
for (let event = 0; event < EVENTS; event++) {
  const seconds = 60 + chance.below(500);
  clockS += seconds;
  let standing = standingAt(problem, plan, seconds);
  while (standing.problem.jobs.length < PIECES - 1)
    standing = { ...standing, problem: { ...standing.problem, jobs: [...standing.problem.jobs, next()] } };
  const what = happenings[event % happenings.length]!;
  const floor = after(what, standing, chance, () => ({ ...next(), dueAt: 9000 }));
  const begun = problemWhileRunning(floor.problem, floor.running);
  const wishes = { begun: begun.first, previous: plan };
  const startMs = performance.now();
  const again = replan(begun.problem, wishes, { seed: event });
  took.push(performance.now() - startMs);
  faults += checkPlan(begun.problem, again).findings.filter(({ code }) => !code.startsWith("bound")).length;
  moved.get(what)!.push(Number(again.solver["moved"]));
  if (event % 20 === 0) {
    const longer = solve(begun.problem, {
      evaluations: 12_000,
      wishes: { begun: begun.first },
      bounds: "quick",
    });
    gaps.push(100 * (again.totals.cost / longer.totals.cost - 1));
  }
  ({ problem, plan } = onFloor(floor, begun, again));
}
const sorted = (values: readonly number[]) => [...values].sort((a, b) => a - b);
const share = (values: readonly number[], part: number) =>
  sorted(values)[Math.min(values.length - 1, Math.floor(part * values.length))] ?? 0;
const mean = (values: readonly number[]) =>
  values.reduce((sum, one) => sum + one, 0) / Math.max(1, values.length);
console.log(
  `${EVENTS} events, ${PIECES} pieces on 3 machines, ${(clockS / 3600).toFixed(0)} h of floor; faults: ${faults}`,
);
console.log(
  `an answer: p50 ${share(took, 0.5).toFixed(0)} ms, p95 ${share(took, 0.95).toFixed(0)} ms, most ${share(took, 1).toFixed(0)} ms`,
);
for (const [what, counts] of moved)
  console.log(
    `  ${what.padEnd(26)} moved: mean ${mean(counts).toFixed(1)}, p95 ${share(counts, 0.95)}, most ${share(counts, 1)}`,
  );
console.log(
  `cost above a plan made from nothing with 12,000 evaluations: mean ${mean(gaps).toFixed(1)} %, most ${share(gaps, 1).toFixed(1)} %`,
);
