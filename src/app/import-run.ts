import { setImmediate } from "node:timers/promises";
import type { shapes } from "#contract";
import { Refusal } from "#core/base";
import type { OrderLineTable, OrderTable, Store, Writing } from "#store";
import type { Context } from "./context";
import { groupsOf, freeKey, lineDraftOf, lineKeys, type OrderGroup, orderOf } from "./csv/groups";
import { counted, type Looked } from "./csv/look";
import type { CsvRecord } from "./csv/records";
import { readRow, type RowDraft, type RowRules } from "./csv/rows";
import { type Import, type ImportBody, MOST_NOTES, noCounts, rowOfImport } from "./import-records";
import type { LineDraft, OrderDraft } from "./order-drafts";
import { addLines, addOrder, gatherOrder } from "./order-writing";
import { Workshop } from "./piece-jobs";
import { keepRows, newRows } from "./piece-making";
import { groupedBy, inPortions } from "./records";

/**
 * Bringing the rows of a file in: whole orders, about 200 rows a transaction, so that pages are answered between and a
 * program that ends in the middle has added whole orders only. What is in already is recognised by the order's
 * reference and each line's key, so running again adds what is missing and nothing twice.
 */
const ROWS_A_WRITE = 200;
const ROWS_A_TURN = 100;

type BadRow = shapes.BadRow;
type Counts = ImportBody["counts"];

/** Rows as they will go in, and rows that cannot with their reasons. */
export interface Sorted {
  readonly groups: readonly OrderGroup[];
  readonly bad: readonly BadRow[];
}

/** Reads all rows; mended ones as a person has mended them. Gives way to other work between portions. */
export async function sortRows(
  rows: readonly CsvRecord[],
  rules: RowRules,
  mended: ImportBody["mended"],
): Promise<Sorted> {
  const drafts: RowDraft[] = [];
  const bad: BadRow[] = [];
  for (const [index, row] of rows.entries()) {
    if (index % ROWS_A_TURN === ROWS_A_TURN - 1) await setImmediate();
    const cells = mended[String(row.line)];
    const record = cells ? { line: row.line, cells, broken: null } : row;
    const read = readRow(record, rules);
    if ("draft" in read) drafts.push(read.draft);
    else bad.push({ line: row.line, cells: record.cells.map(cut), reasons: [...read.reasons] });
  }
  await setImmediate();
  const groups = groupsOf(drafts);
  await setImmediate();
  return { groups, bad };
}

/** A hostile cell is kept as far as a person could read it; the file itself keeps the rest. */
const cut = (cell: string): string =>
  (cell.length > 32_000 ? `${cell.slice(0, 32_000)}…` : cell).replaceAll("\u0000", "\ufffd");

/** Bad rows of groups whose dates make no order, of those orders that are not there yet. */
export async function badGroups(
  groups: readonly OrderGroup[],
  known: ReadonlySet<string>,
  rows: ReadonlyMap<number, readonly string[]>,
  rules: RowRules,
  today: string,
): Promise<BadRow[]> {
  const bad: BadRow[] = [];
  for (const [index, group] of groups.entries()) {
    if (index % ROWS_A_TURN === ROWS_A_TURN - 1) await setImmediate();
    if (known.has(group.reference)) continue;
    const order = orderOf(group, rules.reading, rules.headings, today);
    if ("reasons" in order) bad.push(...group.rows.map((row) => badOf(row, order.reasons, rows)));
  }
  return bad;
}

function badOf(
  row: RowDraft,
  reasons: BadRow["reasons"] | readonly BadRow["reasons"][number][],
  rows: ReadonlyMap<number, readonly string[]>,
): BadRow {
  const cells = (rows.get(row.line) ?? []).map(cut);
  return {
    line: row.line,
    cells,
    reasons: reasons.map((reason) => ({
      ...reason,
      found: reason.column === null ? reason.found : (cells[reason.column] ?? reason.found),
    })),
  };
}

export async function keepBadRows(db: Store["db"], importId: string, bad: readonly BadRow[]): Promise<void> {
  for (let from = 0; from < bad.length; from += 200)
    await db
      .insertInto("import_bad_rows")
      .values(
        bad.slice(from, from + 200).map((row) => ({
          import_id: importId,
          line: row.line,
          cells: JSON.stringify(row.cells),
          reasons: JSON.stringify(row.reasons),
        })),
      )
      .onConflict((conflict) =>
        conflict.columns(["import_id", "line"]).doUpdateSet((build) => ({
          cells: build.ref("excluded.cells"),
          reasons: build.ref("excluded.reasons"),
        })),
      )
      .execute();
}

export interface RunAsked {
  readonly context: Context;
  readonly who: string;
  readonly start: Import;
  readonly looked: Pick<Looked, "rows" | "headings">;
  readonly rules: RowRules;
  readonly today: string;
  readonly isCancelled: () => boolean;
  /** Told after each portion. */
  readonly onProgress: (now: Import) => void;
}

/** Brings a file in to its end, or until it is cancelled. What is in stays in. */
export async function runRows(asked: RunAsked): Promise<Import> {
  const { context, start, rules, looked, who } = asked;
  const { store } = context;
  const { groups, bad } = await sortRows(looked.rows, rules, start.body.mended);
  const cells = new Map(
    looked.rows.map((row) => [row.line, start.body.mended[String(row.line)] ?? row.cells]),
  );
  let now: Import = {
    ...start,
    body: {
      ...start.body,
      progress: { done: bad.length, of: looked.rows.length },
      counts: { ...noCounts, bad: bad.length },
      notes: [],
      failure: null,
    },
  };
  await store.write({ who, what: `Began bringing in ${start.fileName}` }, async (writing) => {
    await writing.db.deleteFrom("import_bad_rows").where("import_id", "=", start.id).execute();
    await keepBadRows(writing.db, start.id, bad);
    await saveImport(writing, now);
  });
  asked.onProgress(now);
  await setImmediate();
  const workshop = await Workshop.open(context, store.db);
  for (const portion of portions(groups)) {
    await setImmediate();
    if (asked.isCancelled()) break;
    const orders = portion.map((group) => ({
      group,
      order: orderOf(group, rules.reading, rules.headings, asked.today),
    }));
    await workshop.prepare(
      store.db,
      portion.flatMap((group) => group.rows),
      async () => void (await setImmediate()),
    );
    await setImmediate();
    const rowsHere = portion.reduce((sum, group) => sum + group.rows.length, 0);
    const told = portion.length === 1 ? `order ${portion[0]!.reference}` : counted(portion.length, "order");
    const { result } = await store.write(
      { who, what: `Brought in ${told} of ${start.fileName}` },
      async (writing) => {
        const { counts, notes, badHere } = await bringIn(context, writing, workshop, orders, cells);
        await keepBadRows(writing.db, start.id, badHere);
        const next: Import = {
          ...now,
          body: {
            ...now.body,
            progress: { ...now.body.progress, done: now.body.progress.done + rowsHere },
            counts: sum(now.body.counts, counts),
            notes: [...now.body.notes, ...notes].slice(0, MOST_NOTES),
          },
        };
        await saveImport(writing, next);
        return next;
      },
    );
    now = result;
    asked.onProgress(now);
  }
  return { ...now, state: asked.isCancelled() ? "cancelled" : "done" };
}

export async function saveImport(writing: Writing, one: Import): Promise<void> {
  const { id, ...set } = rowOfImport(one);
  await writing.db.updateTable("imports").set(set).where("id", "=", id).execute();
}

const sum = (a: Counts, b: Counts): Counts => ({
  ordersAdded: a.ordersAdded + b.ordersAdded,
  linesAdded: a.linesAdded + b.linesAdded,
  piecesAdded: a.piecesAdded + b.piecesAdded,
  alreadyThere: a.alreadyThere + b.alreadyThere,
  bad: a.bad + b.bad,
});

function* portions(groups: readonly OrderGroup[]): Generator<OrderGroup[]> {
  let portion: OrderGroup[] = [];
  let rows = 0;
  for (const group of groups) {
    portion.push(group);
    rows += group.rows.reduce((pieces, row) => pieces + row.quantity, 0);
    if (rows < ROWS_A_WRITE) continue;
    yield portion;
    portion = [];
    rows = 0;
  }
  if (portion.length > 0) yield portion;
}

interface Standing {
  readonly order: OrderTable;
  readonly lines: readonly OrderLineTable[];
}

/** Orders and lines that are there already, by reference. */
async function standing(db: Store["db"], references: readonly string[]): Promise<Map<string, Standing>> {
  const orders = await inPortions(references, (portion) =>
    db.selectFrom("orders").selectAll().where("reference", "in", portion).execute(),
  );
  const ids = orders.map((order) => order.id);
  const lines = groupedBy(
    await inPortions(ids, (portion) =>
      db
        .selectFrom("order_lines")
        .selectAll()
        .where("order_id", "in", portion)
        .orderBy("order_id")
        .orderBy("position")
        .execute(),
    ),
    (line) => line.order_id,
  );
  return new Map(orders.map((order) => [order.reference, { order, lines: lines.get(order.id) ?? [] }]));
}

type Asked = { readonly group: OrderGroup; readonly order: ReturnType<typeof orderOf> };

async function bringIn(
  context: Context,
  writing: Writing,
  workshop: Workshop,
  asked: readonly Asked[],
  cells: ReadonlyMap<number, readonly string[]>,
) {
  const there = await standing(
    writing.db,
    asked.map((one) => one.group.reference),
  );
  let counts: Counts = noCounts;
  const notes: string[] = [];
  const badHere: BadRow[] = [];
  const rows = newRows();
  await workshop.keep(
    writing,
    asked.flatMap((one) => one.group.rows),
  );
  for (const { group, order } of asked) {
    const known = there.get(group.reference);
    if (known) {
      const more = await completeOrder(context, writing, workshop, known, group);
      counts = sum(counts, { ...noCounts, ...more.counts });
      notes.push(...more.notes);
    } else if ("reasons" in order) {
      badHere.push(...group.rows.map((row) => badOf(row, order.reasons, cells)));
      counts = sum(counts, { ...noCounts, bad: group.rows.length });
    } else {
      const added = gatherOrder(context, rows, workshop, order);
      counts = sum(counts, {
        ...noCounts,
        ordersAdded: 1,
        linesAdded: added.lines,
        piecesAdded: added.pieces,
      });
    }
  }
  // Gathering is one slice of work, each statement of the keeping another; others get their answers between.
  await setImmediate();
  await keepRows(writing, rows);
  return { counts, notes, badHere };
}

const factsOf = (lines: readonly OrderLineTable[]) =>
  lines.map((line) => ({
    lineReference: line.line_reference,
    productId: line.product_id,
    personalText: line.personal_text,
  }));

/**
 * An order that is there is never overwritten. Lines the file has more are added where all its other lines are in the
 * file too (a longer export); otherwise it stands as it is here, with a note.
 */
async function completeOrder(
  context: Context,
  writing: Writing,
  workshop: Workshop,
  { order, lines }: Standing,
  group: OrderGroup,
) {
  const here = lineKeys(factsOf(lines));
  const keys = lineKeys(group.rows);
  const fresh = group.rows.flatMap((row, index) =>
    here.includes(keys[index]!) ? [] : [lineDraftOf(row, keys[index]!)],
  );
  const notes = group.rows.flatMap((row, index) =>
    differences(order, lines[here.indexOf(keys[index]!)], row),
  );
  if (fresh.length === 0) return { counts: { alreadyThere: group.rows.length }, notes };
  if (!here.every((key) => keys.includes(key)) || order.archived === 1) {
    notes.push(
      `Order ${order.reference} (line ${group.rows[0]!.line}) stands otherwise here than in the file and was left as it is: ${counted(fresh.length, "line")} of the file ${fresh.length === 1 ? "is" : "are"} not in it.`,
    );
    return { counts: { alreadyThere: group.rows.length }, notes };
  }
  const added = await addLines(context, writing, workshop, order, fresh);
  return {
    counts: {
      linesAdded: added.lines,
      piecesAdded: added.pieces,
      alreadyThere: group.rows.length - fresh.length,
    },
    notes,
  };
}

/** Where a line here says something else than the file's row. */
function differences(order: OrderTable, line: OrderLineTable | undefined, row: RowDraft): string[] {
  if (!line) return [];
  const found = [
    ...(line.quantity === 0 ? [`it has been taken out here`] : []),
    ...(line.quantity > 0 && line.quantity !== row.quantity
      ? [`quantity ${row.quantity} in the file, ${line.quantity} here`]
      : []),
    ...(line.personal_text !== row.personalText
      ? [`text “${row.personalText}” in the file, “${line.personal_text}” here`]
      : []),
    ...(line.product_id !== row.productId ? [`another product in the file than here`] : []),
    ...(row.promiseDate !== null && row.promiseDate !== order.promise_date
      ? [`promised for ${row.promiseDate} in the file, ${order.promise_date} here`]
      : []),
  ];
  return found.length === 0
    ? []
    : [`Order ${order.reference} (line ${row.line}) was left as it is: ${found.join("; ")}.`];
}

export interface MendAsked {
  readonly context: Context;
  readonly writing: Writing;
  readonly workshop: Workshop;
  readonly row: RowDraft;
  readonly rules: RowRules;
  readonly today: string;
}

/** Brings one mended row in: as a further line of its order where that is there, else as a new order. */
export async function bringInRow({
  context,
  writing,
  workshop,
  row,
  rules,
  today,
}: MendAsked): Promise<Counts | { readonly reasons: BadRow["reasons"] }> {
  const known = (await standing(writing.db, [row.reference])).get(row.reference);
  if (known) {
    const key = freeKey(row, new Set(lineKeys(factsOf(known.lines))));
    if (known.lines.some((line) => line.line_reference === key)) return { ...noCounts, alreadyThere: 1 };
    const line: LineDraft = lineDraftOf(row, key);
    const added = await addLines(context, writing, workshop, known.order, [line]);
    return { ...noCounts, linesAdded: added.lines, piecesAdded: added.pieces };
  }
  const order = orderOf({ reference: row.reference, rows: [row] }, rules.reading, rules.headings, today);
  if ("reasons" in order) return { reasons: [...order.reasons] };
  const added = await addOrder(context, writing, workshop, order satisfies OrderDraft);
  return { ...noCounts, ordersAdded: 1, linesAdded: added.lines, piecesAdded: added.pieces };
}

/** Why a run ended early, in words for the person; the fault itself goes to the log. */
export function failureOf(context: Context, error: unknown, done: Import): string {
  const rest = `${done.body.progress.done} of ${done.body.progress.of} rows were looked at. What is in stays in; bring the file in again for the rest, nothing is added twice.`;
  if (error instanceof Refusal) return `${error.message} ${rest}`;
  context.log.error("An import ended by a fault", { importId: done.id, error });
  return `A fault of the program ended the import. ${rest}`;
}
