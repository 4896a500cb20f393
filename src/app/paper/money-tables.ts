import type { costs, quotes } from "#contract";
import { amountOf } from "#core/base";
import { judged } from "#core/costing";
import type { PurchaseTable, Store } from "#store";
import { studioOf } from "../records";
import type { Cell } from "./csv";

/** Headings and cells stand together, so that no column can slip. */
export type Columns<T> = readonly (readonly [heading: string, cell: (record: T) => Cell])[];
type Filled<T> = readonly [columns: Columns<T>, records: readonly T[]];

/** The studio's currency, and what so many of its minor units are as an amount. */
export async function moneyOf(db: Store["db"]) {
  const currency = (await studioOf(db))?.body.currency ?? "EUR";
  return { currency, amount: (minor: number | null) => (minor === null ? null : amountOf(minor, currency)) };
}

/** One row a line of a quote. Prices stand where it was sent, or where a person typed them. */
export async function quoteTable(db: Store["db"], archived: "no" | "all") {
  const money = await moneyOf(db);
  const rows = await db
    .selectFrom("quotes")
    .leftJoin("orders", "orders.id", "quotes.order_id")
    .selectAll("quotes")
    .select("orders.reference as order_reference")
    .$if(archived === "no", (all) => all.where("quotes.archived", "=", 0))
    .orderBy("quotes.number")
    .execute();
  const products = new Map(
    (await db.selectFrom("products").select(["id", "name"]).execute()).map((one) => [one.id, one.name]),
  );
  const lines = rows.flatMap((row) => {
    const asked = JSON.parse(row.body) as costs.QuoteAsked;
    const sent = row.sent === null ? null : (JSON.parse(row.sent) as Sent);
    return asked.lines.map((line, at) => ({
      row,
      line,
      at,
      day: sent?.day ?? null,
      name: sent?.worked.lines[at]?.name ?? products.get(line.productId) ?? line.productId,
      eachCents: sent?.worked.lines[at]?.eachCents ?? line.priceCents,
    }));
  });
  const columns: Columns<(typeof lines)[number]> = [
    ["number", ({ row }) => row.number],
    ["line", ({ at }) => at],
    ["state", ({ row }) => row.state],
    ["customer", ({ row }) => row.customer],
    ["reference", ({ row }) => row.reference],
    ["valid_until", ({ row }) => row.valid_until],
    ["sent_on", ({ day }) => day],
    ["product", ({ name }) => name],
    ["what", ({ line }) => line.what],
    ["quantity", ({ line }) => line.quantity],
    ["price", ({ eachCents }) => money.amount(eachCents)],
    ["currency", () => money.currency],
    ["order", ({ row }) => row.order_reference],
    ["archived", ({ row }) => row.archived === 1],
    ["id", ({ row }) => row.id],
  ];
  return [columns, lines] as const;
}

interface Sent {
  readonly day: string;
  readonly worked: costs.QuoteWorked;
}

/** One row a purchase, its years in one cell, judged at its own rate. */
export async function purchaseTable(
  db: Store["db"],
  archived: "no" | "all",
): Promise<Filled<PurchaseJudged>> {
  const money = await moneyOf(db);
  const rows = await db
    .selectFrom("purchases")
    .selectAll()
    .$if(archived === "no", (all) => all.where("archived", "=", 0))
    .orderBy("created_at_ms")
    .orderBy("id")
    .execute();
  return [
    [
      ["name", ({ row }) => row.name],
      ["paid_now", ({ body }) => money.amount(body.outlayCents)],
      ["years", ({ body }) => body.yearCents.map((cents) => money.amount(cents)).join("; ")],
      ["worth_at_the_end", ({ body }) => money.amount(body.salvageCents)],
      ["rate", ({ body }) => body.rate],
      ["paid_back_years", ({ said }) => said.payback],
      ["net_present_value", ({ said }) => money.amount(Math.round(said.netPresentValue))],
      ["equal_annual_amount", ({ said }) => money.amount(Math.round(said.equalAnnual))],
      ["internal_rates", ({ said }) => said.internalRates.join("; ")],
      ["currency", () => money.currency],
      ["outcome", ({ body }) => body.outcome],
      ["note", ({ body }) => body.note],
      ["archived", ({ row }) => row.archived === 1],
      ["id", ({ row }) => row.id],
    ],
    rows.map((row) => {
      const body = JSON.parse(row.body) as quotes.PurchaseBody;
      return { row, body, said: judged([-body.outlayCents, ...body.yearCents], body.rate) };
    }),
  ];
}

interface PurchaseJudged {
  readonly row: PurchaseTable;
  readonly body: quotes.PurchaseBody;
  readonly said: ReturnType<typeof judged>;
}
