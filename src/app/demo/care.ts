import type { DemoCalendar } from "./calendar";
import type { Door } from "./door";
import type { DemoIds } from "./lists";

const at = (hour: number, minute = 0): number => hour * 60 + minute;
/** Needles come round one a day over all machines: about a working month for each. */
const NEEDLES = [6, 10, 10];

/**
 * What Ivor does for the machines on a working day of the season, told as it is told on the floor: oil in the morning
 * and after lunch, a needle where its turn has come, the bobbin area at the week's end, the sewing machines' yearly service.
 */
export async function tellCare(
  door: Door,
  ids: Pick<DemoIds, "machines" | "sewingMachines" | "people">,
  calendar: DemoCalendar,
  day: string,
  nth: number,
): Promise<void> {
  const machines = ids.machines.map(({ id }) => id);
  const personId = ids.people.get("Ivor")!;
  const told = (minute: number, machineId: string, what: object) => {
    const atMs = calendar.at(day, minute);
    return { id: `demo-${machineId}-${atMs}`, atMs, personId, machineId, ...what };
  };
  const oiled = machines.flatMap((machineId, m) => [
    told(at(8, 4 + 5 * m), machineId, { kind: "care-done", ruleId: "oil-hook" }),
    told(at(12, 34 + 5 * m), machineId, { kind: "care-done", ruleId: "oil-hook" }),
  ]);
  const turn = nth % machines.length;
  const needle = 1 + (Math.floor(nth / machines.length) % (NEEDLES[turn] ?? 6));
  const changed = told(at(15, 55), machines[turn]!, { kind: "needle-changed", needle, why: "worn" });
  const bobbins =
    nth % 5 === 4
      ? [...machines, ...ids.sewingMachines].map((machineId, m) =>
          told(at(15, 20 + 6 * m), machineId, { kind: "care-done", ruleId: "bobbin-area" }),
        )
      : [];
  const services =
    nth === 3
      ? ids.sewingMachines.map((machineId) =>
          told(at(9, 30), machineId, { kind: "care-done", ruleId: "service-yearly" }),
        )
      : [];
  door.setClock(calendar.at(day, at(16, 10)));
  const { outcomes } = await door.ask("tellFloor", {
    body: { events: [...services, ...oiled, ...bobbins, changed] },
    who: "Ivor",
  });
  const refused = outcomes.find(({ outcome }) => outcome !== "kept");
  if (refused) throw new Error(`the demo's care was ${refused.outcome}: ${refused.why}`);
}
