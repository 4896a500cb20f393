import type { shapes } from "#contract";
import {
  type CareRule,
  type CareState,
  type DayUse,
  dueCare,
  forecastService,
  isRuleOf,
  liftCaution,
  machineRecord,
  type Meters,
  needleBreaks,
  type NeedleChanged,
  type NeedleUse,
} from "#core/care";
import { learnBreaks, learnedBreaks, type Run } from "#core/floor";
import { localTime } from "#core/shop";
import type { Store } from "#store";
import type { Answers, Context } from "../context";
import { floorRefusals } from "../floor/refusals";
import { eventOf, runOfRow, takenBackBy } from "../floor/rows";
import { eventWords } from "../floor/words";
import { usedBy } from "../floor/following";
import { allOf, studioOf, type StudioKept } from "../records";
import { refuseApp } from "../refusals";
import { caredMachines, careDone, estimatedBetween, type KeptMachine, meterOf } from "./meters";
import { careFeed } from "./feed";
import { recordPdf } from "./record-sheet";
import { takeTrips, tripsOf, type WithMachinesAway } from "./trips";
import { careRules, keepCareRules } from "./rules";

type Reader = Store["db"];
type CareAnswers = Pick<
  Answers,
  | "careNow"
  | "keepCareRules"
  | "serviceTrips"
  | "takeTrips"
  | "careCalendar"
  | "machineRecord"
  | "machineRecordSheet"
>;

/** Seconds each machine is planned to sew from now on, by day. */
export type PlannedUse = () => Promise<ReadonlyMap<string, readonly DayUse[]>>;

/** From a table to a car's sill, held at arm's reach before the body (common practice, no source); cm. */
const USUAL_LIFT = { fromCm: 75, toCm: 60, reachCm: 40 };
/** Needles and service look back so far. */
const LOOK_BACK_MS = 400 * 86_400_000;

export interface CarePlanning {
  readonly plannedUse: PlannedUse;
  readonly withMachinesAway: WithMachinesAway;
}

export function careAnswers(context: Context, planning: CarePlanning): CareAnswers {
  const { plannedUse } = planning;
  const { store, nowMs } = context;
  const { db } = store;
  const studioNow = async (): Promise<StudioKept> => {
    const studio = await studioOf(db);
    if (!studio) throw refuseApp("not-set-up", "There is no studio whose machines could be cared for.");
    return studio;
  };
  const recordOf = async (id: string) => {
    const studio = await studioNow();
    const machine = (await allOf(db, "machines")).get(id);
    if (!machine) throw floorRefusals("machine-unknown", `There is no machine ${id}.`);
    return { studio, machine, record: await theRecord(context, studio, machine) };
  };
  const careNow = async () => {
    const studio = await studioNow();
    const machines = [...(await allOf(db, "machines")).values()].filter((machine) => !machine.archived);
    const [{ rules, areOwn }, cared, done, planned] = await Promise.all([
      careRules(db),
      caredMachines({ db, studio, machines, nowMs: nowMs() }),
      careDone(db, studio),
      plannedUse(),
    ]);
    const standings = dueCare({ rules, machines: cared, done });
    return {
      rules: rules.map(openRule),
      areOwn,
      machines: await Promise.all(
        machines.map(async (machine, at) => {
          const meter = await meterOf(db, studio, machine, nowMs());
          const runs = await runsOf(db, machine.id, nowMs() - LOOK_BACK_MS);
          return {
            machineId: machine.id,
            name: machine.name,
            kind: machine.kind,
            meter: { ...meter, differences: [...meter.differences] },
            stitches: cared[at]!.now.stitches,
            pieces: cared[at]!.now.pieces,
            standings: standings.filter((one) => one.machineId === machine.id),
            lifting:
              typeof machine.weightKg === "number"
                ? liftCaution({ weightKg: machine.weightKg, ...USUAL_LIFT }).sentence
                : null,
            needles: await needlesOf(db, studio, machine, runs),
            service: serviceOf({
              studio,
              machine,
              rules,
              done,
              now: cared[at]!.now,
              since: cared[at]!.since,
              runs,
              planned: planned.get(machine.id) ?? [],
            }),
          };
        }),
      ),
    };
  };
  return {
    careNow,
    serviceTrips: async ({ query }) => {
      const studio = await studioNow();
      const { machines } = await careNow();
      return tripsOf({
        studio,
        machines,
        ...query,
        nowMs: nowMs(),
        withMachinesAway: planning.withMachinesAway,
      });
    },
    takeTrips: async ({ body }, call) => ({ machineIds: await takeTrips(store, call, body.trips) }),
    careCalendar: async (_asked, call) => {
      const studio = await studioNow();
      const { machines, rules } = await careNow();
      const text = careFeed({
        ...{ machines, rules, nowMs: nowMs(), origin: call.origin },
        studioName: studio.body.name,
        today: localTime(studio.body.timeZone, nowMs()).date,
      });
      return { bytes: new TextEncoder().encode(text), mediaType: "text/calendar" };
    },
    keepCareRules: async ({ body }, call) => {
      await keepCareRules(store, call.who, body.rules);
      const { rules, areOwn } = await careRules(db);
      return { rules: rules.map(openRule), areOwn };
    },
    machineRecord: async ({ params }) => {
      const { machine, record } = await recordOf(params.id);
      return { machineId: machine.id, name: machine.name, ...record };
    },
    machineRecordSheet: async ({ params, query }) => {
      const { studio, machine, record } = await recordOf(params.id);
      const bytes = await recordPdf({
        studioName: studio.body.name,
        machine,
        record,
        day: localTime(studio.body.timeZone, nowMs()).date,
        timeZone: studio.body.timeZone,
        paper: query.paper === "" ? studio.body.paper : query.paper,
        nowMs: nowMs(),
      });
      return { bytes, mediaType: "application/pdf", saveAs: `${machine.name} record.pdf` };
    },
  };
}

/** A rule as it travels: its lists are the answer's own. */
const openRule = (rule: CareRule) => ({
  ...rule,
  of: "kinds" in rule.of ? { kinds: [...rule.of.kinds] } : { machineIds: [...rule.of.machineIds] },
  instructions: [...rule.instructions],
});

async function runsOf(db: Reader, machineId: string, sinceMs: number): Promise<Run[]> {
  const rows = await db
    .selectFrom("floor_runs")
    .select("run")
    .where("machine_id", "=", machineId)
    .where("ended_at_ms", ">=", sinceMs)
    .orderBy("ended_at_ms")
    .execute();
  return rows.map(runOfRow);
}

/** Each needle with its life so far, and what its thread breaks say. */
async function needlesOf(
  db: Reader,
  studio: StudioKept,
  machine: KeptMachine,
  runs: readonly Run[],
): Promise<shapes.CareOfMachine["needles"]> {
  const zone = studio.body.timeZone;
  const changeRows = await db
    .selectFrom("floor_registers")
    .selectAll()
    .where("kind", "=", "needle-changed")
    .where("subject", "in", machine.needles.map((needle) => `${machine.id}/${needle.number}`).concat(""))
    .orderBy("at_ms")
    .execute();
  const changes = changeRows.map((row): NeedleChanged => ({
    machineId: machine.id,
    needle: Number(row.subject.slice(row.subject.lastIndexOf("/") + 1)),
    atMs: row.at_ms,
    day: localTime(zone, row.at_ms).date,
    why: (JSON.parse(row.value) as { why: NeedleChanged["why"] }).why,
  }));
  const uses = runs.flatMap((run) => usesOf(run, machine.id, zone));
  const rate = learnedBreaks(
    learnBreaks(
      uses.map((use) => ({
        machineId: machine.id,
        threadId: null,
        stitches: use.stitches,
        breaks: use.breaks,
        atMs: use.atMs,
      })),
    ),
    { machineId: null, threadId: null, fixed: null },
  );
  const told = new Map(
    needleBreaks({ uses, changes, usualPerThousand: rate.estimate }).map((one) => [one.needle, one]),
  );
  return machine.needles.map((needle) => {
    const breaks = told.get(needle.number);
    const changed = changes.filter((change) => change.needle === needle.number).at(-1);
    const own = uses.filter((use) => use.needle === needle.number && use.atMs > (changed?.atMs ?? -Infinity));
    return {
      number: needle.number,
      sizeNm: needle.sizeNm,
      point: needle.point,
      threadId: needle.threadId,
      runS: Math.round((60 * needle.stitchesSinceChange) / Math.max(1, machine.stitchesPerMinute)),
      stitches: needle.stitchesSinceChange,
      changedAtMs: changed?.atMs ?? null,
      breaks: own.reduce((sum, use) => sum + use.breaks, 0),
      warning: breaks?.state === "rising" ? breaks.sentence : null,
    };
  });
}

function usesOf(run: Run, machineId: string, zone: string): NeedleUse[] {
  const whole = Math.max(1, run.facts?.stitches ?? 1);
  const atMs = run.endedAtMs!;
  return [...usedBy(run).needles].map(([key, stitches]) => {
    const needle = Number(key.slice(key.lastIndexOf("/") + 1));
    return {
      machineId,
      needle,
      atMs,
      day: localTime(zone, atMs).date,
      runS: (run.sewedMs / 1000) * (stitches / whole),
      stitches,
      breaks: run.stops.filter((stop) => stop.why === "thread-broke" && stop.needle === needle).length,
    };
  });
}

/** The next service away from the house, as a range of dates; null where no rule asks for one by hours. */
function serviceOf(asked: {
  readonly studio: StudioKept;
  readonly machine: KeptMachine;
  readonly rules: readonly CareRule[];
  readonly done: readonly CareState[];
  readonly now: Meters;
  readonly since: Meters;
  readonly runs: readonly Run[];
  readonly planned: readonly DayUse[];
}): shapes.CareOfMachine["service"] {
  const { studio, machine, now, since } = asked;
  const rule = asked.rules.find((one) => one.needsAway && one.by === "run-hours" && isRuleOf(one, machine));
  if (!rule) return null;
  const last = asked.done.find((one) => one.machineId === machine.id && one.ruleId === rule.id);
  const past = new Map<string, number>();
  for (const run of asked.runs) {
    const day = localTime(studio.body.timeZone, run.endedAtMs!).date;
    if (day < now.day) past.set(day, (past.get(day) ?? 0) + run.sewedMs / 1000);
  }
  const found = forecastService({
    machineName: machine.name,
    everyHours: rule.every,
    sinceHours: (now.runS - (last?.at ?? since).runS) / 3600,
    today: now.day,
    past: [...past].map(([day, runS]) => ({ day, runS })).sort((a, b) => (a.day < b.day ? -1 : 1)),
    planned: asked.planned,
    openHours: studio.body.openHours,
    daysOff: studio.body.closedDays,
  });
  return { ...found, path: found.path.map((one) => ({ ...one })) };
}

/** Everything the log knows of a machine's health. */
async function theRecord({ store, nowMs }: Context, studio: StudioKept, machine: KeptMachine) {
  const { db } = store;
  const kinds = ["care-done", "repaired", "needle-changed", "meter-read", "machine-down", "taken-back"];
  const [rows, counted, runs, { rules }, meter, estimated] = await Promise.all([
    db
      .selectFrom("floor_events")
      .selectAll()
      .where("machine_id", "=", machine.id)
      .where("kind", "in", kinds)
      .orderBy("at_ms", "desc")
      .execute(),
    caredMachines({ db, studio, machines: [machine], nowMs: nowMs() }),
    runsOf(db, machine.id, 0),
    careRules(db),
    meterOf(db, studio, machine, nowMs()),
    estimatedBetween(db, machine.id, -1, nowMs()),
  ]);
  const taken = takenBackBy(rows);
  const standing = rows.filter((row) => row.kind !== "taken-back" && !taken.has(row.id));
  const ruleOf = new Map(rules.map((rule) => [rule.id, rule]));
  const isService = (row: (typeof standing)[number]) => {
    const event = eventOf(row);
    return event?.kind === "care-done" && (ruleOf.get(event.ruleId)?.needsAway ?? false);
  };
  const { now } = counted[0]!;
  const record = machineRecord({
    meterHours: meter.hours,
    loggedHours: now.runS / 3600,
    loggedStitches: now.stitches,
    estimatedHours: estimated.hours,
    estimatedStitches: estimated.stitches,
    services: standing.filter(isService).length,
    repairs: standing.filter((row) => row.kind === "repaired").length,
    threadBreaks: runs.reduce(
      (sum, run) => sum + run.stops.filter((stop) => stop.why === "thread-broke").length,
      0,
    ),
  });
  const names = {
    machine: () => machine.name,
    person: () => "a person",
    thread: (id: string) => id,
    piece: () => "a piece",
    state: (state: string) => state,
  };
  return {
    sentences: [...record.sentences],
    lines: standing.map((row) => {
      const event = eventOf(row);
      const rule = event?.kind === "care-done" ? ruleOf.get(event.ruleId) : undefined;
      const note = event?.kind === "care-done" && event.note ? ` (${event.note})` : "";
      return {
        atMs: row.at_ms,
        who: row.who,
        what: rule ? `${rule.name}${note}` : eventWords(row, names).replace(`${machine.name}: `, ""),
      };
    }),
  };
}
