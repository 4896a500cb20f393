/**
 * The ledger of a season of 10,000 pieces over the demo studio: how long it takes, and whether every way of adding up
 * its costs gives the same cent. `npm run bench ledger`.
 */
import { pick, seededChance } from "#core/base";
import { addDays } from "#core/shop";
import { openBenchProgram } from "../five-years";

const PIECES = 10_000;
const PER_ORDER = 40;
const DAYS = 91;
const FROM = "2025-01-06";
const RUNS = 7;

const program = await openBenchProgram("memory");
await program.setup.startDemo();
await program.setup.idle();
const { items: products } = await program.ask("products.list", { query: { limit: 100 } });
const { settings } = await program.ask("readCosts");
const chance = seededChance(7);
const orderIds: string[] = [];
for (let at = 0; at < PIECES / PER_ORDER; at += 1) {
  const placedOn = addDays(FROM, chance.below(DAYS));
  const { id } = await program.ask("createOrder", {
    body: {
      reference: `SEASON-${at}`,
      channel: pick(settings.channels, chance).name,
      placedOn,
      promiseDate: addDays(placedOn, 14),
      lines: Array.from({ length: 4 }, () => ({
        productId: pick(products, chance).id,
        quantity: PER_ORDER / 4,
        personalText: "",
        priceCents: 500 + chance.below(9000),
      })),
    },
  });
  orderIds.push(id);
}
const asked = { from: FROM, to: addDays(FROM, DAYS - 1) };
const ledgerOf = (offset = 0, limit = 200) =>
  program.ask("costLedger", { query: { ...asked, offset, limit } });

const times: number[] = [];
for (let run = 0; run < RUNS; run += 1) {
  const startedAt = performance.now();
  await ledgerOf();
  times.push(performance.now() - startedAt);
}
const ledger = await ledgerOf();
const sum = <T>(items: readonly T[], of: (item: T) => number) => items.reduce((all, one) => all + of(one), 0);
const paged: (typeof ledger)["orders"] = [];
for (let offset = 0; offset < ledger.total; offset += 200) paged.push(...(await ledgerOf(offset)).orders);
const each = [];
for (const id of orderIds) each.push(await program.ask("orderCost", { params: { id } }));
const { priceCents, taxCents, feesCents, costCents, profitCents } = ledger.earned;
const ways = {
  "by kind": sum(ledger.byKind, (one) => one.cents),
  "by product and parcels": sum(ledger.byProduct, (one) => one.costCents) + ledger.parcelCents,
  "by order, page after page": sum(paged, (one) => one.earned.costCents),
  "each order asked for by itself": sum(each, (one) => one.totalCents),
  "its pieces and parcels": sum(
    each,
    (one) => sum(one.byPiece, (piece) => piece.totalCents) + sum(one.parcel, (line) => line.cents),
  ),
  "its lines": sum(each, (one) => sum(one.lines, (line) => line.cents)),
  "price less tax, fees and profit": priceCents - taxCents - feesCents - profitCents,
};
console.log(`${ledger.pieces} pieces in ${ledger.total} orders, cost ${costCents} cents`);
const sorted = [...times].sort((a, b) => a - b);
console.log(
  `ledger: median ${Math.round(sorted[RUNS >> 1]!)} ms, first ${Math.round(times[0]!)} ms, slowest ${Math.round(sorted.at(-1)!)} ms`,
);
for (const [way, cents] of Object.entries(ways))
  console.log(
    `${way.padEnd(34)} ${cents} ${cents === costCents ? "the same" : `off by ${cents - costCents}`}`,
  );
await program.close();
