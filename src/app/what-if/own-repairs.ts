import type { whatIf } from "#contract";
import { meterAt } from "#core/care";
import { localTime } from "#core/shop";
import type { Store } from "#store";
import { countedRuns, meterReadings } from "../care/meters";
import { eventOf, takenBackBy } from "../floor/rows";
import type { StudioKept } from "../records";
import { fittedRepairs, meanRepairCents, type RepairLog } from "./repair-log";
import type { ShopNow } from "./shop";

/** The repairs told from the studio's own floor, by the hours its machines had run; and those of a seller's machine. */

type Machine = ShopNow["machines"][number];

/** One machine's repairs since its hours are known. */
export async function repairLogOf(
  db: Store["db"],
  {
    studio,
    machine,
    nowMs,
  }: { readonly studio: StudioKept; readonly machine: Machine; readonly nowMs: number },
): Promise<RepairLog> {
  const [runs, readings, rows] = await Promise.all([
    countedRuns(db, machine.id),
    meterReadings(db, studio, machine, nowMs),
    db
      .selectFrom("floor_events")
      .selectAll()
      .where("machine_id", "=", machine.id)
      .where("kind", "in", ["repaired", "taken-back"])
      .orderBy("at_ms")
      .execute(),
  ]);
  const standing = (atMs: number) => meterAt({ runs, readings, atMs });
  const first = readings[0];
  // Before the first reading the meter stood as much lower as was counted since.
  const hoursAt = (atMs: number) => {
    const hours =
      first === undefined || first.atMs <= atMs
        ? standing(atMs).hours
        : first.hours - (standing(first.atMs).countedHours - standing(atMs).countedHours);
    return Math.max(0, Math.round(10 * hours) / 10);
  };
  const fromMs = Math.min(nowMs, runs[0]?.startMs ?? nowMs, first?.atMs ?? nowMs);
  const taken = takenBackBy(rows);
  const repairs = rows.flatMap((row) => {
    const event = row.kind === "repaired" && !taken.has(row.id) ? eventOf(row) : null;
    if (event?.kind !== "repaired" || row.at_ms > nowMs) return [];
    const on = localTime(studio.body.timeZone, row.at_ms).date;
    return [{ atHours: hoursAt(row.at_ms), on, what: event.what, costCents: event.costCents }];
  });
  return {
    format: "spoolwright/repair-log@1",
    machine: machine.name,
    fromHours: hoursAt(fromMs),
    meterHours: hoursAt(nowMs),
    repairs,
  };
}

/** What the logs say together: of the machines here, and of one that is for sale where its record is at hand. */
export async function repairsKnown(
  db: Store["db"],
  shop: ShopNow,
  seller: RepairLog | null,
): Promise<whatIf.RepairsKnown> {
  const { studio } = shop.records;
  const own = await Promise.all(
    shop.machines.map((machine) => repairLogOf(db, { studio, machine, nowMs: shop.nowMs })),
  );
  const logs = seller ? [...own, seller] : own;
  const found = fittedRepairs(logs);
  const hours = logs.reduce((sum, { fromHours, meterHours }) => sum + Math.max(0, meterHours - fromHours), 0);
  const repairs = logs.reduce((sum, log) => sum + log.repairs.length, 0);
  const whose = seller ? `machines here and ${seller.machine}` : "machines here";
  return {
    machines: shop.machines.map(({ id, name }, at) => ({
      id,
      name,
      meterHours: own[at]!.meterHours,
      repairs: own[at]!.repairs.length,
    })),
    seller: seller && { meterHours: seller.meterHours, repairs: seller.repairs.length },
    fitted: found && {
      firstAfterHours: Math.max(1, Math.round(found.wear.scaleHours)),
      shape: Math.round(100 * found.wear.shape) / 100,
      count: found.count,
      repairCents: meanRepairCents(logs),
    },
    words:
      found === null
        ? `No repair is on record in ${Math.round(hours)} hours of the ${whose}: how often they fail stays a guess.`
        : `${repairs} ${repairs === 1 ? "repair" : "repairs"} in ${Math.round(hours)} hours of the ${whose}${found.isShapeFitted ? "" : "; so few say nothing of wear, which stays a guess"}.`,
  };
}
