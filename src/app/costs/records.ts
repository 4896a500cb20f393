import type { costs } from "#contract";
import type { CostFigureTable, Store } from "#store";

/** The figures of cost as they are kept. */

type Reader = Store["db"];

export const SETTINGS_ID = "costs";

/** Before anything is entered: nothing is known, and only prices are written in whole units. */
export const emptySettings: costs.CostSettings = {
  wageCentsPerHour: null,
  allowance: null,
  overhead: null,
  energyCentsPerKwh: null,
  taxShare: null,
  spoiledShare: null,
  packing: null,
  prepareS: null,
  stitchesPerBobbin: null,
  threadingsPerRun: null,
  channels: [],
  margin: 0.3,
  rounding: { stepCents: 50, endCents: 0, way: "up" },
  tiers: [],
  rush: { share: 0.25, cents: 0 },
  quoteDays: 30,
  ordering: null,
};

export async function settingsOf(
  db: Reader,
): Promise<{ readonly version: number; readonly settings: costs.CostSettings }> {
  const row = await db
    .selectFrom("cost_settings")
    .selectAll()
    .where("id", "=", SETTINGS_ID)
    .executeTakeFirst();
  return row
    ? { version: row.version, settings: { ...emptySettings, ...(JSON.parse(row.body) as object) } }
    : { version: 0, settings: emptySettings };
}

type FigureOf<K extends costs.CostFigure["of"]> = Extract<costs.CostFigure, { of: K }>;

export interface Figures {
  readonly rows: readonly CostFigureTable[];
  readonly stock: ReadonlyMap<string, FigureOf<"stock">>;
  readonly threads: ReadonlyMap<string, FigureOf<"thread">>;
  readonly machines: ReadonlyMap<string, FigureOf<"machine">>;
  readonly products: ReadonlyMap<string, FigureOf<"product">>;
}

export const figureOf = (row: CostFigureTable): costs.CostFigure => JSON.parse(row.body) as costs.CostFigure;

export async function figuresOf(db: Reader): Promise<Figures> {
  const rows = await db.selectFrom("cost_figures").selectAll().orderBy("id").execute();
  const figures = {
    rows,
    stock: new Map<string, FigureOf<"stock">>(),
    threads: new Map<string, FigureOf<"thread">>(),
    machines: new Map<string, FigureOf<"machine">>(),
    products: new Map<string, FigureOf<"product">>(),
  };
  for (const row of rows) {
    const figure = figureOf(row);
    if (figure.of === "stock") figures.stock.set(row.id, figure);
    else if (figure.of === "thread") figures.threads.set(row.id, figure);
    else if (figure.of === "machine") figures.machines.set(row.id, figure);
    else figures.products.set(row.id, figure);
  }
  return figures;
}
