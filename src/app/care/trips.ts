import type { shapes } from "#contract";
import { proposeService, serviceWindows, type TripEffect } from "#core/care";
import { instantOf, localTime } from "#core/shop";
import type { Store } from "#store";
import type { Call } from "../context";
import { floorRefusals } from "../floor/refusals";
import type { StudioKept } from "../records";

/** Plans the open work once with all machines here and once for each set of machines away; null where there is no plan. */
export type WithMachinesAway = (
  aways: readonly {
    readonly machineIds: readonly string[];
    readonly fromMs: number;
    readonly toMs: number;
  }[],
) => Promise<{
  readonly here: PlannedTotals;
  readonly away: readonly PlannedTotals[];
} | null>;

interface PlannedTotals {
  readonly cost: number;
  readonly lateMinutes: number;
  readonly lateJobs: number;
  /** By order. */
  readonly orders: ReadonlyMap<string, OrderEnd>;
}

/** When an order is ready by a plan. */
export interface OrderEnd {
  readonly reference: string;
  readonly customer: string;
  readonly shipBy: string;
  readonly readyAtMs: number;
  /** Of its latest piece past its ship-by date; 0 in time. */
  readonly lateMinutes: number;
  /** When each of its pieces is ready. */
  readonly pieces: ReadonlyMap<string, number>;
}

interface TripsAsked {
  readonly studio: StudioKept;
  readonly machines: readonly shapes.CareOfMachine[];
  readonly travelHours: number;
  readonly horizonDays: number;
  readonly mostInOneTrip: number;
  readonly nowMs: number;
  readonly withMachinesAway: WithMachinesAway;
}

/** Windows planned through, at most, of each set of machines; and proposals told. */
const KEEP = 3;
const MOST_PROPOSALS = 3;
/** Orders told of a trip, those it makes latest first. */
const MOST_ORDERS = 40;
/** What moves by less stays where it is, for people. */
const MOVES_MS = 5 * 60_000;
/** Dealers are open on working days (common practice, no source). */
const DEALER_WEEKDAYS = [1, 2, 3, 4, 5];

/** When to take which machine away, best first, with what it does to orders. */
export async function tripsOf(asked: TripsAsked) {
  const { studio, nowMs } = asked;
  const { timeZone, openHours, closedDays, dealerTurnaroundDays } = studio.body;
  const machines = asked.machines.flatMap(({ machineId, name, service }) =>
    service === null
      ? []
      : [
          {
            id: machineId,
            name,
            hoursLeft: service.hoursLeft,
            hoursPerWeek: service.hoursPerWeek,
            early: service.early,
            likely: service.likely,
          },
        ],
  );
  const today = localTime(timeZone, nowMs).date;
  const windows = serviceWindows({
    machines,
    today,
    horizonDays: asked.horizonDays,
    turnaroundDays: dealerTurnaroundDays,
    openHours,
    closedDays,
    dealerWeekdays: DEALER_WEEKDAYS,
    mostInOneTrip: asked.mostInOneTrip,
    keep: KEEP,
  });
  const planned = await asked.withMachinesAway(
    windows.map(({ machineIds, leaveOn, backOn }) => ({
      machineIds,
      fromMs: instantOf(timeZone, leaveOn, 0),
      toMs: instantOf(timeZone, backOn, 0),
    })),
  );
  const effects = windows.map(({ id }, at): TripEffect => {
    const away = planned?.away[at];
    return {
      windowId: id,
      lateMinutes: Math.max(0, (away?.lateMinutes ?? 0) - (planned?.here.lateMinutes ?? 0)),
      lateOrders: Math.max(0, (away?.lateJobs ?? 0) - (planned?.here.lateJobs ?? 0)),
      cost: Math.max(0, (away?.cost ?? 0) - (planned?.here.cost ?? 0)),
    };
  });
  const proposals = proposeService({
    machines,
    today,
    windows,
    effects,
    travelHours: asked.travelHours,
    most: MOST_PROPOSALS,
  });
  const ordersOf = new Map(
    windows.map(({ id }, at) => [id, planned ? movedOrders(planned.here, planned.away[at]!) : []]),
  );
  return {
    turnaroundDays: dealerTurnaroundDays,
    today,
    isPlanned: planned !== null,
    proposals: proposals.map(({ trips, breaksShipDates, reasons }) => ({
      trips: trips.map(
        ({ id, machineIds, leaveOn, backOn, openDays, closedDays, lateMinutes, lateOrders, sentence }) => ({
          ...{ machineIds, leaveOn, backOn, openDays },
          ...{ closedDays, lateMinutes, lateOrders, sentence },
          orders: ordersOf.get(id)!.slice(0, MOST_ORDERS),
          movedOrders: ordersOf.get(id)!.length,
        }),
      ),
      breaksShipDates,
      reasons: [...reasons],
    })),
  };
}

type MovedOrder = shapes.ServiceTrips["proposals"][number]["trips"][number]["orders"][number];

/** What an absence does to orders: those ready at another time or late, the most delayed first. */
function movedOrders(here: PlannedTotals, away: PlannedTotals): MovedOrder[] {
  return [...here.orders]
    .flatMap(([orderId, before]): MovedOrder[] => {
      const after = away.orders.get(orderId);
      if (!after) return [];
      const pieces = [...before.pieces].filter(
        ([piece, endMs]) => Math.abs((after.pieces.get(piece) ?? endMs) - endMs) > MOVES_MS,
      ).length;
      if (pieces === 0 && after.lateMinutes <= before.lateMinutes) return [];
      const { reference, customer, shipBy } = before;
      return [
        {
          ...{ orderId, reference, customer, shipBy, pieces },
          readyBeforeMs: before.readyAtMs,
          readyAfterMs: after.readyAtMs,
          lateBeforeMinutes: Math.round(before.lateMinutes),
          lateAfterMinutes: Math.round(after.lateMinutes),
        },
      ];
    })
    .sort(
      (a, b) =>
        b.lateAfterMinutes - b.lateBeforeMinutes - (a.lateAfterMinutes - a.lateBeforeMinutes) ||
        b.readyAfterMs - b.readyBeforeMs - (a.readyAfterMs - a.readyBeforeMs) ||
        (a.orderId < b.orderId ? -1 : 1),
    );
}

type TakenTrip = {
  readonly machineIds: readonly string[];
  readonly leaveOn: string;
  readonly backOn: string;
};
type DownTime = shapes.MachineBody["downTimes"][number];

/** Lays trips into the machines' times away, in one write; a trip that is laid already is not laid twice. */
export async function takeTrips(store: Store, call: Call, trips: readonly TakenTrip[]): Promise<string[]> {
  const wrong = trips.find((trip) => trip.backOn <= trip.leaveOn);
  if (wrong)
    throw floorRefusals("trip-backwards", `Leaving on ${wrong.leaveOn} and back on ${wrong.backOn}.`);
  const ids = [...new Set(trips.flatMap((trip) => trip.machineIds))];
  const asked = { who: call.who, what: "Took a trip to service" };
  const { result, changeId } = await store.write(asked, async (writing) => {
    for (const machineId of ids) {
      const row = await writing.db
        .selectFrom("machines")
        .select("body")
        .where("id", "=", machineId)
        .executeTakeFirst();
      if (!row) throw floorRefusals("machine-unknown", `There is no machine ${machineId}.`);
      const body = JSON.parse(row.body) as shapes.MachineBody;
      const own = trips.filter((trip) => trip.machineIds.includes(machineId)).map(awayOf);
      const fresh = own.filter((one) => !body.downTimes.some((known) => isSame(known, one)));
      if (fresh.length === 0) continue;
      const downTimes = [...body.downTimes, ...fresh].sort((a, b) => (a.fromDate < b.fromDate ? -1 : 1));
      await writing.update("machines", machineId, { body: JSON.stringify({ ...body, downTimes }) });
      writing.touch("machines", machineId);
    }
    return ids;
  });
  call.note({ changeId });
  return result;
}

/** From the morning it leaves until the morning on which it stands in its place again. */
const awayOf = ({ leaveOn, backOn }: TakenTrip): DownTime => ({
  fromDate: leaveOn,
  fromMinute: 0,
  toDate: backOn,
  toMinute: 0,
  why: "service",
});

const isSame = (a: DownTime, b: DownTime): boolean =>
  a.fromDate === b.fromDate &&
  a.toDate === b.toDate &&
  a.fromMinute === b.fromMinute &&
  a.toMinute === b.toMinute;
