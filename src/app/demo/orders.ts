import { type Chance, pick } from "#core/base";
import { addDays } from "#core/shop";
import { writeCsv } from "../paper/csv";
import type { DemoCalendar } from "./calendar";
import { demoNames, type DemoProduct, demoProducts, demoSurnames, demoThreads } from "./goods";

export interface DemoLine {
  readonly product: DemoProduct;
  readonly quantity: number;
  readonly text: string;
  /** The motif the customer asks for; null takes the product's own. */
  readonly picture: string | null;
  /** Code of the thread the customer wants the name in; null takes the product's own. */
  readonly textThread: string | null;
}

export interface DemoOrder {
  readonly reference: string;
  readonly customer: string;
  readonly channel: string;
  readonly placedOn: string;
  readonly promiseDate: string;
  readonly shipBy: string;
  readonly lines: readonly DemoLine[];
  readonly note: string;
}

const channels = ["web shop", "web shop", "web shop", "harbour market", "at the counter"] as const;
/** Names that come again in the season past: the same design need not be made anew. */
const SEASON_NAMES = 12;

function pickProduct(chance: Chance): DemoProduct {
  let at = chance.below(demoProducts.reduce((sum, product) => sum + product.weight, 0));
  for (const product of demoProducts) {
    at -= product.weight;
    if (at < 0) return product;
  }
  return demoProducts[0]!;
}

function lineOf(chance: Chance, asked: Pick<OrderWish, "names" | "pictures" | "embroidered">): DemoLine {
  const { names, pictures } = asked;
  let product = pickProduct(chance);
  while (asked.embroidered && product.kind !== "embroidered") product = pickProduct(chance);
  const asksPicture = pictures === "any" && product.pictures.length > 0 && chance.below(3) > 0;
  const picture = asksPicture ? pick(product.pictures, chance) : null;
  const text = product.placements.some((placement) => placement.lettering !== null)
    ? pick(names, chance)
    : "";
  const roll = chance.below(20);
  // Most are one of a kind; sewn goods and team orders come in numbers.
  const quantity =
    product.kind === "sewn" ? 1 + chance.below(3) : roll < 15 ? 1 : roll < 18 ? 2 : roll < 19 ? 3 : 4;
  // Two in three choose the colour of their name, from the whole card.
  const textThread = text !== "" && chance.below(3) > 0 ? pick(demoThreads, chance)[0] : null;
  return { product, quantity, text, picture, textThread };
}

interface OrderWish {
  readonly number: number;
  readonly shipBy: string;
  readonly calendar: DemoCalendar;
  readonly leadDays: number;
  readonly names: readonly string[];
  readonly pictures: "any" | "own";
  readonly embroidered: boolean;
}

function orderOf(chance: Chance, wish: OrderWish): DemoOrder {
  const { number, shipBy, calendar, leadDays } = wish;
  const lines = [lineOf(chance, wish)];
  if (chance.below(5) === 0) lines.push(lineOf(chance, wish));
  return {
    reference: `NQ-${number}`,
    customer: `${pick(demoNames, chance)} ${pick(demoSurnames, chance)}`,
    channel: pick(channels, chance),
    placedOn: addDays(shipBy, -(5 + chance.below(5))),
    promiseDate: calendar.promiseFor(shipBy, leadDays),
    shipBy,
    lines,
    note: chance.below(9) === 0 ? "A present: no price in the parcel." : "",
  };
}

/** A season of working days up to the day before the base day, about six orders a day, as they shipped. */
export function seasonOrders(
  chance: Chance,
  calendar: DemoCalendar,
  asked: { days: number; firstNumber: number; leadDays: number },
): { readonly day: string; readonly orders: readonly DemoOrder[] }[] {
  const names = demoNames.slice(0, SEASON_NAMES);
  let number = asked.firstNumber;
  return Array.from({ length: asked.days }, (_, index) => {
    const day = calendar.workday(index - asked.days);
    const count = 4 + chance.below(5);
    return {
      day,
      orders: Array.from({ length: count }, () =>
        orderOf(chance, {
          number: number++,
          shipBy: day,
          calendar,
          leadDays: asked.leadDays,
          names,
          pictures: "own",
          embroidered: false,
        }),
      ),
    };
  });
}

/** How many of the sixty open orders leave on which working day from the base day on; -1 and -2 are late. */
const spread: readonly (readonly [workday: number, orders: number])[] = [
  [-2, 1],
  [-1, 2],
  [0, 11],
  [1, 13],
  [2, 12],
  [3, 9],
  [4, 7],
  [5, 5],
];

/** The sixty open orders, earliest ship-by date first. */
export function openOrders(
  chance: Chance,
  calendar: DemoCalendar,
  asked: { firstNumber: number; leadDays: number },
): DemoOrder[] {
  const orders = spread.flatMap(([workday, count]) =>
    Array.from({ length: count }, () =>
      orderOf(chance, {
        number: 0,
        shipBy: calendar.workday(workday),
        calendar,
        leadDays: asked.leadDays,
        names: demoNames,
        pictures: "any",
        embroidered: workday < 0,
      }),
    ),
  );
  // An order comes before the day it is looked at, however far off its promise is; numbers follow the day it came.
  const placed = orders.map((order) =>
    order.placedOn < calendar.base ? order : { ...order, placedOn: calendar.workday(-1 - chance.below(3)) },
  );
  const byDay = placed
    .map((order, index) => ({ order, index }))
    .sort((a, b) =>
      a.order.placedOn < b.order.placedOn ? -1 : a.order.placedOn > b.order.placedOn ? 1 : a.index - b.index,
    );
  const numbers = new Map(byDay.map(({ index }, place) => [index, asked.firstNumber + place]));
  return placed.map((order, index) => ({ ...order, reference: `NQ-${numbers.get(index)!}` }));
}

/** Orders as the export of a web shop has them, one row a line. */
export function ordersCsv(
  orders: readonly DemoOrder[],
  designName: (motif: string) => string,
): { readonly bytes: Uint8Array; readonly columns: readonly string[] } {
  const columns = [
    ["Order no.", "reference"],
    ["Line", "line-reference"],
    ["Customer", "customer"],
    ["Channel", "channel"],
    ["Placed", "placed-on"],
    ["Promised", "promise-date"],
    ["Ship by", "ship-by"],
    ["Article", "product"],
    ["Quantity", "quantity"],
    ["Name to sew", "personal-text"],
    ["Thread", "text-thread"],
    ["Picture", "design"],
    ["Remark", "note"],
  ] as const;
  const rows = orders.flatMap((order) =>
    order.lines.map((line, index) => [
      order.reference,
      String(index + 1),
      order.customer,
      order.channel,
      order.placedOn,
      order.promiseDate,
      order.shipBy,
      line.product.code,
      line.quantity,
      line.text,
      line.textThread ?? "",
      line.picture === null ? "" : designName(line.picture),
      order.note,
    ]),
  );
  return {
    bytes: writeCsv(
      columns.map(([heading]) => heading),
      rows,
    ),
    columns: columns.map(([, meaning]) => meaning),
  };
}
