import { z } from "zod";
import { row } from "./row";
import { calendarDate, cents, id, name, seconds } from "./values";

/** What things, pieces and orders cost; prices, quotes. Money in whole minor units unless a name says otherwise. */

const from = z.enum(["entered", "common-practice", "guessed"]);
/** A figure a person gave, and where they have it from. Money in minor units, which may be a part of one. */
const figure = z.strictObject({ value: z.number().min(0).max(1_000_000_000), from });
const share = z.number().min(0).max(0.95);

export const costChannel = z.strictObject({
  id,
  /** As orders name it. */
  name,
  /** Of what the customer pays. */
  feeShare: share,
  /** For each order. */
  feeCents: cents.min(0),
  from,
});

export const costSettings = z.strictObject({
  wageCentsPerHour: figure.nullable(),
  allowance: z.strictObject({ share, of: z.enum(["of-work", "of-shift"]), from }).nullable(),
  /** `rate` in minor units a piece or hour, or a share of the cost. */
  overhead: z
    .strictObject({
      key: z.enum(["per-piece", "per-machine-hour", "per-hand-hour", "share-of-cost"]),
      rate: z.number().min(0).max(100_000_000),
      from,
    })
    .nullable(),
  energyCentsPerKwh: figure.nullable(),
  /** Tax within the prices as a share of the net price; 0: prices hold none. */
  taxShare: z.strictObject({ value: z.number().min(0).max(1), from }).nullable(),
  /** Used while too few pieces were sewn to measure it. */
  spoiledShare: z.strictObject({ value: share, from }).nullable(),
  /** Box and work of one parcel. */
  packing: z.strictObject({ cents: cents.min(0), seconds, from }).nullable(),
  /** Making a design ready and asking for the customer's yes, once for each line of a quote. */
  prepareS: z.strictObject({ value: seconds, from }).nullable(),
  stitchesPerBobbin: z.strictObject({ value: z.number().min(100).max(1_000_000), from }).nullable(),
  /** Used while too few runs were told to measure it. */
  threadingsPerRun: z.strictObject({ value: z.number().min(0).max(20), from }).nullable(),
  channels: z
    .array(costChannel)
    .max(30)
    .refine(
      (channels) => new Set(channels.map((one) => one.name.toLowerCase())).size === channels.length,
      "a channel must stand there once",
    ),
  /** Profit wanted as a share of the net price. */
  margin: share,
  rounding: z
    .strictObject({
      stepCents: z.int().min(1).max(100_000),
      endCents: z.int().min(0).max(99_999),
      way: z.enum(["up", "nearest"]),
    })
    .refine((one) => one.endCents < one.stepCents, "prices must end within their step"),
  tiers: z
    .array(z.strictObject({ from: z.int().min(2).max(100_000), margin: share }))
    .max(8)
    .refine(
      (tiers) => tiers.every((tier, at) => at === 0 || tiers[at - 1]!.from < tier.from),
      "quantities must rise",
    ),
  rush: z.strictObject({ share: z.number().min(0).max(5), cents: cents.min(0) }),
  quoteDays: z.int().min(1).max(365),
  /** Ordering again; null: no proposals. */
  ordering: z
    .strictObject({
      /** Each order to a supplier: postage, the time it takes. */
      orderCents: cents.min(0),
      /** Keeping a thing for a year, as a share of its worth: money tied up, room, what spoils. */
      holdingShare: z.number().gt(0).max(2),
      /** Until it is there. */
      days: z.int().min(0).max(180),
      /** Of a hundred orders so many come before anything has run out, as a share. */
      service: z.number().min(0.5).max(0.999),
      from,
    })
    .nullable()
    .default(null),
});

const stockFigure = z.strictObject({
  of: z.literal("stock"),
  priceCents: cents.min(0),
  /** For so many of the item's unit. */
  amount: z.number().gt(0).max(1_000_000),
  from,
});
const threadFigure = z.strictObject({
  of: z.literal("thread"),
  priceCents: cents.min(0),
  metres: z.number().gt(0).max(1_000_000),
  from,
});
const machineFigure = z.strictObject({
  of: z.literal("machine"),
  /** Used where the machine's record has no price. */
  priceCents: figure.nullable(),
  lifeHours: z.strictObject({ value: z.number().gt(0).max(1_000_000), from }).nullable(),
  resaleCents: figure.nullable(),
  serviceCents: figure.nullable(),
  serviceEveryHours: z.strictObject({ value: z.number().gt(0).max(1_000_000), from }).nullable(),
  repairCentsPerHour: figure.nullable(),
  powerKw: z.strictObject({ value: z.number().min(0).max(100), from }).nullable(),
});
/** What a product takes beside its blank and its embroidery; empty: nothing is bought for it. */
const productFigure = z.strictObject({
  of: z.literal("product"),
  takes: z.array(z.strictObject({ stockId: id, amount: z.number().gt(0).max(100_000) })).max(20),
  from,
});
export const costFigure = z.discriminatedUnion("of", [
  stockFigure,
  threadFigure,
  machineFigure,
  productFigure,
]);

const missing = z.object({
  /** What is asked for, in words: "the wage an hour". */
  what: z.string(),
  /** Where it is entered. */
  of: z.enum(["settings", "stock", "thread", "machine", "product", "record"]),
  subjectId: z.string().nullable(),
});

const known = z.discriminatedUnion("by", [
  z.object({ by: z.literal("measured"), count: z.number() }),
  z.object({ by: z.literal("entered") }),
  z.object({ by: z.literal("common-practice") }),
  z.object({ by: z.literal("guessed") }),
]);

const costKind = z.enum([
  "blank",
  "cloth",
  "thread",
  "bobbin",
  "backing",
  "topping",
  "packing",
  "machine",
  "hands",
  "spoilage",
  "overhead",
]);

const costLine = z.object({
  kind: costKind,
  what: z.string(),
  cents: z.int(),
  exactCents: z.number(),
  amount: z.number(),
  unit: z.enum(["piece", "m", "cm²", "h", "share"]),
  rate: z.number(),
  known,
  /** How amount and rate came about. */
  note: z.string(),
});

const earned = z.object({
  priceCents: z.int(),
  taxCents: z.int(),
  feesCents: z.int(),
  costCents: z.int(),
  profitCents: z.int(),
  margin: z.number().nullable(),
});

/** Something costed: while figures are missing its total is only what is known of it. */
const costed = {
  lines: z.array(costLine).readonly(),
  totalCents: z.int(),
  /** Seconds the machines are taken up, and the hands with the allowance. */
  machineS: z.number(),
  handS: z.number(),
  missing: z.array(missing).readonly(),
};

const selling = z.object({ taxShare: z.number(), feeShare: z.number(), feeCents: z.int() });

const productCost = z.object({
  productId: id,
  code: z.string(),
  name: z.string(),
  kind: z.enum(["embroidered", "sewn"]),
  ...costed,
  earned,
  /** Null while a figure is missing or no machine is taken up. */
  profitPerMachineHour: z.number().nullable(),
  profitPerHandHour: z.number().nullable(),
  /** Ordered pieces its stitches are the mean of; 0: of the product's own design. */
  ofPieces: z.int(),
});

const orderMoney = z.object({
  orderId: id,
  reference: z.string(),
  customer: z.string(),
  channel: z.string(),
  placedOn: calendarDate,
  pieces: z.int(),
  earned,
  isWhole: z.boolean(),
});

const byKind = z.array(z.object({ kind: costKind, cents: z.int() })).readonly();

export const quoteAsked = z.strictObject({
  customer: z.string().trim().max(120),
  reference: z.string().trim().max(60),
  validUntil: calendarDate,
  channelId: z.string().max(64).nullable(),
  isRush: z.boolean(),
  note: z.string().max(1000),
  lines: z
    .array(
      z.strictObject({
        productId: id,
        quantity: z.int().min(1).max(100_000),
        what: z.string().trim().max(160),
        /** Null: worked out from cost and margin. */
        priceCents: cents.min(0).nullable(),
      }),
    )
    .min(1, "a quote needs a line")
    .max(40),
});

export const quoteWorked = z.object({
  currency: z.string(),
  lines: z.array(
    z.object({
      productId: id,
      name: z.string(),
      what: z.string(),
      quantity: z.int(),
      eachCents: z.int(),
      /** Where no price was given and nothing is missing, what its quantity's tier asks for. */
      suggestedCents: z.int().nullable(),
      sumCents: z.int(),
      costCents: z.int(),
      /** Prices for other quantities: from so many on, each. */
      tiers: z.array(z.object({ from: z.int(), eachCents: z.int() })),
      missing: z.array(missing).readonly(),
    }),
  ),
  totalCents: z.int(),
  taxCents: z.int(),
  taxShare: z.number(),
  feesCents: z.int(),
  costCents: z.int(),
  profitCents: z.int(),
});

const channelQuery = z.strictObject({ channel: z.string().max(64).default("") });

export const costRows = {
  readCosts: row({
    method: "GET",
    path: "/api/costs",
    summary: "What things cost: the studio's figures, one a thing, what was measured, and what is missing",
    output: z.object({
      version: z.int(),
      settings: costSettings,
      figures: z.array(z.object({ subjectId: id, name: z.string(), version: z.int(), figure: costFigure })),
      measured: z.object({
        spoiled: z.object({ share: z.number(), pieces: z.int() }).nullable(),
        threadings: z.object({ perRun: z.number(), runs: z.int() }).nullable(),
      }),
      machines: z.array(
        z.object({
          machineId: id,
          name: z.string(),
          priceCents: cents.nullable(),
          hour: z
            .object({
              lossOfWorth: z.number(),
              service: z.number(),
              repair: z.number(),
              energy: z.number(),
              total: z.number(),
            })
            .nullable(),
          /** From what was told at the machine; it goes before what was typed. */
          repairs: z.object({ centsPerHour: z.number(), repairs: z.int(), hours: z.number() }).nullable(),
        }),
      ),
      missing: z.array(missing).readonly(),
    }),
    carriage: "json",
  }),
  keepCostSettings: row({
    method: "PUT",
    path: "/api/costs/settings",
    summary: "Sets the studio's figures: wage, allowance, overhead, energy, tax, channels, prices",
    body: costSettings,
    output: z.object({ version: z.int(), settings: costSettings }),
    carriage: "json",
    needsMatch: true,
  }),
  keepCostFigures: row({
    method: "PUT",
    path: "/api/costs/figures",
    summary: "Sets what things cost, all of those named or none; null takes a figure away",
    body: z.strictObject({
      figures: z
        .array(
          z.strictObject({
            subjectId: id,
            /** The version it was read with; 0 where there was none. */
            version: z.int().min(0),
            of: z.enum(["stock", "thread", "machine", "product"]),
            figure: costFigure.nullable(),
          }),
        )
        .min(1)
        .max(500),
    }),
    output: z.object({ kept: z.int() }),
    carriage: "json",
  }),
  productCosts: row({
    method: "GET",
    path: "/api/costs/products",
    summary: "Cost, price and profit of each product, with minutes of machine and hands",
    query: channelQuery,
    output: z.object({
      selling,
      channel: z.string().nullable(),
      /** Of each cost: box and work of a parcel, once for an order. */
      parcelCents: z.int(),
      products: z.array(productCost),
    }),
    carriage: "json",
  }),
  orderCost: row({
    method: "GET",
    path: "/api/costs/orders/:id",
    summary: "What an order costs, piece by piece, and what it leaves",
    output: z.object({
      ...orderMoney.shape,
      byPiece: z.array(
        z.object({
          pieceId: id,
          code: z.string(),
          productName: z.string(),
          personalText: z.string(),
          totalCents: z.int(),
          priceCents: z.int(),
        }),
      ),
      byKind,
      parcel: z.array(costLine).readonly(),
      ...costed,
    }),
    carriage: "json",
  }),
  pieceCost: row({
    method: "GET",
    path: "/api/costs/pieces/:id",
    summary: "What a piece costs, line by line",
    output: z.object({ pieceId: id, code: z.string(), orderId: id, productName: z.string(), ...costed }),
    carriage: "json",
  }),
  costLedger: row({
    method: "GET",
    path: "/api/costs/ledger",
    summary: "The orders placed in some days: price, tax, fees, cost by kind and product, profit",
    query: z.strictObject({
      from: calendarDate,
      to: calendarDate,
      offset: z.coerce.number().int().min(0).default(0),
      limit: z.coerce.number().int().min(1).max(200).default(50),
    }),
    output: z.object({
      from: calendarDate,
      to: calendarDate,
      orders: z.array(orderMoney),
      total: z.int(),
      pieces: z.int(),
      earned,
      byKind,
      byProduct: z.array(
        z.object({
          productId: id,
          name: z.string(),
          pieces: z.int(),
          priceCents: z.int(),
          costCents: z.int(),
        }),
      ),
      /** Box and work of the parcels, which belong to no piece. */
      parcelCents: z.int(),
      missing: z.array(missing).readonly(),
    }),
    carriage: "json",
  }),
  workQuote: row({
    method: "POST",
    path: "/api/costs/quote",
    summary: "Works a quote out: prices by quantity, tax within, what is left; keeps nothing",
    body: quoteAsked,
    output: quoteWorked,
    carriage: "json",
  }),
  quoteSheet: row({
    method: "POST",
    path: "/api/costs/quote.pdf",
    summary: "A quote on paper",
    query: z.strictObject({ paper: z.enum(["A4", "Letter", ""]).default("") }),
    body: quoteAsked,
    carriage: "bytes",
    mediaType: "application/pdf",
  }),
};

export type CostSettings = z.output<typeof costSettings>;
export type CostFigure = z.output<typeof costFigure>;
export type CostChannel = z.output<typeof costChannel>;
export type MissingFigure = z.output<typeof missing>;
export type QuoteAsked = z.output<typeof quoteAsked>;
export type QuoteWorked = z.output<typeof quoteWorked>;
