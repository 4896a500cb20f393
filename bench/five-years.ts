/**
 * Five years of a busy studio: the demo studio with 50,000 shipped orders and 200,000 floor events laid under it.
 * Rows go in straight through the store, as years of use would have left them.
 *
 *     npx tsx bench/five-years.ts DIR
 */
import { openProgram, type Program, recountFloor } from "#app";
import { type Chance, pick, seededChance } from "#core/base";
import { addDays, localTime } from "#core/shop";
import { appendFloorEvents, type FloorEvent, type Tables } from "#store";

const ORDERS = 50_000;
const EVENTS = 200_000;
const DAYS = 5 * 365;
const BATCH = 500;

const names = [
  "Alder",
  "Bryn",
  "Ciara",
  "Dov",
  "Eirik",
  "Fenna",
  "Gwil",
  "Hanne",
  "Ines",
  "Jory",
  "Kerra",
  "Lowen",
  "Maren",
  "Nils",
  "Oona",
  "Perrin",
  "Quill",
  "Rónán",
  "Síofra",
  "Tamsin",
  "Ulla",
  "Vesa",
  "Wren",
  "Ysolde",
  "Zofia",
];

const silent = {
  info: () => undefined,
  warn: () => undefined,
  error: (message: string, detail?: object) => console.error(message, detail),
};

/** A program on the folder, without a server. */
export function openBenchProgram(data: string): Promise<Program> {
  const chance = seededChance(11);
  const ids = chance.split();
  return openProgram({
    data,
    version: "0.0.0-bench",
    nowMs: () => Date.now(),
    chance,
    idBelow: (bound) => ids.below(bound),
    planning: { threads: 1, byItself: false },
    log: silent,
  });
}

/** The demo studio in the folder, made as `serve --demo` makes it. */
export async function makeDemoIn(data: string): Promise<void> {
  const program = await openBenchProgram(data);
  await program.setup.startDemo();
  await program.setup.idle();
  await program.close();
}

/** Lays the five years under the demo studio of the folder. */
export async function layFiveYears(data: string): Promise<void> {
  const program = await openBenchProgram(data);
  const { store, newId } = program.context;
  const chance = seededChance(2026);
  const products = (await store.db.selectFrom("products").select(["id", "body"]).execute()).map(
    ({ id, body }) => ({
      id,
      placements: (JSON.parse(body) as { placements: { id: string; name: string }[] }).placements,
    }),
  );
  const versions = await store.db
    .selectFrom("design_versions")
    .select(["id", "stitches", "thread_ids"])
    .limit(40)
    .execute();
  const people = (await store.db.selectFrom("people").select("id").execute()).map(({ id }) => id);
  const machines = (await store.db.selectFrom("machines").select("id").execute()).map(({ id }) => id);
  const today = localTime("UTC", Date.now()).date;
  let order = 0;
  let events = 0;
  while (order < ORDERS) {
    const rows = {
      orders: [] as Tables["orders"][],
      order_lines: [] as Tables["order_lines"][],
      pieces: [] as Tables["pieces"][],
      jobs: [] as Tables["jobs"][],
    };
    const told: FloorEvent[] = [];
    for (let i = 0; i < BATCH && order < ORDERS; i++, order++) {
      const age = DAYS - Math.floor((order / ORDERS) * DAYS) + 20;
      const day = addDays(today, -age);
      const atMs = Date.parse(`${day}T10:00:00Z`);
      const customer = `${pick(names, chance)} ${pick(names, chance)}`;
      const orderId = newId("or");
      const reference = `PAST-${order}`;
      rows.orders.push({
        id: orderId,
        version: 1,
        archived: 0,
        created_at_ms: atMs,
        updated_at_ms: atMs,
        reference,
        customer,
        channel: "shop",
        placed_on: day,
        promise_date: addDays(day, 9),
        ship_by: addDays(day, 7),
        note: "",
        search: `${reference} ${customer}`.toLowerCase(),
        open_pieces: 0,
      });
      const lineId = newId("li");
      const product = pick(products, chance);
      const text = pick(names, chance);
      const quantity = 1 + chance.below(2);
      rows.order_lines.push({
        id: lineId,
        order_id: orderId,
        position: 0,
        product_id: product.id,
        quantity,
        personal_text: text,
        design_id: null,
        thread_ids: null,
        text_thread_id: null,
        price_cents: 3500,
        note: "",
        line_reference: null,
      });
      for (let n = 1; n <= quantity; n++) {
        const pieceId = newId("pc");
        rows.pieces.push({
          id: pieceId,
          version: 1,
          code: `${reference}-${n}`,
          order_id: orderId,
          line_id: lineId,
          product_id: product.id,
          personal_text: text,
          state: "shipped",
          waiting_for: null,
          urgency: "normal",
          held_why: "",
          pinned_machine_id: null,
          remake_of: null,
          ship_by: addDays(day, 7),
          search: `${reference}-${n} ${customer} ${text}`.toLowerCase(),
          state_changed_at_ms: atMs,
          created_at_ms: atMs,
          updated_at_ms: atMs,
        });
        const version = pick(versions, chance);
        for (const [position, placement] of product.placements.slice(0, 1).entries())
          rows.jobs.push({
            id: newId("jb"),
            version: 1,
            piece_id: pieceId,
            placement_id: placement.id,
            placement_name: placement.name,
            position,
            design_version_id: version.id,
            trouble: null,
            thread_ids: version.thread_ids,
            hoop_id: null,
            machine_ids: null,
            hoop_s: null,
            unhoop_s: null,
            finish_s: null,
            stitches: version.stitches,
            sewn: 1,
            by_hand: "[]",
            updated_at_ms: atMs,
          });
        const job = rows.jobs.at(-1);
        if (events < EVENTS && job?.piece_id === pieceId) {
          const life = pastLife({
            newId,
            chance,
            pieceId,
            jobId: job.id,
            stitches: job.stitches,
            threadIds: JSON.parse(job.thread_ids) as string[],
            productId: product.id,
            atMs,
            people,
            machines,
          });
          events += life.length;
          told.push(...life);
        }
      }
    }
    await store.db.transaction().execute(async (trx) => {
      for (const table of ["orders", "order_lines", "pieces", "jobs"] as const)
        for (let at = 0; at < rows[table].length; at += 250)
          await trx
            .insertInto(table as "orders")
            .values(rows[table].slice(at, at + 250) as Tables["orders"][])
            .execute();
      await appendFloorEvents(trx, told);
    });
  }
  // What follows from the events, as the program would have kept it.
  await recountFloor(program.context, "yes");
  await program.close();
}

interface Past {
  readonly newId: (prefix: string) => string;
  readonly chance: Chance;
  readonly pieceId: string;
  readonly jobId: string;
  readonly stitches: number;
  readonly threadIds: readonly string[];
  readonly productId: string;
  readonly atMs: number;
  readonly people: readonly string[];
  readonly machines: readonly string[];
}

/** A piece's way over the floor as stations tell it, the thread breaking now and then; shipped from its page. */
function pastLife(past: Past): FloorEvent[] {
  const { newId, chance, pieceId, jobId, stitches } = past;
  const machineId = pick(past.machines, chance);
  const personId = pick(past.people, chance);
  const sewMinutes = Math.max(2, Math.round(stitches / 700));
  const facts = {
    stitches,
    trims: 3,
    expectedS: sewMinutes * 60,
    colourChanges: past.threadIds.length - 1,
    parts: past.threadIds.map((threadId, part) => ({
      needle: (part % 6) + 1,
      threadId,
      stitches: Math.round(stitches / past.threadIds.length),
      threadMm: Math.round((stitches / past.threadIds.length) * 4.5),
    })),
    productId: past.productId,
    hoopId: null,
    planned: null,
  };
  const breaks = chance.below(8) === 0;
  type Step = readonly [minute: number, kind: string, at: "piece" | "machine", data: object];
  const steps: readonly Step[] = [
    [0, "hooped", "piece", { hoop: null, from: { state: "ready", sewn: [] } }],
    [4, "threaded", "machine", { needles: [{ needle: 1 + chance.below(6), threadId: past.threadIds[0] }] }],
    [6, "loaded", "machine", {}],
    [7, "started", "machine", { facts }],
    ...(breaks
      ? ([
          [8, "stopped", "machine", { why: "thread-broke", needle: 1 + chance.below(6), note: "" }],
          [10, "started", "machine", { facts }],
        ] satisfies Step[])
      : []),
    [10 + sewMinutes, "sewn", "machine", { facts }],
    [16 + sewMinutes, "finished", "piece", {}],
    [18 + sewMinutes, "packed", "piece", {}],
    [300, "piece-moved", "piece", { code: "", from: "packed", to: "shipped", why: "" }],
  ];
  return steps.map(([minute, kind, at, data]): FloorEvent => ({
    id: newId("ev"),
    at_ms: past.atMs + minute * 60_000,
    recorded_at_ms: past.atMs + minute * 60_000,
    person_id: personId,
    who: "Bench",
    kind,
    piece_id: kind === "threaded" ? null : pieceId,
    job_id: kind === "threaded" || kind === "packed" || kind === "piece-moved" ? null : jobId,
    machine_id: at === "machine" ? machineId : null,
    data: JSON.stringify(data),
  }));
}

if (process.argv[1]?.endsWith("bench/five-years.ts")) {
  const data = process.argv[2];
  if (data === undefined) throw new Error("Give the folder to make it in.");
  const started = performance.now();
  await makeDemoIn(data);
  console.log(`demo made in ${((performance.now() - started) / 1000).toFixed(1)} s`);
  await layFiveYears(data);
  console.log(`five years laid in ${((performance.now() - started) / 1000).toFixed(1)} s`);
}
