import type { shapes, whatIf } from "#contract";
import type { CareRule } from "#core/care";
import { isRuleOf } from "#core/care";
import type { RunCare, SimulatedShop } from "#core/floor";
import { addDays, instantOf, isOff, localTime, machineTimes, weekdayOf } from "#core/shop";
import type { Store } from "#store";
import { careRules } from "../care/rules";
import { type Learnt, learntBy, plannedWith } from "../floor/learning";
import { PlanClock } from "../plan-clock";
import { embroiders, type PlannedTime, type Records } from "../plan-gathering";
import { allOf, type Kept, studioOf } from "../records";
import { chancesOf } from "./chances";
import { DAYS_BACK, type Past, pastOf } from "./past";
import { pricesOf } from "./priced";
import { whatIfRefusals } from "./refusals";
import type { Basis } from "./season";

/** The shop as it is: from the studio's records to one that can be played, every assumption with its source. */

type Assumption = whatIf.Assumption;

/** Work that has come in is finished within so many days after the last order. */
const DAYS_AFTER = 42;
/** Days of orders that fill the shop before anything is counted; whether they are enough is looked at in what is played. */
export const WARM_DAYS = 14;
/** Below so many past orders, what comes is drawn from few and that is said. */
export const FEW_ORDERS = 30;

export interface ShopNow {
  readonly nowMs: number;
  readonly records: Records;
  readonly learnt: Learnt;
  readonly planned: PlannedTime;
  readonly today: string;
  readonly machines: readonly Kept<shapes.MachineBody>[];
  readonly people: readonly Kept<shapes.PersonBody>[];
  readonly hoops: readonly Kept<shapes.HoopBody>[];
}

/** The records questions are asked of; null before there is a studio. */
export async function shopNow(db: Store["db"], nowMs: number): Promise<ShopNow | null> {
  const studio = await studioOf(db);
  if (!studio) return null;
  const [people, machines, hoops, threads, stock, products] = await Promise.all([
    allOf(db, "people"),
    allOf(db, "machines"),
    allOf(db, "hoops"),
    allOf(db, "threads"),
    allOf(db, "stock"),
    allOf(db, "products"),
  ]);
  const records: Records = { studio, people, machines, hoops, threads, stock, products, versions: new Map() };
  const learnt = await learntBy(db, records, nowMs);
  return {
    nowMs,
    records,
    learnt,
    planned: (quantity, subject) => plannedWith(learnt, records, quantity, subject),
    today: localTime(studio.body.timeZone, nowMs).date,
    machines: [...machines.values()].filter(embroiders),
    // As in a plan: who runs machines hoops and embroiders.
    people: [...people.values()].filter(
      ({ archived, skills }) => !archived && skills.includes("hoop") && skills.includes("embroider"),
    ),
    hoops: [...hoops.values()].filter(({ archived }) => !archived),
  };
}

/** Why nothing can be asked of the shop; null when it can. */
export function whyNot(shop: ShopNow, pastOrders: number): string | null {
  if (shop.machines.length === 0) return "There is no machine with needles yet.";
  if (shop.people.length === 0) return "There is nobody yet who hoops and embroiders.";
  if (pastOrders === 0) return "There is no order yet from which to tell what comes.";
  return null;
}

export interface BasisAsked {
  readonly days: number;
  readonly orders: Basis["orders"];
}

export interface BasisMade {
  readonly basis: Basis;
  readonly assumptions: readonly Assumption[];
  readonly clock: PlanClock;
}

/** The whole snapshot a question is answered from. */
export async function basisOf(
  db: Store["db"],
  shop: ShopNow,
  { days, orders }: BasisAsked,
): Promise<BasisMade> {
  const { records, today, planned } = shop;
  const past = await pastOf({ db, records, today, planned });
  const missing = whyNot(shop, past?.habits.orders.length ?? 0);
  if (missing !== null || past === null)
    throw whatIfRefusals("nothing-to-play", missing ?? "No past order can be made as the records stand.");
  const { timeZone } = records.studio.body;
  const countsFrom = orders === "those-that-came" ? addDays(today, 1 - days) : today;
  const startsOn = addDays(countsFrom, -WARM_DAYS);
  const withOrders = WARM_DAYS + days;
  const startsAtMs = instantOf(timeZone, startsOn, 0);
  const clock = new PlanClock(records.studio, startsAtMs, withOrders + DAYS_AFTER);
  const dates = Array.from({ length: withOrders + DAYS_AFTER }, (_, at) => addDays(startsOn, at));
  const dayStarts = dates.map((date) => clock.secondOf(instantOf(timeZone, date, 0)));
  const { chances, assumptions } = await chancesOf(db, records, shop.learnt);
  const { rules, areOwn } = await careRules(db);
  const service = serviceTimes(shop, past, rules, { days: withOrders, dayStarts });
  const { prices, assumptions: pricesAssumed } = await pricesOf(db, {
    past,
    machineIds: shop.machines.map(({ id }) => id),
    nowMs: shop.nowMs,
  });
  const { openHours, closedDays } = records.studio.body;
  const open = clock.spans(openHours, closedDays);
  const basis: Basis = {
    startsOn,
    warmDays: WARM_DAYS,
    days,
    counted: [dayStarts[WARM_DAYS]!, dayStarts[withOrders]!],
    workingDays: Math.max(1, dates.slice(WARM_DAYS, withOrders).filter((date) => openHours[weekdayOf(date) - 1]!.length > 0 && !isOff(date, closedDays)).length), // prettier-ignore
    ordersAt: openings(dayStarts, open),
    dueAt: dates.map((date) => clock.dueAt(date)),
    problem: {
      hands: shop.people.map(({ id, shifts, daysOff }) => ({ id, shifts: clock.spans(shifts, [...closedDays, ...daysOff]) })),
      open,
      hoops: shop.hoops.map(({ id, count }) => ({ id, count })),
      machines: shop.machines.map((machine) => machineOf(shop, clock, machine, service.downOf(machine.id))),
      jobs: [],
      chores: datedCare(shop, rules, dayStarts, withOrders),
    },
    chances,
    care: careByHours(shop, rules),
    orders,
    habits: past.habits,
    kinds: past.kinds,
    prices,
  }; // prettier-ignore
  return {
    basis,
    clock,
    assumptions: [
      ...ordersAssumed(past, { days, orders, startsOn: countsFrom }),
      ...timesAssumed(shop),
      ...assumptions,
      ...pricesAssumed,
      {
        what: "Care",
        value: `${rules.length} rules by hours, stitches and days${areOwn ? " of the studio's own" : ""}`,
        source: areOwn ? "entered" : "default",
        count: null,
      },
      service.assumption,
      {
        what: "How the shop decides",
        value: "from moment to moment, as a careful person does; a plan does better, in both shops alike",
        source: "guessed",
        count: null,
      },
      {
        what: "At the season's start",
        value: `orders of the ${WARM_DAYS} days before fill the shop and are not counted; needles begin with the threads that are on them today`,
        source: "default",
        count: null,
      },
      {
        what: "What is called plain",
        value:
          "stands out of chance although all measures are looked at together (Holm 1979, 95 %); the limits shown are those of each by itself (Student, 95 %)",
        source: "default",
        count: null,
      },
    ],
  };
}

/** The first open second of each day, or its beginning. */
function openings(dayStarts: readonly number[], open: readonly (readonly [number, number])[]): number[] {
  const firstOf = new Map<number, number>();
  let day = 0;
  for (const [from] of open) {
    while (day + 1 < dayStarts.length && dayStarts[day + 1]! <= from) day++;
    if (!firstOf.has(day)) firstOf.set(day, from);
  }
  return dayStarts.map((start, at) => firstOf.get(at) ?? start);
}

function machineOf(
  { records, planned }: ShopNow,
  clock: PlanClock,
  machine: Kept<shapes.MachineBody>,
  service: readonly (readonly [number, number])[],
): SimulatedShop["problem"]["machines"][number] {
  const usual = machineTimes(machine, records.studio.body.stepTimes);
  return {
    id: machine.id,
    needles: machine.needles.length,
    threaded: machine.needles.map(({ threadId }) => threadId),
    fixed: machine.needles.filter(({ fixed }) => fixed).map(({ number }) => number),
    hoops: machine.hoopIds.filter((id) => records.hoops.get(id)?.archived === false),
    down: [...clock.down(machine.downTimes), ...service],
    ...usual,
    stitchesPerMinute: planned("sewing-speed", machine.id) ?? machine.stitchesPerMinute,
    threadS: planned("threading", machine.id) ?? usual.threadS,
    loadS: planned("loading", machine.id) ?? usual.loadS,
  };
}

/** Rules by hours and by stitches as hours; each needle's own hours add up to the machine's. */
function careByHours({ machines }: ShopNow, rules: readonly CareRule[]): RunCare[] {
  return machines.flatMap((machine) =>
    rules
      .filter((rule) => !rule.needsAway && isRuleOf(rule, machine))
      .flatMap((rule): RunCare[] => {
        const seconds = Math.round(rule.minutes * 60);
        if (rule.by === "run-hours")
          return [{ machine: machine.id, everySewingS: rule.every * 3600, seconds }];
        if (rule.by === "stitches")
          return [
            { machine: machine.id, everySewingS: (60 * rule.every) / machine.stitchesPerMinute, seconds },
          ];
        return [];
      }),
  );
}

/** Rules by days, each machine on days of its own. */
function datedCare(
  { machines }: ShopNow,
  rules: readonly CareRule[],
  dayStarts: readonly number[],
  days: number,
): SimulatedShop["problem"]["chores"] {
  return machines.flatMap((machine, nth) =>
    rules
      .filter((rule) => rule.by === "days" && !rule.needsAway && isRuleOf(rule, machine))
      .flatMap((rule) => {
        const every = Math.max(1, Math.round(rule.every));
        const first = nth % every;
        return Array.from({ length: Math.max(0, Math.ceil((days - first) / every)) }, (_, at) => {
          const releaseAt = dayStarts[first + at * every]!;
          return {
            id: `${rule.id} ${machine.id} ${at}`,
            machine: machine.id,
            seconds: Math.round(rule.minutes * 60),
            releaseAt,
            dueAt: releaseAt + 86_400,
            weight: 1,
          };
        });
      }),
  );
}

/** Services fall due by hours the machines would sew on such orders, and are spread over the machines. */
function serviceTimes(
  { machines, records }: ShopNow,
  past: Past,
  rules: readonly CareRule[],
  { days, dayStarts }: { readonly days: number; readonly dayStarts: readonly number[] },
) {
  const turnaround = records.studio.body.dealerTurnaroundDays;
  const stitches = past.habits.orders
    .flatMap(({ pieces }) => pieces.flatMap((kind) => past.kinds[kind]!.runs))
    .reduce((sum, run) => sum + run.parts.reduce((all, part) => all + part.stitches, 0), 0);
  const speed = machines.reduce((sum, machine) => sum + machine.stitchesPerMinute, 0);
  const hoursADay = stitches / past.habits.days / speed / 60;
  const stretches = new Map<string, [number, number][]>();
  machines.forEach((machine, nth) => {
    const rule = rules.find((one) => one.needsAway && one.by === "run-hours" && isRuleOf(one, machine));
    if (!rule || turnaround === 0 || hoursADay <= 0) return;
    const between = rule.every / hoursADay;
    const found: [number, number][] = [];
    for (let day = (between * (nth + 0.5)) / machines.length; day < days; day += between + turnaround) {
      const from = Math.floor(day);
      found.push([dayStarts[from]!, dayStarts[Math.min(dayStarts.length - 1, from + turnaround)]!]);
    }
    stretches.set(machine.id, found);
  });
  const count = [...stretches.values()].reduce((sum, one) => sum + one.length, 0);
  const assumption: Assumption = {
    what: "Services that fall into the season",
    value: `${count}, ${turnaround} days away each; a machine sews ${hoursADay.toFixed(1)} h a day on such orders`,
    source: "guessed",
    count: null,
  };
  return { downOf: (id: string) => stretches.get(id) ?? [], assumption };
}

function ordersAssumed(
  past: Past,
  {
    days,
    orders,
    startsOn,
  }: { readonly days: number; readonly orders: Basis["orders"]; readonly startsOn: string },
): Assumption[] {
  const { habits, leftOut, from } = past;
  const known = habits.orders.length;
  const few = known < FEW_ORDERS ? "; so few orders say little of weekdays and less of months" : "";
  const perDay = `${habits.perDay.toFixed(1)} orders a day`;
  return [
    orders === "those-that-came"
      ? {
          what: "Orders",
          value: `those that came from ${startsOn} on, ${days} days, once again; each season has another luck at the machines`,
          source: "measured",
          count: habits.orders.filter(({ date }) => date >= startsOn).length,
        }
      : {
          what: "Orders",
          value: `like those since ${from}: ${perDay}, by weekday and month, whole orders drawn from the past${few}`,
          source: "measured",
          count: known,
        },
    ...(habits.days < DAYS_BACK - 31
      ? [
          {
            what: "Months without orders on record",
            value: "taken to be like the mean of those there are",
            source: "guessed" as const,
            count: null,
          },
        ]
      : []),
    ...(leftOut > 0
      ? [
          {
            what: "Past pieces left out",
            value: `${leftOut}: no design, no hoop or no machine for them as the records stand`,
            source: "entered" as const,
            count: leftOut,
          },
        ]
      : []),
    {
      what: "When orders are there",
      value: "when the shop opens on the day they were placed; stock and artwork are at hand",
      source: "guessed",
      count: null,
    },
    {
      what: "A piece is on time",
      value: "when it is done by the end of its ship-by day",
      source: "entered",
      count: null,
    },
  ];
}

/** How many of the times a plan takes were measured here. */
function timesAssumed({ machines, hoops, planned, learnt }: ShopNow): Assumption[] {
  const line = (what: string, learned: number, of: number): Assumption => ({
    what,
    value:
      learned === 0
        ? "as entered, or the studio's usual times"
        : `learned from the floor for ${learned} of ${of}; for the others as entered`,
    source: learned === 0 ? "default" : "measured",
    count: learned === 0 ? null : learned,
  });
  const taught = (quantity: Parameters<PlannedTime>[0], ids: readonly { readonly id: string }[]) =>
    ids.filter(({ id }) => planned(quantity, id) !== null && !learnt.fixed.has(`${quantity} ${id}`)).length;
  return [
    line("Sewing speeds of machines", taught("sewing-speed", machines), machines.length),
    line("Threading and loading", taught("threading", machines), machines.length),
    line("Hooping by kind of hoop", taught("hooping", hoops), hoops.length),
  ];
}
