import type { Store } from "#store";

/** What repairs cost an hour of sewing, from the floor's log: those told at the machines, against the hours they ran. */

export interface MeasuredRepairs {
  readonly centsPerHour: number;
  /** Repairs told of; those without a cost count as the mean of the others. */
  readonly repairs: number;
  readonly hours: number;
}

/** From so many repairs with a cost, in so many hours, a rate is believed. */
const ENOUGH_REPAIRS = 3;
const ENOUGH_HOURS = 100;

/** By machine; those with too little told are left out. */
export async function measuredRepairs(db: Store["db"]): Promise<ReadonlyMap<string, MeasuredRepairs>> {
  const told = await db
    .selectFrom("floor_events")
    .select(["id", "machine_id", "data"])
    .where("kind", "=", "repaired")
    .execute();
  if (told.length < ENOUGH_REPAIRS) return new Map();
  const [taken, hours] = await Promise.all([takenBack(db), hoursRun(db)]);
  const byMachine = new Map<string, (number | null)[]>();
  for (const { id, machine_id: machineId, data } of told) {
    if (machineId === null || taken.has(id)) continue;
    const { costCents = null } = JSON.parse(data) as { costCents?: number | null };
    byMachine.set(machineId, [...(byMachine.get(machineId) ?? []), costCents]);
  }
  return new Map(
    [...byMachine].flatMap(([machineId, costs]) => {
      const known = costs.filter((cents) => cents !== null);
      const ran = hours.get(machineId) ?? 0;
      if (known.length < ENOUGH_REPAIRS || ran < ENOUGH_HOURS) return [];
      const mean = known.reduce((sum, cents) => sum + cents, 0) / known.length;
      return [
        [
          machineId,
          { centsPerHour: (mean * costs.length) / ran, repairs: costs.length, hours: ran },
        ] as const,
      ];
    }),
  );
}

async function takenBack(db: Store["db"]): Promise<ReadonlySet<string>> {
  const rows = await db.selectFrom("floor_events").select("data").where("kind", "=", "taken-back").execute();
  return new Set(rows.map(({ data }) => (JSON.parse(data) as { eventId: string }).eventId));
}

async function hoursRun(db: Store["db"]): Promise<ReadonlyMap<string, number>> {
  const rows = await db
    .selectFrom("floor_runs")
    .select(({ fn }) => ["machine_id", fn.sum<number | string>("sewed_ms").as("ms")])
    .where("machine_id", "is not", null)
    .groupBy("machine_id")
    .execute();
  return new Map(rows.map((row) => [row.machine_id!, Number(row.ms) / 3_600_000]));
}
