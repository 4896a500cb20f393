import type { shapes } from "#contract";
import { careChores, dueCare, type ExpectedRun } from "#core/care";
import type { Problem } from "#core/planning";
import { addDays, instantOf, localTime } from "#core/shop";
import type { Store } from "#store";
import type { PlanClock } from "../plan-clock";
import type { SeenPlan } from "../plan-floor";
import { caredMachines, careDone, type KeptMachine } from "./meters";
import { careRules } from "./rules";

/** Care that falls due while the plan in force is worked off, as chores of the next plan. */

export interface CareOfPlan {
  readonly chore: Problem["chores"][number];
  readonly context: shapes.PlannedChore;
}

/** Care is laid for today and tomorrow; further off, how much will have been sewn is a guess. */
const DAYS_AHEAD = 2;
/** A minute of late oiling weighs half of a minute of a late piece. */
const WEIGHT = 0.5;

export async function careOfPlan(asked: {
  readonly db: Store["db"];
  readonly clock: PlanClock;
  readonly machines: ReadonlyMap<string, KeptMachine>;
  readonly seen: SeenPlan | null;
  readonly startsAtMs: number;
}): Promise<CareOfPlan[]> {
  const { db, clock, seen, startsAtMs } = asked;
  const { studio } = clock;
  const machines = [...asked.machines.values()].filter((machine) => !machine.archived);
  const [{ rules }, cared, done] = await Promise.all([
    careRules(db),
    caredMachines({ db, studio, machines, nowMs: startsAtMs }),
    careDone(db, studio),
  ]);
  const standings = dueCare({ rules, machines: cared, done });
  const today = localTime(studio.body.timeZone, startsAtMs).date;
  const dayStarts = Array.from({ length: DAYS_AHEAD }, (_, day) =>
    Math.round((instantOf(studio.body.timeZone, addDays(today, day), 0) - startsAtMs) / 1000),
  );
  const chores = careChores({
    rules,
    standings,
    runs: seen ? expectedRuns(seen, startsAtMs) : [],
    from: 0,
    to: Math.round((instantOf(studio.body.timeZone, addDays(today, DAYS_AHEAD), 0) - startsAtMs) / 1000),
    dayStarts,
  });
  const byRule = new Map(rules.map((rule) => [rule.id, rule]));
  return chores.flatMap(({ id, ruleId, machineId, needle, seconds, releaseAt, dueAt }) => {
    const rule = byRule.get(ruleId)!;
    const machine = asked.machines.get(machineId);
    if (!machine) return [];
    const isPlanned = machine.kind !== "straight-stitch" && machine.needles.length > 0;
    return [
      {
        chore: { id, machine: isPlanned ? machineId : null, seconds, releaseAt, dueAt, weight: WEIGHT },
        context: {
          choreId: id,
          title: needle === null ? rule.name : `${rule.name} ${needle}`,
          machineId,
          pieceIds: [],
          orderReference: null,
          shipBy: null,
          ruleId,
          needle,
          instructions: [...rule.instructions],
          caution: rule.caution,
        },
      },
    ];
  });
}

/** What the plan in force still has to sew, by the new plan's clock. */
function expectedRuns(seen: SeenPlan, startsAtMs: number): ExpectedRun[] {
  const offsetS = Math.round((seen.startsAtMs - startsAtMs) / 1000);
  return seen.plan.runs.flatMap((run) => {
    const start = run.stretches[0]!.start + offsetS;
    const end = run.stretches.at(-1)!.end + offsetS;
    const runS = run.stretches.reduce((sum, one) => sum + one.end - one.start, 0);
    if (end <= 0) return [];
    const share = runS / Math.max(1, run.needles.length);
    const needles = new Map<number, number>();
    for (const needle of run.needles) needles.set(needle, (needles.get(needle) ?? 0) + share);
    return [
      {
        machineId: run.machine,
        start,
        end,
        runS,
        stitches: 0,
        pieces: 1,
        needles: [...needles].map(([number, needleS]) => ({ number, runS: needleS, stitches: 0 })),
      },
    ];
  });
}
