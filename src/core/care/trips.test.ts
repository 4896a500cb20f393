import { describe, expect, it } from "vitest";
import { addDays, defaultOpenHours } from "#core/shop";
import {
  proposeService,
  type ServicedMachine,
  type ServiceWindow,
  serviceWindows,
  type WindowsAsked,
} from ".";

const TODAY = "2026-03-02"; // a Monday
const machine = (id: string, hoursLeft: number, daysToDue: number): ServicedMachine => ({
  id,
  name: `Machine ${id}`,
  hoursLeft,
  hoursPerWeek: (hoursLeft * 7) / daysToDue,
  early: addDays(TODAY, daysToDue - 5),
  likely: addDays(TODAY, daysToDue),
});
const asked: WindowsAsked = {
  machines: [machine("A", 40, 14), machine("B", 55, 18)],
  today: TODAY,
  horizonDays: 60,
  turnaroundDays: 3,
  openHours: defaultOpenHours,
  closedDays: [],
  dealerWeekdays: [1, 2, 3, 4, 5],
  mostInOneTrip: 2,
  keep: 40,
};
const harmless = (windows: readonly ServiceWindow[]) =>
  windows.map((one) => ({ windowId: one.id, lateMinutes: 0, lateOrders: 0, cost: 0 }));
const propose = (
  more: Partial<WindowsAsked> = {},
  travelHours = 2,
  late: (one: ServiceWindow) => number = () => 0,
) => {
  const windows = serviceWindows({ ...asked, ...more });
  const effects = windows.map((one) => ({
    windowId: one.id,
    lateMinutes: late(one),
    lateOrders: late(one) > 0 ? 1 : 0,
    cost: 2 * late(one),
  }));
  return proposeService({
    machines: more.machines ?? asked.machines,
    today: TODAY,
    windows,
    effects,
    travelHours,
    most: 3,
  });
};

describe("windows for a trip to the dealer", () => {
  it("leave and come back when the dealer is there, for each set of machines a trip takes", () => {
    const windows = serviceWindows(asked);
    expect(new Set(windows.map((one) => one.machineIds.join("+")))).toEqual(new Set(["A", "B", "A+B"]));
    const friday = windows.find((one) => one.leaveOn === "2026-03-06")!;
    // Three days on is a Monday already; the weekend is closed.
    expect(friday).toMatchObject({ backOn: "2026-03-09", openDays: 1, closedDays: 2 });
    expect(windows.find((one) => one.leaveOn === "2026-03-05")!.backOn).toBe("2026-03-09");
    expect(windows.some((one) => one.leaveOn === "2026-03-07")).toBe(false);
  });

  it("are kept few, for each is planned once", () => {
    expect(serviceWindows({ ...asked, keep: 4 })).toHaveLength(12);
    expect(serviceWindows({ ...asked, mostInOneTrip: 1, keep: 4 })).toHaveLength(8);
  });

  it("leave out a machine not due within the horizon", () => {
    expect(serviceWindows({ ...asked, horizonDays: 10 }).flatMap((one) => one.machineIds)).not.toContain("B");
  });
});

describe("the proposal", () => {
  it("prefers days on which the house is closed: over a weekend, near the time it is due", () => {
    const [first] = propose({ machines: [asked.machines[0]!] });
    expect(first!.trips).toMatchObject([{ leaveOn: "2026-03-13", backOn: "2026-03-16", openDays: 1 }]);
    expect(first!.trips[0]!.sentence).toBe(
      "Take Machine A away on Friday 13 March; back on Monday 16 March.",
    );
    expect(first!.reasons).toEqual([
      "No order leaves late because of it.",
      "The house is closed on 2 of the 3 days away.",
      "1 trip, 2 h on the road.",
      "Machine A goes when it is due.",
    ]);
  });

  it("takes the holidays where they fall near", () => {
    const holidays = [{ from: "2026-03-10", to: "2026-03-12", why: "holidays" }];
    expect(propose({ machines: [asked.machines[0]!], closedDays: holidays })[0]!.trips[0]).toMatchObject({
      leaveOn: "2026-03-10",
      openDays: 0,
    });
  });

  it("takes two in one trip when the road is long, and says what that saves", () => {
    const [first, second] = propose({}, 4);
    expect(first!.trips.map((trip) => trip.machineIds)).toEqual([["A", "B"]]);
    expect(first!.reasons).toContain("1 trip, 4 h on the road: 4 h less than one by one.");
    expect(second!.trips).toHaveLength(2);
    expect(second!.score).toBeGreaterThan(first!.score);
  });

  it("never proposes so many at once that ship dates break while another way keeps them", () => {
    const both = (one: ServiceWindow) => (one.machineIds.length > 1 ? 90 : 0);
    const [first, ...others] = propose({}, 4, both);
    expect(first).toMatchObject({ breaksShipDates: false });
    expect(first!.trips).toHaveLength(2);
    const [one, other] = first!.trips;
    expect(one!.backOn <= other!.leaveOn).toBe(true);
    expect(others.find((one) => one.trips.length === 1)).toMatchObject({ breaksShipDates: true });
    expect(others.at(-1)!.reasons[0]).toBe("1 order would leave late by 1 h 30 min in all.");
  });

  it("moves to other days when the near ones would make an order late", () => {
    const busy = (one: ServiceWindow) =>
      "2026-03-11" <= one.leaveOn && one.leaveOn <= "2026-03-17" ? 30 : 0;
    const [first] = propose({ machines: [asked.machines[0]!] }, 2, busy);
    expect(first).toMatchObject({ breaksShipDates: false });
    expect(first!.trips[0]!.leaveOn).toBe("2026-03-06");
    expect(first!.reasons.at(-1)).toBe("Machine A goes about 29 h of running before it is due.");
  });

  it("says nothing where no effect is known, or nothing is due", () => {
    const windows = serviceWindows(asked);
    expect(
      proposeService({
        machines: asked.machines,
        today: TODAY,
        windows,
        effects: [],
        travelHours: 2,
        most: 3,
      }),
    ).toEqual([]);
    expect(propose({ machines: [] })).toEqual([]);
  });

  it("is found by trying every choice: no other choice of windows scores lower", () => {
    const windows = serviceWindows(asked);
    const [first] = proposeService({
      machines: asked.machines,
      today: TODAY,
      windows,
      effects: harmless(windows),
      travelHours: 1,
      most: 1,
    });
    const score = (one: ServiceWindow) =>
      30 + 10 * one.openDays * one.machineIds.length + 0.2 * one.hoursEarly + one.hoursOver;
    const pairs = windows.filter((one) => one.machineIds.length === 2).map(score);
    const apart = (a: ServiceWindow, b: ServiceWindow) => a.backOn <= b.leaveOn || b.backOn <= a.leaveOn;
    const singles = windows
      .filter((one) => one.machineIds.join() === "A")
      .flatMap((a) =>
        windows.filter((b) => b.machineIds.join() === "B" && apart(a, b)).map((b) => score(a) + score(b)),
      );
    expect(first!.score).toBeCloseTo(Math.min(...pairs, ...singles), 9);
  });
});
