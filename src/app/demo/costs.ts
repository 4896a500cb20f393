import type { costs } from "#contract";
import type { Door } from "./door";
import type { DemoIds } from "./lists";

/** What things cost at Ninepenny Quay: all invented, in euro cents; one figure or another is a guess, and says so. */

const entered = (value: number) => ({ value, from: "entered" as const });
const guessed = (value: number) => ({ value, from: "guessed" as const });
const usual = (value: number) => ({ value, from: "common-practice" as const });

const settings: costs.CostSettings = {
  wageCentsPerHour: entered(1650),
  allowance: { share: 0.09, of: "of-work", from: "common-practice" },
  overhead: { key: "per-hand-hour", rate: 420, from: "entered" },
  energyCentsPerKwh: entered(31.5),
  taxShare: entered(0.2),
  spoiledShare: guessed(0.02),
  packing: { cents: 85, seconds: 150, from: "entered" },
  prepareS: guessed(900),
  stitchesPerBobbin: usual(30_000),
  threadingsPerRun: guessed(1.4),
  channels: [
    { id: "web", name: "web shop", feeShare: 0.029, feeCents: 30, from: "entered" },
    { id: "counter", name: "at the counter", feeShare: 0.012, feeCents: 0, from: "entered" },
    { id: "market", name: "harbour market", feeShare: 0.012, feeCents: 0, from: "guessed" },
  ],
  margin: 0.3,
  rounding: { stepCents: 50, endCents: 0, way: "up" },
  tiers: [
    { from: 10, margin: 0.26 },
    { from: 25, margin: 0.22 },
    { from: 50, margin: 0.18 },
  ],
  rush: { share: 0.25, cents: 500 },
  quoteDays: 30,
  ordering: { orderCents: 650, holdingShare: 0.2, days: 5, service: 0.95, from: "guessed" },
};

/** [code, cents, for so many of its unit]. */
const stockPrices: readonly (readonly [code: string, cents: number, amount: number])[] = [
  ["ROBE-A-NV", 2850, 1],
  ["ROBE-C-SG", 2150, 1],
  ["TWL-B-ST", 1180, 1],
  ["TWL-H-IV", 495, 1],
  ["APR-NAT", 890, 1],
  ["BAG-KIT", 1490, 1],
  ["BAG-TOTE", 520, 1],
  ["HAT-KNIT", 640, 1],
  ["CUSH-45", 710, 1],
  ["CL-LINEN", 1390, 1],
  ["CL-COT-B", 690, 1],
  ["CL-COT-G", 620, 1],
  ["CUT-60", 1400, 100],
  ["TEAR-40", 950, 100],
  ["FILM-SOL", 2600, 50],
  ["BOB-WHT", 3900, 144],
];

/** Cloth that sewn goods take, metres. */
const clothOf: readonly (readonly [product: string, stock: string, metres: number])[] = [
  ["NAPK", "CL-LINEN", 0.55],
  ["BUNT", "CL-COT-B", 1.6],
  ["KERCH", "CL-COT-G", 0.35],
];

const CONE_CENTS = 490;
const CONE_METRES = 1000;

const machineOf = (
  kind: "multi-needle" | "straight-stitch" | "household",
): Extract<costs.CostFigure, { of: "machine" }> =>
  kind === "straight-stitch"
    ? {
        of: "machine",
        priceCents: null,
        lifeHours: guessed(8000),
        resaleCents: guessed(15_000),
        serviceCents: entered(9500),
        serviceEveryHours: guessed(600),
        repairCentsPerHour: guessed(8),
        powerKw: entered(0.25),
      }
    : {
        of: "machine",
        priceCents: null,
        lifeHours: guessed(12_000),
        resaleCents: guessed(120_000),
        serviceCents: entered(38_000),
        serviceEveryHours: usual(500),
        repairCentsPerHour: guessed(25),
        powerKw: entered(0.4),
      };

/** A thing's id and what it costs. */
type Priced = readonly [id: string, figure: costs.CostFigure];

/** Enters what things cost as a person would. */
export async function enterCosts(door: Door, ids: DemoIds): Promise<void> {
  await door.ask("keepCostSettings", { body: settings, ifMatch: 0 });
  const machines = (await door.ask("machines.list", { query: { limit: 50 } })).items;
  const figures: readonly Priced[] = [
    ...stockPrices.map(([code, priceCents, amount]): Priced => [
      ids.stock.get(code)!,
      { of: "stock", priceCents, amount, from: "entered" },
    ]),
    ...[...ids.threads.values()].map((id): Priced => [
      id,
      { of: "thread", priceCents: CONE_CENTS, metres: CONE_METRES, from: "entered" },
    ]),
    ...machines.map(({ id, kind }): Priced => [id, machineOf(kind)]),
    ...clothOf.map(([product, stock, amount]): Priced => [
      ids.products.get(product)!,
      { of: "product", takes: [{ stockId: ids.stock.get(stock)!, amount }], from: "entered" },
    ]),
  ];
  await door.ask("keepCostFigures", {
    body: {
      figures: figures.map(([subjectId, figure]) => ({ subjectId, version: 0, of: figure.of, figure })),
    },
  });
}
