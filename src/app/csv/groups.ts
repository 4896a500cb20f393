import { hash } from "node:crypto";
import type { shapes } from "#contract";
import type { CalendarDate } from "#core/shop";
import type { LineDraft, OrderDraft } from "../order-drafts";
import { promisedAfter, type RowDraft } from "./rows";

type Reason = shapes.BadRow["reasons"][number];

/** The rows of a file that have one reference: one order. */
export interface OrderGroup {
  readonly reference: string;
  readonly rows: readonly RowDraft[];
}

export function groupsOf(drafts: readonly RowDraft[]): OrderGroup[] {
  const groups = new Map<string, RowDraft[]>();
  for (const draft of drafts) {
    const rows = groups.get(draft.reference);
    if (rows) rows.push(draft);
    else groups.set(draft.reference, [draft]);
  }
  return [...groups].map(([reference, rows]) => ({ reference, rows }));
}

/** The part of a line's key that its content gives, where the file has no number of its own for it. */
const contentKey = (productId: string, personalText: string) =>
  `~${hash("sha256", JSON.stringify([productId, personalText])).slice(0, 20)}`;

/**
 * The keys that keep lines from being added twice: the channel's own line number, or what product and text give, with
 * how many of the same came before.
 */
export function lineKeys(
  lines: readonly {
    readonly lineReference: string | null;
    readonly productId: string;
    readonly personalText: string;
  }[],
): string[] {
  const seen = new Map<string, number>();
  const next = (base: string) => {
    const before = seen.get(base) ?? 0;
    seen.set(base, before + 1);
    return before;
  };
  return lines.map((line) => {
    // A line's own key as it is kept: it must not be counted again.
    if (line.lineReference?.startsWith("~")) return line.lineReference;
    if (line.lineReference !== null) {
      const again = next(`=${line.lineReference}`);
      return again === 0 ? line.lineReference : `${line.lineReference}#${again + 1}`;
    }
    const base = contentKey(line.productId, line.personalText);
    return `${base}.${next(base)}`;
  });
}

/** The next free key for a single line beside those that are there. */
export function freeKey(line: RowDraft, taken: ReadonlySet<string>): string {
  if (line.lineReference !== null) return line.lineReference;
  const base = contentKey(line.productId, line.personalText);
  let number = 0;
  while (taken.has(`${base}.${number}`)) number++;
  return `${base}.${number}`;
}

export const lineDraftOf = (row: RowDraft, key: string): LineDraft => ({
  id: null,
  productId: row.productId,
  quantity: row.quantity,
  personalText: row.personalText,
  designId: row.designId,
  threadIds: row.threadIds,
  textThreadId: row.textThreadId,
  priceCents: row.priceCents,
  note: row.lineNote,
  lineReference: key,
});

const first = <T>(values: readonly (T | null)[]): T | null => values.find((value) => value !== null) ?? null;
const earliest = (dates: readonly (string | null)[]): string | null =>
  dates.filter((date) => date !== null).sort()[0] ?? null;

/**
 * The order a group of rows makes. Facts are those of the first row that has them (exports often fill only an order's
 * first row); of several promise dates the earliest holds. Gives the reasons where the dates do not make an order.
 */
export function orderOf(
  group: OrderGroup,
  reading: shapes.ImportReading,
  headings: readonly string[],
  today: CalendarDate,
): OrderDraft | { readonly reasons: readonly Reason[] } {
  const { rows, reference } = group;
  const placedOn = first(rows.map((row) => row.placedOn)) ?? today;
  const promiseDate = earliest(rows.map((row) => row.promiseDate)) ?? promisedAfter(placedOn, reading);
  const shipBy = earliest(rows.map((row) => row.shipBy));
  const blame = (meaning: shapes.ColumnMeaning, found: string, message: string) => {
    const column = reading.columns.indexOf(meaning);
    return {
      reasons: [{ column: column < 0 ? null : column, heading: headings[column] ?? "", found, message }],
    };
  };
  if (promiseDate === null)
    return blame(
      "promise-date",
      "",
      "the promise date is missing; give it here, or say how many days after placing an order is promised",
    );
  if (promiseDate < placedOn)
    return blame(
      "promise-date",
      promiseDate,
      `promised for ${promiseDate}, before the order was placed on ${placedOn}`,
    );
  if (shipBy !== null && shipBy > promiseDate)
    return blame("ship-by", shipBy, `to ship by ${shipBy}, after the promise date ${promiseDate}`);
  const pieces = rows.reduce((sum, row) => sum + row.quantity, 0);
  if (pieces > 10_000)
    return blame(
      "quantity",
      String(pieces),
      `the order would have ${pieces} pieces; at most 10,000 go into one`,
    );
  if (rows.length > 500)
    return blame(
      "reference",
      reference,
      `${rows.length} rows have this reference; at most 500 lines go into one order`,
    );
  const keys = lineKeys(rows);
  return {
    reference,
    customer: first(rows.map((row) => row.customer)) ?? "",
    channel: first(rows.map((row) => row.channel)) ?? "",
    placedOn,
    promiseDate,
    shipBy,
    note: first(rows.map((row) => row.note)) ?? "",
    lines: rows.map((row, index) => lineDraftOf(row, keys[index]!)),
  };
}
