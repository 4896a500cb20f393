import { type Noun, catalogue } from "#contract";
import type { CatalogueTable, Store, Writing } from "#store";
import { checkReferences } from "./catalogue-references";
import type { Answers, Call, Context } from "./context";
import { foldText, isLike, searchPatterns } from "./fold";
import { refreshJobs } from "./piece-refresh";
import { refuseApp } from "./refusals";
import { changedByAnother } from "./studio";

type Db = Store["db"];
type Body = Record<string, unknown> & { readonly name: string; readonly code?: string };
type Record_ = Body & {
  id: string;
  version: number;
  archived: boolean;
  createdAtMs: number;
  updatedAtMs: number;
};
type CatalogueKey = Extract<keyof Answers, `${Noun}.${string}`>;
export type CatalogueAnswers = Pick<Answers, CatalogueKey>;

/** What one record of each list is called, and the prefix of its ids. */
const nouns: Readonly<Record<Noun, { readonly one: string; readonly prefix: string }>> = {
  people: { one: "person", prefix: "pn" },
  machines: { one: "machine", prefix: "mc" },
  hoops: { one: "hoop", prefix: "hp" },
  threads: { one: "thread", prefix: "th" },
  stock: { one: "stock item", prefix: "st" },
  products: { one: "product", prefix: "pr" },
};

/** "N2" comes before "N11", and upper and lower case stand together. */
const natural = new Intl.Collator("en", { numeric: true, sensitivity: "base" });

/** The answers for people, machines, hoops, threads, stock and products: six lists of one form. */
export function catalogueAnswers(context: Context): CatalogueAnswers {
  const all = (Object.keys(catalogue) as Noun[]).flatMap((noun) =>
    Object.entries(answersFor(context, noun)).map(([act, answer]) => [`${noun}.${act}`, answer]),
  );
  return Object.fromEntries(all) as CatalogueAnswers;
}

/** A row as it travels. */
function recordOf(row: CatalogueTable): Record_ {
  return {
    ...(JSON.parse(row.body) as Body),
    id: row.id,
    version: row.version,
    archived: row.archived === 1,
    createdAtMs: row.created_at_ms,
    updatedAtMs: row.updated_at_ms,
  };
}

const searchFields = ["code", "name", "kind", "colour", "size", "fibre", "note"] as const;
export const searchText = (body: Readonly<Record<string, unknown>>) =>
  searchFields
    .map((field) => body[field])
    .filter((value) => typeof value === "string" && value !== "")
    .map((value) => foldText(String(value)))
    .join(" ");

function answersFor(context: Context, noun: Noun) {
  const { store, nowMs, newId } = context;
  const { one, prefix } = nouns[noun];
  const table = noun as "people";

  const rowOf = async (db: Db, id: string): Promise<CatalogueTable> => {
    const row = await db.selectFrom(table).selectAll().where("id", "=", id).executeTakeFirst();
    if (!row)
      throw refuseApp("not-found", `There is no ${one} ${id}.`, [
        { field: "id", found: id, expected: `the id of a ${one}` },
      ]);
    return row;
  };
  const matching = async (db: Db, id: string, call: Call) => {
    const row = await rowOf(db, id);
    if (call.ifMatch !== row.version) throw changedByAnother(call.ifMatch, row.version, recordOf(row));
    return row;
  };
  const columns = (body: Body) => ({
    code: body.code ?? "",
    name: body.name,
    search: searchText(body),
    body: JSON.stringify(body),
  });

  async function refuseTakenCode(db: Db, body: Body, ownId: string | null): Promise<void> {
    if (body.code === undefined) return;
    const wanted = body.code.toLowerCase();
    // Codes are few; comparing here treats letters of every script alike on both databases.
    const taken = (await db.selectFrom(table).select(["id", "code", "name", "archived"]).execute()).find(
      (row) => row.id !== ownId && row.code.toLowerCase() === wanted,
    );
    if (!taken) return;
    const where = taken.archived === 1 ? `the archived ${one} ${taken.name}` : `the ${one} ${taken.name}`;
    throw refuseApp("code-taken", `The code ${body.code} belongs to ${where}.`, [
      { field: "code", found: body.code, expected: "a code that no other record of this list has" },
    ]);
  }

  async function setArchived(writing: Writing, id: string, call: Call, archived: 0 | 1) {
    const row = await matching(writing.db, id, call);
    if (row.archived === archived)
      throw refuseApp(
        archived ? "archived-already" : "not-archived",
        `The ${one} ${row.name} is ${archived ? "archived already" : "not archived"}.`,
      );
    return writing.update(table, id, { archived });
  }

  const written = (call: Call, done: { result: CatalogueTable; changeId: string | null }) => {
    call.note({ version: done.result.version, changeId: done.changeId });
    return recordOf(done.result);
  };

  return {
    async list({
      query,
    }: {
      query: { q: string; sort: string; archived: string; offset: number; limit: number };
    }) {
      let rows = store.db.selectFrom(table).selectAll();
      if (query.archived !== "all") rows = rows.where("archived", "=", query.archived === "yes" ? 1 : 0);
      for (const pattern of searchPatterns(query.q)) rows = rows.where(isLike("search", pattern));
      const records = (await rows.execute()).map(recordOf);
      records.sort(orderBy(noun, query.sort));
      return { items: records.slice(query.offset, query.offset + query.limit), total: records.length };
    },
    async get({ params }: { params: { id: string } }, call: Call) {
      const row = await rowOf(store.db, params.id);
      call.note({ version: row.version });
      return recordOf(row);
    },
    async create({ body }: { body: Body }, call: Call) {
      const done = await store.write(
        { who: call.who, what: `Added ${one} ${body.name}` },
        async (writing) => {
          await refuseTakenCode(writing.db, body, null);
          await checkReferences(writing.db, noun, body, null);
          const row = {
            id: newId(prefix),
            version: 1,
            archived: 0,
            created_at_ms: nowMs(),
            updated_at_ms: nowMs(),
            ...columns(body),
          };
          await writing.insert(table, row);
          return row;
        },
      );
      return written(call, done);
    },
    async change({ params, body }: { params: { id: string }; body: Body }, call: Call) {
      const done = await store.write(
        { who: call.who, what: `Changed ${one} ${body.name}` },
        async (writing) => {
          const row = await matching(writing.db, params.id, call);
          await refuseTakenCode(writing.db, body, params.id);
          await checkReferences(writing.db, noun, body, JSON.parse(row.body) as Body);
          const changed = await writing.update(table, params.id, columns(body));
          // Runs not begun follow their product and their hoop.
          if (noun === "products") await refreshJobs(context, writing, { productId: params.id }, call.who);
          if (noun === "hoops") await refreshJobs(context, writing, { hoopId: params.id }, call.who);
          return changed;
        },
      );
      return written(call, done);
    },
    async archive({ params }: { params: { id: string } }, call: Call) {
      const { name } = await rowOf(store.db, params.id);
      return written(
        call,
        await store.write({ who: call.who, what: `Archived ${one} ${name}` }, (writing) =>
          setArchived(writing, params.id, call, 1),
        ),
      );
    },
    async unarchive({ params }: { params: { id: string } }, call: Call) {
      const { name } = await rowOf(store.db, params.id);
      return written(
        call,
        await store.write({ who: call.who, what: `Took ${one} ${name} back from the archive` }, (writing) =>
          setArchived(writing, params.id, call, 0),
        ),
      );
    },
  };
}

const plainTypes: ReadonlySet<string> = new Set([
  "string",
  "number",
  "int",
  "boolean",
  "enum",
  "default",
  "nullable",
  "pipe",
]);

/** The fields a list can be sorted by: its records' plain ones. */
export function sortFields(noun: Noun): string[] {
  const shape = catalogue[noun].get.output.shape as Record<string, { def: { type: string } }>;
  return Object.keys(shape).filter((field) => plainTypes.has(shape[field]!.def.type));
}

function orderBy(noun: Noun, asked: string): (a: Record_, b: Record_) => number {
  const down = asked.startsWith("-");
  const byCode = "code" in catalogue[noun].get.output.shape;
  const field = asked === "" ? (byCode ? "code" : "name") : down ? asked.slice(1) : asked;
  const known = sortFields(noun);
  if (!known.includes(field))
    throw refuseApp("sort-unknown", `${noun} cannot be sorted by “${asked}”.`, [
      { field: "sort", found: asked, expected: known.join(", ") },
    ]);
  const turn = down ? -1 : 1;
  return (a, b) =>
    turn * compare(a[field], b[field]) || natural.compare(a.name, b.name) || (a.id < b.id ? -1 : 1);
}

/** Numbers by size, words by the alphabet; what is missing comes last. */
function compare(a: unknown, b: unknown): number {
  const missing = (value: unknown) => value === null || value === undefined || value === "";
  if (missing(a) || missing(b)) return Number(missing(a)) - Number(missing(b));
  if (typeof a === "number" && typeof b === "number") return a - b;
  return natural.compare(String(a), String(b));
}
