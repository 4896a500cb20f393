/**
 * Planning anew after an event: a random day of 200 events on 60 pieces and 3 machines. Prints how long the answer at
 * once takes (the problem made ready, some hundred evaluations, needless moves undone), how many pieces it moves, and
 * what looking on brings. Every plan goes through the independent checker.
 */
import { seededChance } from "#core/base";
import {
  checkPlan,
  createReplanning,
  type Plan,
  type Problem,
  problemWhileRunning,
  solve,
} from "#core/planning";
import { after, type Happening, happenings, onFloor, standingAt } from "../../src/core/planning/some-day";
import { seededDay } from "../quality/seeded-day";

const EVENTS = 200;
const PIECES = 60;
/** Evaluations for the answer at once, and after it: about the three seconds the program goes on for. */
const AT_ONCE = 600;
const LOOK = 6000;

const chance = seededChance(7);
const day = seededDay({ jobs: 400, machines: 3, hands: 2, seed: 60 });
const open = [[0, 400_000]] as const;
const stock = [...day.jobs];
/** The next piece; due as far from now as it was from the start of its day. */
const next = () => stock.pop()!;
let problem: Problem = {
  ...day,
  jobs: Array.from({ length: PIECES }, next),
  hands: day.hands.map((hand) => ({ ...hand, shifts: open })),
  open,
};
let plan: Plan = solve(problem, { evaluations: 12_000 });
const took: number[] = [];
const moved = new Map<Happening, number[]>(happenings.map((one) => [one, []]));
const movedLater: number[] = [];
const gaps: (readonly [atOnce: number, later: number])[] = [];
let faults = 0;
let floorS = 0;
const faultsOf = (own: Problem, made: Plan): number =>
  // Nothing is proven about these plans, so bounds are not looked at.
  checkPlan(own, made).findings.length;

for (let event = 0; event < EVENTS; event++) {
  const seconds = 60 + chance.below(500);
  floorS += seconds;
  let standing = standingAt(problem, plan, seconds);
  while (standing.problem.jobs.length < PIECES - 1)
    standing = { ...standing, problem: { ...standing.problem, jobs: [...standing.problem.jobs, next()] } };
  const what = happenings[event % happenings.length]!;
  const floor = after(what, standing, chance, () => ({ ...next(), dueAt: 9000 }));
  const begun = problemWhileRunning(floor.problem, floor.running);
  const startMs = performance.now();
  const going = createReplanning(begun.problem, { begun: begun.first, previous: plan }, event);
  going.step(AT_ONCE);
  const atOnce = going.plan({ seconds: 0, seed: event });
  took.push(performance.now() - startMs);
  going.step(LOOK);
  const later = going.plan({ seconds: 0, seed: event });
  faults += faultsOf(begun.problem, atOnce) + faultsOf(begun.problem, later);
  moved.get(what)!.push(Number(atOnce.solver["moved"]));
  movedLater.push(Number(later.solver["moved"]));
  if (event % 20 === 0) {
    const wishes = { begun: begun.first };
    const free = solve(begun.problem, { evaluations: 12_000, wishes, bounds: "quick" }).totals.cost;
    gaps.push([100 * (atOnce.totals.cost / free - 1), 100 * (later.totals.cost / free - 1)]);
  }
  ({ problem, plan } = onFloor(floor, begun, later));
}

const share = (values: readonly number[], part: number) =>
  [...values].sort((a, b) => a - b)[Math.min(values.length - 1, Math.floor(part * values.length))] ?? 0;
const mean = (values: readonly number[]) =>
  values.reduce((sum, one) => sum + one, 0) / Math.max(1, values.length);
console.log(
  `${EVENTS} events in ${(floorS / 3600).toFixed(0)} h, ${PIECES} pieces on 3 machines, faults ${faults}`,
);
console.log(
  `answer at once: p50 ${share(took, 0.5).toFixed(0)} ms, p95 ${share(took, 0.95).toFixed(0)} ms, most ${share(took, 1).toFixed(0)} ms`,
);
for (const [what, counts] of moved)
  console.log(
    `  ${what.padEnd(26)} pieces moved: mean ${mean(counts).toFixed(1)}, p95 ${share(counts, 0.95)}, most ${share(counts, 1)}`,
  );
console.log(`after ${LOOK} evaluations more: ${mean(movedLater).toFixed(1)} moved in the mean`);
for (const [index, which] of ["the answer at once", "the later one"].entries()) {
  const own = gaps.map((gap) => gap[index]!);
  console.log(
    `cost of ${which} above a plan from nothing with 12,000 evaluations, free to move everything: mean ${mean(own).toFixed(1)} %, most ${share(own, 1).toFixed(1)} %`,
  );
}
