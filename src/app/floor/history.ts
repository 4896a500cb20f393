import type { shapes } from "#contract";
import {
  type MinuteUse,
  minuteUses,
  type Register,
  type Run,
  sumOfUses,
  type UsedSpan,
  usedMinutes,
  waitingCompared,
} from "#core/floor";
import { addDays, daysBetween, downSpans, instantOf, machineTimes, openSpans } from "#core/shop";
import type { Store } from "#store";
import type { Answers, Context } from "../context";
import { allOf, inPortions, type Kept, studioOf, type StudioKept } from "../records";
import { floorRefusals } from "./refusals";
import { type HandEvent, handsOf } from "./hand-history";
import { besideOf, eventOf, registerOf, runOfRow, takenBackBy } from "./rows";

/** The floor's history: where the minutes of days went, planned against real, and how much of the waiting is chance. */

type Reader = Store["db"];
type Machine = Kept<shapes.MachineBody>;
type Span = readonly [number, number];

const MOST_DAYS = 92;
/** Care without a time of its own took about so long (common practice, no source). */
const USUAL_CARE_S = 300;
/** One prewound bobbin (TRADE.md; common practice, no source). */
const STITCHES_A_BOBBIN = 30_000;

export function historyAnswers({ store, nowMs }: Context): Pick<Answers, "floorHistory"> {
  const { db } = store;
  return {
    floorHistory: async ({ query: { from, to } }) => {
      const days = daysBetween(from, to) + 1;
      if (days < 1 || MOST_DAYS < days)
        throw floorRefusals("history-too-long", `From ${from} to ${to} are ${days} days.`);
      const [studio, machines, people] = await Promise.all([
        studioOf(db),
        allOf(db, "machines"),
        allOf(db, "people"),
      ]);
      const zone = studio?.body.timeZone ?? "UTC";
      const [fromMs, toMs] = [instantOf(zone, from, 0), instantOf(zone, addDays(to, 1), 0)];
      const told = await toldBetween(db, fromMs, toMs);
      const ended = told.runs.filter(
        (run) => run.endedAtMs !== null && fromMs <= run.endedAtMs && run.endedAtMs < toMs,
      );
      const embroidery = [...machines.values()].filter(
        (machine) => machine.kind !== "straight-stitch" && machine.needles.length > 0,
      );
      const dayLines = studio
        ? Array.from({ length: days }, (_, day) =>
            dayOf({
              studio,
              people: [...people.values()],
              machines: embroidery,
              told,
              date: addDays(from, day),
              nowMs: nowMs(),
            }),
          )
        : [];
      const seconds = added(dayLines.flatMap((day) => day.machines.map((machine) => machine.seconds)));
      const hands = [...people.values()].filter(
        (person) => !person.archived && person.skills.includes("hoop"),
      ).length;
      const working = new Set(
        dayLines.flatMap((day) =>
          day.machines.filter((one) => one.seconds.sewing > 0).map((one) => one.machineId),
        ),
      ).size;
      const stitches = ended.reduce((sum, run) => sum + (run.facts?.stitches ?? 0), 0);
      return {
        from,
        to,
        days: dayLines,
        machines: embroidery.map(({ id, name }) => ({ id, name })),
        people: [...people.values()].map(({ id, name }) => ({ id, name })),
        runs: await runLines(db, ended),
        totals: {
          seconds,
          pieces: new Set(ended.filter((run) => run.stage !== "spoiled").map((run) => run.pieceId)).size,
          spoiled: new Set(ended.filter((run) => run.stage === "spoiled").map((run) => run.pieceId)).size,
          stitches,
          breaks: ended.reduce((sum, run) => sum + breaksOf(run), 0),
          threadMetres: Math.round(
            ended.reduce(
              (sum, run) => sum + (run.facts?.parts.reduce((mm, part) => mm + part.threadMm, 0) ?? 0),
              0,
            ) / 1000,
          ),
          bobbins: Math.round((10 * stitches) / STITCHES_A_BOBBIN) / 10,
        },
        waiting: waitingCompared({
          machines: working,
          hands,
          runS: seconds.sewing,
          servedS: seconds.threading + seconds.loading + seconds.mending,
          waitedS: seconds["waiting-hands"],
        }),
      };
    },
  };
}

const breaksOf = (run: Run): number => run.stops.filter((stop) => stop.why === "thread-broke").length;

interface Told {
  readonly events: readonly HandEvent[];
  readonly runs: readonly Run[];
  /** When machines were away by what the floor told; machine id to spans. */
  readonly down: ReadonlyMap<string, readonly Span[]>;
  /** The same of people. */
  readonly away: ReadonlyMap<string, readonly Span[]>;
}

async function toldBetween(db: Reader, fromMs: number, toMs: number): Promise<Told> {
  const [rows, runRows, downRows] = await Promise.all([
    db
      .selectFrom("floor_events")
      .selectAll()
      .where("at_ms", ">=", fromMs)
      .where("at_ms", "<", toMs)
      .orderBy("at_ms")
      .execute(),
    db
      .selectFrom("floor_runs")
      .select("run")
      .where("last_at_ms", ">=", fromMs)
      .where("last_at_ms", "<", toMs + 7 * 86_400_000)
      .execute(),
    db
      .selectFrom("floor_registers")
      .selectAll()
      .where("kind", "in", ["down", "away"])
      .where("at_ms", "<", toMs)
      .orderBy("at_ms")
      .orderBy("event_id")
      .execute(),
  ]);
  const taken = takenBackBy(rows);
  const events = rows.flatMap((row): HandEvent[] => {
    const event = taken.has(row.id) ? null : eventOf(row);
    return event ? [{ event, hand: besideOf(row).hand ?? null }] : [];
  });
  const registers = downRows.map(registerOf);
  const of = (kind: Register["kind"]) => downFrom(registers.filter((one) => one.kind === kind));
  return { events, runs: runRows.map(runOfRow), down: of("down"), away: of("away") };
}

/** A machine told down, a person told away, is so until the time told or until something else is told of it, whichever comes first. */
function downFrom(registers: readonly Register[]): Map<string, Span[]> {
  const spans = new Map<string, Span[]>();
  for (const [at, register] of registers.entries()) {
    const { untilMs } = register.value as { untilMs: number };
    if (untilMs <= register.atMs) continue;
    const next = registers.slice(at + 1).find((one) => one.subject === register.subject);
    const own = spans.get(register.subject) ?? [];
    own.push([register.atMs, Math.min(untilMs, next?.atMs ?? Infinity)]);
    spans.set(register.subject, own);
  }
  return spans;
}

function dayOf(asked: {
  readonly studio: StudioKept;
  readonly machines: readonly Machine[];
  readonly people: readonly Kept<shapes.PersonBody>[];
  readonly told: Told;
  readonly date: string;
  readonly nowMs: number;
}): shapes.FloorHistory["days"][number] {
  const { studio, told, date, nowMs } = asked;
  const { timeZone, openHours, closedDays, stepTimes } = studio.body;
  const open = openSpans({ timeZone, hours: openHours, daysOff: closedDays, from: date, days: 1 }).map(
    ({ start, end }): Span => [start, end],
  );
  const [fromMs, toMs] = [instantOf(timeZone, date, 0), instantOf(timeZone, addDays(date, 1), 0)];
  const own = told.events.filter(({ event }) => fromMs <= event.atMs && event.atMs < toMs);
  const events = own.map((one) => one.event);
  const machines = asked.machines.map((machine) => {
    const times = machineTimes(machine, stepTimes);
    const spans = usedMinutes({
      machineId: machine.id,
      events,
      open,
      down: [
        ...(told.down.get(machine.id) ?? []),
        ...downSpans(timeZone, machine.downTimes).map(({ start, end }): Span => [start, end]),
      ],
      untilMs: Math.min(nowMs, toMs),
      usual: { threadS: times.threadS, loadS: times.loadS, careS: USUAL_CARE_S },
    });
    return { machineId: machine.id, seconds: rounded(sumOfUses(spans)), spans: spans.map(whole) };
  });
  const people = handsOf({
    ...{ studio, date, told: own, away: told.away, machines },
    people: asked.people,
    untilMs: Math.min(nowMs, toMs),
  });
  return { date, machines, people, nobodys: own.filter(isNobodys).length };
}

const handKinds: ReadonlySet<string> = new Set([
  "hooped",
  "threaded",
  "loaded",
  "sewn",
  "finished",
  "batch-done",
]);

/** Work of hands told with nobody named. */
const isNobodys = ({ event }: HandEvent): boolean =>
  event.personId === null && handKinds.has(event.kind) && !/\.\d+$/.test(event.id);

const whole = (span: UsedSpan) => ({
  ...span,
  fromMs: Math.round(span.fromMs),
  toMs: Math.round(span.toMs),
});

type Seconds = Record<MinuteUse, number>;
const rounded = (seconds: Seconds): Seconds =>
  Object.fromEntries(minuteUses.map((use) => [use, Math.round(seconds[use])])) as Seconds;
const added = (all: readonly Seconds[]): Seconds =>
  Object.fromEntries(minuteUses.map((use) => [use, all.reduce((sum, one) => sum + one[use], 0)])) as Seconds;

async function runLines(db: Reader, runs: readonly Run[]): Promise<shapes.FloorHistory["runs"]> {
  const pieces = new Map(
    (
      await inPortions([...new Set(runs.map((run) => run.pieceId))], (ids) =>
        db.selectFrom("pieces").select(["id", "code", "personal_text"]).where("id", "in", ids).execute(),
      )
    ).map((row) => [row.id, row.personal_text || row.code]),
  );
  return [...runs]
    .sort((a, b) => (a.startedAtMs ?? 0) - (b.startedAtMs ?? 0))
    .map((run) => ({
      jobId: run.jobId,
      pieceId: run.pieceId,
      title: pieces.get(run.pieceId) ?? run.pieceId,
      machineId: run.machineId,
      stage: run.stage,
      plannedStartMs: run.facts?.planned?.startMs ?? null,
      plannedEndMs: run.facts?.planned?.endMs ?? null,
      startedAtMs: run.startedAtMs,
      endedAtMs: run.endedAtMs,
      sewedS: Math.round(run.sewedMs / 1000),
      expectedS: run.facts?.expectedS ?? 0,
      stitches: run.facts?.stitches ?? 0,
      breaks: breaksOf(run),
      estimated: run.estimated === true,
    }));
}
