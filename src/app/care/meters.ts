import type { shapes } from "#contract";
import {
  type CaredMachine,
  type CareState,
  type CountedRun,
  meterAt,
  type MeterReading,
  type MeterStanding,
  type Meters,
} from "#core/care";
import { instantOf, localTime } from "#core/shop";
import type { Store } from "#store";
import { registerOf } from "../floor/rows";
import type { Kept, StudioKept } from "../records";

/** The machines' meters as the floor's runs have them: hours, stitches, pieces; each needle's own since its change. */

type Reader = Store["db"];
export type KeptMachine = Kept<shapes.MachineBody>;

interface MetersAsked {
  readonly db: Reader;
  readonly studio: StudioKept;
  readonly machines: readonly KeptMachine[];
  readonly nowMs: number;
}

/** What was counted on a machine up to a moment. */
async function countedTo(db: Reader, machineId: string, atMs: number) {
  const row = await db
    .selectFrom("floor_runs")
    .select((build) => [
      build.fn.sum<number | null>("sewed_ms").as("ms"),
      build.fn.sum<number | null>("stitches").as("stitches"),
      build.fn.countAll<number>().as("pieces"),
    ])
    .where("machine_id", "=", machineId)
    .where("ended_at_ms", "<=", atMs)
    .executeTakeFirstOrThrow();
  return {
    runS: Math.round(Number(row.ms ?? 0) / 1000),
    stitches: Number(row.stitches ?? 0),
    pieces: Number(row.pieces),
  };
}

/** What of that is estimated: pieces moved on their pages, which no station told of. */
export async function estimatedBetween(db: Reader, machineId: string, fromMs: number, toMs: number) {
  const row = await db
    .selectFrom("floor_runs")
    .select((build) => [
      build.fn.sum<number | null>("sewed_ms").as("ms"),
      build.fn.sum<number | null>("stitches").as("stitches"),
      build.fn.countAll<number>().as("pieces"),
    ])
    .where("machine_id", "=", machineId)
    .where("ended_at_ms", ">", fromMs)
    .where("ended_at_ms", "<=", toMs)
    .where("run", "like", '%"estimated":true%')
    .executeTakeFirstOrThrow();
  return {
    hours: Number(row.ms ?? 0) / 3_600_000,
    stitches: Number(row.stitches ?? 0),
    pieces: Number(row.pieces),
  };
}

/** Where every machine's meters stand now, and where counting began. */
export async function caredMachines({ db, studio, machines, nowMs }: MetersAsked): Promise<CaredMachine[]> {
  const zone = studio.body.timeZone;
  const today = localTime(zone, nowMs).date;
  const changes = await db
    .selectFrom("floor_standing")
    .selectAll()
    .where("kind", "=", "needle-changed")
    .execute();
  const changedAt = new Map(changes.map((row) => [row.subject, row.at_ms]));
  return Promise.all(
    machines.map(async (machine) => {
      const since: Meters = {
        runS: 0,
        stitches: 0,
        pieces: 0,
        day: await countingSince(db, machine, zone, today),
      };
      return {
        id: machine.id,
        kind: machine.kind,
        now: { ...(await countedTo(db, machine.id, nowMs)), day: today },
        since,
        needles: machine.needles.map((needle) => {
          const changed = changedAt.get(`${machine.id}/${needle.number}`);
          const day = changed === undefined ? since.day : localTime(zone, changed).date;
          const runS = Math.round((60 * needle.stitchesSinceChange) / Math.max(1, machine.stitchesPerMinute));
          return {
            number: needle.number,
            now: { runS, stitches: needle.stitchesSinceChange, pieces: 0, day: today },
            since: { runS: 0, stitches: 0, pieces: 0, day },
          };
        }),
      };
    }),
  );
}

/** The first day anything was counted: the first run, else the meter's reading, else when it was bought, else today. */
async function countingSince(db: Reader, machine: KeptMachine, zone: string, today: string): Promise<string> {
  const first = await db
    .selectFrom("floor_runs")
    .select("ended_at_ms")
    .where("machine_id", "=", machine.id)
    .where("ended_at_ms", "is not", null)
    .orderBy("ended_at_ms")
    .limit(1)
    .executeTakeFirst();
  const days = [
    first ? localTime(zone, first.ended_at_ms!).date : null,
    machine.hourMeter?.readOn ?? null,
    machine.bought?.on ?? null,
  ].filter((day): day is string => day !== null && day <= today);
  return days.sort().at(-1) ?? today;
}

/** When each rule was last done on each machine, and where its meters stood then. */
export async function careDone(db: Reader, studio: StudioKept): Promise<CareState[]> {
  const rows = await db.selectFrom("floor_standing").selectAll().where("kind", "=", "care").execute();
  return Promise.all(
    rows.map(async (row) => {
      const register = registerOf(row);
      const cut = register.subject.indexOf("/");
      const machineId = register.subject.slice(0, cut);
      return {
        machineId,
        ruleId: register.subject.slice(cut + 1),
        needle: null,
        at: {
          ...(await countedTo(db, machineId, register.atMs)),
          day: localTime(studio.body.timeZone, register.atMs).date,
        },
      };
    }),
  );
}

/** The runs of a machine as its hour meter counts them. */
export async function countedRuns(db: Reader, machineId: string): Promise<CountedRun[]> {
  const rows = await db
    .selectFrom("floor_runs")
    .select(["started_at_ms", "ended_at_ms", "sewed_ms"])
    .where("machine_id", "=", machineId)
    .where("ended_at_ms", "is not", null)
    .where("started_at_ms", "is not", null)
    .orderBy("ended_at_ms")
    .execute();
  return rows.map((row) => ({
    startMs: row.started_at_ms!,
    endMs: row.ended_at_ms!,
    runS: row.sewed_ms / 1000,
  }));
}

/** Readings of a machine's own hour meter: those told from the floor, and the one on its record. */
export async function meterReadings(
  db: Reader,
  studio: StudioKept,
  machine: KeptMachine,
  nowMs: number,
): Promise<MeterReading[]> {
  const rows = await db
    .selectFrom("floor_registers")
    .selectAll()
    .where("kind", "=", "meter")
    .where("subject", "=", machine.id)
    .orderBy("at_ms")
    .execute();
  const told = rows.map((row) => ({
    atMs: row.at_ms,
    hours: (JSON.parse(row.value) as { hours: number }).hours,
  }));
  const own = machine.hourMeter
    ? [
        {
          // A date typed ahead of today is still a reading that was made.
          atMs: Math.min(nowMs, instantOf(studio.body.timeZone, machine.hourMeter.readOn, 0)),
          hours: machine.hourMeter.hours,
        },
      ]
    : [];
  return [...own, ...told].sort((a, b) => a.atMs - b.atMs);
}

export async function meterOf(
  db: Reader,
  studio: StudioKept,
  machine: KeptMachine,
  atMs: number,
): Promise<MeterStanding & { readonly estimatedHours: number; readonly estimatedPieces: number }> {
  const [runs, readings] = await Promise.all([
    countedRuns(db, machine.id),
    meterReadings(db, studio, machine, atMs),
  ]);
  // What was estimated before a reading is in it.
  const lastMs = readings.filter((one) => one.atMs <= atMs).at(-1)?.atMs ?? -1;
  const estimated = await estimatedBetween(db, machine.id, lastMs, atMs);
  return {
    ...meterAt({ runs, readings, atMs }),
    estimatedHours: estimated.hours,
    estimatedPieces: estimated.pieces,
  };
}
