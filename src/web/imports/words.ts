import type { shapes } from "#contract";

export const number = new Intl.NumberFormat();

/** What a column of the file may be, as a person says it. */
export const meanings: readonly { readonly value: shapes.ColumnMeaning; readonly words: string }[] = [
  { value: "reference", words: "order reference" },
  { value: "product", words: "product" },
  { value: "quantity", words: "how many" },
  { value: "personal-text", words: "personal text (may be several)" },
  { value: "customer", words: "customer" },
  { value: "promise-date", words: "promised for" },
  { value: "ship-by", words: "ship by" },
  { value: "placed-on", words: "placed on" },
  { value: "channel", words: "channel" },
  { value: "design", words: "picture (design)" },
  { value: "threads", words: "threads of the picture" },
  { value: "text-thread", words: "thread of the text" },
  { value: "price", words: "price of one" },
  { value: "line-reference", words: "line’s own number" },
  { value: "note", words: "note on the order" },
  { value: "line-note", words: "note on the line" },
];

export const stateWords: Readonly<Record<shapes.ImportRecord["state"], string>> = {
  "looked-at": "looked at, nothing brought in",
  running: "being brought in",
  done: "brought in",
  failed: "stopped by an error",
  cancelled: "stopped",
};

/** What must still be said before the rows can go in; empty when nothing. */
export function stillMissing(reading: shapes.ImportReading): readonly string[] {
  return [
    ...(reading.columns.includes("reference") ? [] : ["which column is the order reference"]),
    ...(reading.columns.includes("product") ? [] : ["which column is the product"]),
    ...(reading.columns.includes("promise-date") || reading.promiseDays !== null
      ? []
      : ["which column is the promise date, or how many days after placing an order is promised"]),
  ];
}

/** Gives a column its meaning; but for texts it stands at one column only, so another that had it loses it. */
export function withMeaning(
  columns: shapes.ImportReading["columns"],
  at: number,
  meaning: shapes.ColumnMeaning | null,
): shapes.ImportReading["columns"] {
  return columns.map((one, index) =>
    index === at ? meaning : meaning !== null && meaning !== "personal-text" && one === meaning ? null : one,
  );
}

export function resultWords(counts: shapes.ImportRecord["counts"]): string {
  const one = (count: number, noun: string) => `${number.format(count)} ${noun}${count === 1 ? "" : "s"}`;
  return `${one(counts.ordersAdded, "order")}, ${one(counts.linesAdded, "line")} and ${one(counts.piecesAdded, "piece")} added`;
}
