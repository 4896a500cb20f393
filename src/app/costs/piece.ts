import type { costs, shapes } from "#contract";
import {
  allowanceWords,
  type Known,
  pieceCost,
  type PieceCost,
  standardTime,
  type Used,
  type Work,
} from "#core/costing";
import type { Kept } from "../records";
import type { CostGround } from "./ground";
import { type Gathered, timeWords } from "./gathered";
import { type Asking, asking, knownBy, leastKnown } from "./missing";
import type { RunSewing } from "./sewing";
import { takeHands, takeMachine, takeSewing } from "./working";

/**
 * What one piece costs: its blank or cloth, thread, bobbin, backing, topping, the machine's time and the hands', with
 * its share of spoiled pieces and of the overhead. What is not known is asked for and stands in no line.
 */

export interface Costed extends PieceCost {
  /** Seconds the machines are taken up: sewing, and standing while a person loads and threads. */
  readonly machineS: number;
  /** Seconds of hands with the allowance. */
  readonly handS: number;
  readonly missing: readonly costs.MissingFigure[];
}

/** TRADE.md: one prewound bobbin gives about 30,000 stitches; common practice, no source. */
const STITCHES_PER_BOBBIN = 30_000;
/** Backing and topping reach past the hoop's field on each side by this much, as the pick list has it. */
const MARGIN_MM = 40;
const perMetre = new Set(["m", "metre", "metres", "meter", "meters"]);

type Product = Kept<shapes.ProductBody>;

export function costedPiece(ground: CostGround, product: Product, runs: readonly RunSewing[]): Costed {
  const gathered: Gathered = { used: [], work: [], machineS: 0, needed: asking() };
  takeGoods(ground, product, gathered);
  for (const run of runs) takeRun(ground, product, run, gathered);
  if (product.sewS > 0) takeSewing(ground, product, gathered);
  else if (product.kind === "sewn")
    gathered.needed.ask(`${product.name}: how long it takes to sew`, "record", product.id);
  return counted(ground, gathered);
}

/** Lines of what was gathered, with spoilage and overhead. */
function counted({ settings, measured }: CostGround, { used, work, machineS, needed }: Gathered): Costed {
  const wage = settings.wageCentsPerHour ?? needed.ask("the wage an hour", "settings");
  const allowance = settings.allowance ?? needed.ask("the allowance on times of hands", "settings");
  const spoiled =
    measured.spoiled ??
    settings.spoiledShare ??
    needed.ask("the share of pieces that are spoiled", "settings");
  const overhead = settings.overhead ?? needed.ask("the overhead", "settings");
  const paid = wage && allowance ? { wage, allowance } : null;
  const cost = pieceCost({
    used,
    work: paid
      ? work.map((one) => ({
          ...one,
          known: leastKnown(one.known, knownBy(paid.wage.from)),
          note: workNote(one, paid.allowance),
        }))
      : [],
    wageCentsPerHour: paid?.wage.value ?? 0,
    allowance: paid?.allowance ?? { share: 0, of: "of-work" },
    ...(spoiled === null
      ? { spoiledShare: 0, spoiledKnown: { by: "guessed" } as const }
      : "pieces" in spoiled
        ? { spoiledShare: spoiled.share, spoiledKnown: { by: "measured", count: spoiled.pieces } as const }
        : { spoiledShare: spoiled.value, spoiledKnown: knownBy(spoiled.from) }),
    overhead: overhead && { ...overhead, known: knownBy(overhead.from) },
  });
  const handS = work.reduce(
    (sum, { seconds }) => sum + standardTime(seconds, allowance ?? { share: 0, of: "of-work" }),
    0,
  );
  return { ...cost, machineS, handS, missing: needed.found };
}

const workNote = ({ seconds, note }: Work, allowance: NonNullable<costs.CostSettings["allowance"]>): string =>
  `${note ?? ""}${note ? " " : ""}${timeWords(seconds)} and ${allowanceWords(allowance)}.`;

/** A stock item's price for one of its unit; null where it is not entered. */
function stockPrice(
  { figures, stock }: CostGround,
  id: string,
  needed: Asking,
): { cents: number; known: Known } | null {
  const figure = figures.stock.get(id);
  if (!figure) return needed.ask(`the price of ${stock.get(id)?.name ?? "a stock item"}`, "stock", id);
  return { cents: figure.priceCents / figure.amount, known: knownBy(figure.from) };
}

function takeStock(
  ground: CostGround,
  {
    id,
    amount,
    kind,
    note,
  }: { readonly id: string; readonly amount: number; readonly kind: Used["kind"]; readonly note?: string },
  { used, needed }: Gathered,
): void {
  const price = stockPrice(ground, id, needed);
  if (!price) return;
  const item = ground.stock.get(id);
  used.push({
    kind,
    what: item?.name ?? "stock item",
    amount,
    unit: perMetre.has(item?.unit.toLowerCase() ?? "") ? "m" : "piece",
    centsPerUnit: price.cents,
    known: price.known,
    note: note ?? "",
  });
}

/** The blank, and what the product takes besides. */
function takeGoods(ground: CostGround, product: Product, gathered: Gathered): void {
  const figure = ground.figures.products.get(product.id);
  if (product.blankId !== null)
    takeStock(ground, { id: product.blankId, amount: 1, kind: "blank" }, gathered);
  else if (!figure)
    gathered.needed.ask(
      product.kind === "sewn" ? `${product.name}: the cloth it takes` : `${product.name}: what it is made on`,
      "product",
      product.id,
    );
  for (const { stockId, amount } of figure?.takes ?? [])
    takeStock(
      ground,
      { id: stockId, amount, kind: ground.stock.get(stockId)?.kind === "cloth" ? "cloth" : "blank" },
      gathered,
    );
}

/** One run: thread, bobbin, backing and topping, the machine, the hands. */
function takeRun(ground: CostGround, product: Product, run: RunSewing, gathered: Gathered): void {
  const { needed } = gathered;
  if (!run.sewing) {
    needed.ask(`${product.name}, ${run.placementName}: a design to count stitches of`, "record", product.id);
    return;
  }
  takeThread(ground, run, gathered);
  takeBacking(ground, product, run, gathered);
  takeMachine(ground, run, gathered);
  takeHands(ground, product, run, gathered);
}

/** From so many colours on thread is told as one line, at the mean price. */
const MANY_COLOURS = 6;

function takeThread(ground: CostGround, run: RunSewing, { used, needed }: Gathered): void {
  const { topM, stitches } = run.sewing!;
  const lines = [...topM].flatMap(([id, metres]) => {
    const thread = ground.threads.get(id);
    const figure = ground.figures.threads.get(id);
    if (!figure) {
      needed.ask(
        thread ? `the price of thread ${thread.code} ${thread.name}` : "a thread for every part",
        thread ? "thread" : "record",
        thread ? id : null,
      );
      return [];
    }
    return [
      {
        what: `${thread?.code ?? ""} ${thread?.name ?? ""}`,
        metres,
        cents: figure.priceCents / figure.metres,
        known: knownBy(figure.from),
      },
    ];
  });
  const note = run.of > 1 ? `Mean of ${run.of} runs.` : `${Math.round(stitches)} stitches in all.`;
  if (lines.length < MANY_COLOURS)
    used.push(
      ...lines.map(({ what, metres, cents, known }): Used => ({
        kind: "thread",
        what,
        amount: metres,
        unit: "m",
        centsPerUnit: cents,
        known,
        note,
      })),
    );
  else {
    const metres = lines.reduce((sum, one) => sum + one.metres, 0);
    const cents = lines.reduce((sum, one) => sum + one.metres * one.cents, 0);
    used.push({
      kind: "thread",
      what: `thread of ${lines.length} colours`,
      amount: metres,
      unit: "m",
      centsPerUnit: cents / metres,
      known: leastKnown(...lines.map((one) => one.known)),
      note,
    });
  }
  takeBobbin(ground, run, { used, needed });
}

function takeBobbin(
  ground: CostGround,
  run: RunSewing,
  { used, needed }: Pick<Gathered, "used" | "needed">,
): void {
  const bobbin = bobbinOf(ground);
  if (!bobbin) {
    needed.ask("a stock item for bobbins, with its price", "record");
    return;
  }
  const price = stockPrice(ground, bobbin.id, needed);
  if (!price) return;
  const lasts = bobbinLasts(ground);
  used.push({
    kind: "bobbin",
    what: bobbin.name,
    amount: run.sewing!.stitches / lasts.value,
    unit: "piece",
    centsPerUnit: price.cents,
    known: leastKnown(price.known, knownBy(lasts.from)),
    note: `One lasts ${Math.round(lasts.value)} stitches.`,
  });
}

/** How much of a backing or topping goes under one hooping: a sheet, or metres as long as the hoop's field and more. */
export function cutOf(ground: CostGround, stockId: string, hoopId: string | null): number {
  const hoop = hoopId === null ? undefined : ground.hoops.get(hoopId);
  return perMetre.has(ground.stock.get(stockId)?.unit.toLowerCase() ?? "")
    ? ((hoop?.fieldHeightMm ?? 0) + 2 * MARGIN_MM) / 1000
    : 1;
}

function takeBacking(ground: CostGround, product: Product, run: RunSewing, gathered: Gathered): void {
  const placement = product.placements.find((one) => one.id === run.placementId);
  for (const [kind, id] of [
    ["backing", placement?.backingId],
    ["topping", placement?.toppingId],
  ] as const)
    if (id) takeStock(ground, { id, amount: cutOf(ground, id, run.hoopId), kind }, gathered);
}

/** The stock item bobbins are: the first that has a price, else the first. */
export function bobbinOf({ stock, figures }: CostGround) {
  const bobbins = [...stock.values()].filter((item) => item.kind === "bobbin" && !item.archived);
  return bobbins.find(({ id }) => figures.stock.has(id)) ?? bobbins[0];
}

/** How long a bobbin lasts, entered or common practice. */
export const bobbinLasts = ({ settings }: CostGround) =>
  settings.stitchesPerBobbin ?? { value: STITCHES_PER_BOBBIN, from: "common-practice" as const };
