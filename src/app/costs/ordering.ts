import type { Answer, costs } from "#contract";
import { economicOrder, orderingCost, type OrderCosts, reorderPoint } from "#core/costing";
import { addDays, daysBetween, localTime } from "#core/shop";
import type { Answers, Context } from "../context";
import { type CostGround, costGround } from "./ground";
import { weeklyUse, type WeeklyUse } from "./weekly-use";

/**
 * When to order what again and how much: enough for the days until it comes, with safety against what the weeks vary
 * by, and the amount at which ordering and keeping cost least together (core/costing/reorder).
 */

type Item = Answer<"orderAgain">["items"][number];
type Ordering = NonNullable<costs.CostSettings["ordering"]>;

/** So far back orders are looked at. */
const MOST_WEEKS = 26;
/** From fewer weeks nobody can tell by how much they vary. */
const LEAST_WEEKS = 4;
/** More than this many weeks' use is never proposed at once, however little it costs: thread ages, colours change. */
const MOST_AHEAD = 26;
const WEEKS_A_YEAR = 52;

export function orderingAnswers({ store, nowMs }: Context): Pick<Answers, "orderAgain"> {
  const { db } = store;
  return {
    orderAgain: async () => {
      const ground = await costGround(db, nowMs());
      const today = localTime(ground.studio.body.timeZone, nowMs()).date;
      const first = await db
        .selectFrom("orders")
        .select("placed_on")
        .where("archived", "=", 0)
        .orderBy("placed_on")
        .limit(1)
        .executeTakeFirst();
      const whole = first ? Math.floor(daysBetween(first.placed_on, today) / 7) : 0;
      const weeks = Math.max(0, Math.min(MOST_WEEKS, whole));
      if (weeks < LEAST_WEEKS) return { weeks, items: [] };
      const used = await weeklyUse(db, ground, { from: addDays(today, -7 * weeks), weeks });
      const items = [...stockItems(ground, used), ...threadItems(ground, used)];
      return { weeks, items: items.sort(soonest) };
    },
  };
}

/** What must be ordered now first, then what runs out soonest. */
const soonest = (a: Item, b: Item): number =>
  Number(b.isNow) - Number(a.isNow) || (a.daysLeft ?? Infinity) - (b.daysLeft ?? Infinity);

function stockItems(ground: CostGround, used: WeeklyUse): Item[] {
  return [...ground.stock.values()]
    .filter((one) => !one.archived && used.has(one.id))
    .map(({ id, code, name, unit, onHand, reorderPoint: setPoint }) => {
      const figure = ground.figures.stock.get(id);
      return proposed(ground, used.get(id)!, {
        ...{ of: "stock" as const, subjectId: id, code, name, unit, onHand, setPoint },
        worth: figure ? figure.priceCents / figure.amount : null,
        pack: 1,
      });
    });
}

function threadItems(ground: CostGround, used: WeeklyUse): Item[] {
  return [...ground.threads.values()]
    .filter((one) => !one.archived && used.has(one.id))
    .map(({ id, code, name, metresLeft, reorderMetres, metresPerCone }) => {
      const figure = ground.figures.threads.get(id);
      return proposed(ground, used.get(id)!, {
        ...{ of: "thread" as const, subjectId: id, code, name, unit: "m" },
        ...{ onHand: metresLeft, setPoint: reorderMetres },
        worth: figure ? figure.priceCents / figure.metres : null,
        pack: Math.max(1, figure?.metres ?? metresPerCone),
      });
    });
}

interface Thing extends Pick<Item, "of" | "subjectId" | "code" | "name" | "unit" | "onHand" | "setPoint"> {
  /** Cents for one unit; null where no price is entered. */
  readonly worth: number | null;
  /** Bought in whole ones of so many units. */
  readonly pack: number;
}

function proposed({ settings }: CostGround, weeks: readonly number[], thing: Thing): Item {
  const { worth, pack, ...named } = thing;
  const mean = weeks.reduce((sum, one) => sum + one, 0) / weeks.length;
  const deviation = Math.sqrt(weeks.reduce((sum, one) => sum + (one - mean) ** 2, 0) / (weeks.length - 1));
  const ahead = settings.ordering && pointOf(settings.ordering, mean, deviation);
  const packs =
    settings.ordering && worth !== null ? packsOf(settings.ordering, { mean, worth, pack }) : null;
  return {
    ...named,
    weekMean: mean,
    weekDeviation: deviation,
    daysLeft: mean > 0 ? (7 * Math.max(0, named.onHand)) / mean : null,
    point: ahead?.point ?? null,
    safety: ahead?.safety ?? null,
    amount: packs === null ? null : packs * pack,
    cones: packs !== null && named.of === "thread" ? packs : null,
    isNow: ahead !== null && named.onHand <= ahead.point,
  };
}

/** Whole units, so that a shelf can be counted; safety is what stands above the use of those days. */
function pointOf({ days, service }: Ordering, mean: number, deviation: number) {
  const exact = reorderPoint({ mean, deviation, periods: days / 7 }, service);
  return { point: Math.ceil(exact.point), safety: exact.safety };
}

/** Whole packs: of the two beside the best amount the one that costs less, at least one. */
function packsOf(
  { orderCents, holdingShare }: Ordering,
  { mean, worth, pack }: { readonly mean: number; readonly worth: number; readonly pack: number },
): number {
  const most = Math.max(1, Math.floor((MOST_AHEAD * mean) / pack));
  if (worth === 0 || mean === 0) return most;
  const costsOf: OrderCosts = { orderCost: orderCents, holding: (worth * holdingShare) / WEEKS_A_YEAR };
  const best = economicOrder(mean, costsOf).amount / pack;
  const below = Math.max(1, Math.floor(best));
  const cost = (packs: number) => orderingCost(mean, packs * pack, costsOf);
  return Math.min(most, cost(below) <= cost(below + 1) ? below : below + 1);
}
