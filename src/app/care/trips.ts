import type { shapes } from "#contract";
import { proposeService, serviceWindows, type TripEffect } from "#core/care";
import { instantOf, localTime } from "#core/shop";
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
  return {
    turnaroundDays: dealerTurnaroundDays,
    proposals: proposals.map(({ trips, breaksShipDates, reasons }) => ({
      trips: trips.map(
        ({ machineIds, leaveOn, backOn, openDays, closedDays, lateMinutes, lateOrders, sentence }) => ({
          ...{ machineIds, leaveOn, backOn, openDays },
          ...{ closedDays, lateMinutes, lateOrders, sentence },
        }),
      ),
      breaksShipDates,
      reasons: [...reasons],
    })),
  };
}
