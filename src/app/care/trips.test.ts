import type { shapes } from "#contract";
import { orderBook, type OrderBook } from "#test/order-book";
import { TEST_NOW_MS } from "#test/program";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { studioOf } from "../records";
import { type OrderEnd, tripsOf } from "./trips";

let book: OrderBook;
beforeEach(async () => void (book = await orderBook()));
afterEach(() => book.program.close());

const DAY_MS = 86_400_000;
const order = (readyAtMs: number, lateMinutes: number): OrderEnd => ({
  reference: "1005",
  customer: "Maren",
  shipBy: "2026-11-30",
  readyAtMs,
  lateMinutes,
  pieces: new Map([["piece", readyAtMs]]),
});
const totals = (orders: readonly [string, OrderEnd][]) => ({
  cost: 0,
  lateMinutes: 0,
  lateJobs: 0,
  orders: new Map(orders),
});

describe("the trip to service", () => {
  test("tells which orders move because of it, those it makes late first, and not those that stay", async () => {
    const studio = (await studioOf(book.program.context.store.db))!;
    const { machines } = await book.program.ask("careNow");
    const due = { ...machines[0]!, service: { early: "2026-11-27", likely: "2026-12-01", late: "2026-12-04", level: 0.9, hoursLeft: 12, hoursPerWeek: 30, weeks: 8, path: [], sentence: "" } } satisfies shapes.CareOfMachine; // prettier-ignore
    const before = TEST_NOW_MS + 3600_000;
    const found = await tripsOf({
      studio,
      machines: [due],
      travelHours: 2,
      horizonDays: 60,
      mostInOneTrip: 2,
      nowMs: TEST_NOW_MS,
      withMachinesAway: (aways) =>
        Promise.resolve({
          here: totals([
            ["late", order(before, 0)],
            ["later", order(before, 0)],
            ["still", order(before, 0)],
          ]),
          away: aways.map(() =>
            totals([
              ["late", order(before + 3 * DAY_MS, 40)],
              ["later", order(before + DAY_MS, 0)],
              ["still", order(before + 60_000, 0)],
            ]),
          ),
        }),
    });
    const [trip] = found.proposals[0]!.trips;
    expect(trip!.machineIds).toEqual([due.machineId]);
    expect(trip!.orders.map((one) => [one.orderId, one.lateBeforeMinutes, one.lateAfterMinutes])).toEqual([
      ["late", 0, 40],
      ["later", 0, 0],
    ]);
    expect(trip!.movedOrders).toBe(2);
  });

  test("taken, lays the absence once, and can be taken back", async () => {
    const trip = { machineIds: [book.machine], leaveOn: "2026-11-30", backOn: "2026-12-03" };
    const call = book.program.call();
    await book.program.ask("takeTrips", { body: { trips: [trip] } }, call);
    await book.program.ask("takeTrips", { body: { trips: [trip] } });
    const away = async () =>
      (await book.program.ask("machines.get", { params: { id: book.machine } })).downTimes;
    expect(await away()).toEqual([
      { fromDate: "2026-11-30", fromMinute: 0, toDate: "2026-12-03", toMinute: 0, why: "service" },
    ]);
    await book.program.ask("undoChange", { params: { id: call.notes.changeId! } });
    expect(await away()).toEqual([]);
  });

  test("is refused for a machine that is not there or that is back before it left", async () => {
    const trip = { machineIds: [book.machine, "none"], leaveOn: "2026-11-30", backOn: "2026-12-03" };
    await expect(book.program.ask("takeTrips", { body: { trips: [trip] } })).rejects.toThrow(
      /no machine none/,
    );
    const back = { machineIds: [book.machine], leaveOn: "2026-12-03", backOn: "2026-11-30" };
    await expect(book.program.ask("takeTrips", { body: { trips: [back] } })).rejects.toThrow(
      /back on 2026-11-30/,
    );
    expect((await book.program.ask("machines.get", { params: { id: book.machine } })).downTimes).toEqual([]);
  });
});
