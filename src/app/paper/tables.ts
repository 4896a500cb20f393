import type { shapes, tableName } from "#contract";
import type { Tables } from "#store";
import type { Kysely } from "kysely";
import { allOf, groupedBy, type Kept, versionOf } from "../records";
import type { Cell } from "./csv";
import { clockOf, dayOf, floorOf } from "./floor";
import { type Columns, moneyOf, purchaseTable, quoteTable } from "./money-tables";

/**
 * Every table a studio can take with it, one row a record. Money is an amount beside its currency,
 * lengths in mm, times in seconds, instants as ISO 8601 in UTC, dates as they stand. Lists inside a cell are
 * separated by "; ".
 */
export interface TableAsked {
  readonly db: Kysely<Tables>;
  /** Null before the first plan. */
  readonly view: () => Promise<shapes.PlanView | null>;
  readonly archived: "no" | "all";
}

export interface Table {
  readonly headings: readonly string[];
  readonly rows: readonly (readonly Cell[])[];
}

type TableName = (typeof tableName)["options"][number];

const iso = (ms: number): string => new Date(ms).toISOString();
const list = (items: readonly (string | number)[]): string => items.join("; ");

const tableOf = <T>(columns: Columns<T>, records: Iterable<T>): Table => ({
  headings: columns.map(([heading]) => heading),
  rows: Array.from(records, (record) => columns.map(([, cell]) => cell(record))),
});

const keptColumns: Columns<Kept<unknown>> = [
  ["id", (one) => one.id],
  ["archived", (one) => one.archived],
  ["version", (one) => one.version],
];

async function catalogueTable<
  N extends "people" | "machines" | "hoops" | "threads" | "stock" | "products",
  T,
>(asked: TableAsked, name: N, columns: Columns<T>): Promise<Table> {
  const all = [...(await allOf(asked.db, name)).values()].filter(
    (one) => asked.archived === "all" || !one.archived,
  );
  return tableOf(
    [...(columns as unknown as Columns<Kept<unknown>>), ...keptColumns],
    all as unknown as Kept<unknown>[],
  );
}

const namesIn = (
  ids: readonly (string | null)[] | null,
  names: ReadonlyMap<string, { readonly name: string }>,
): string => (ids === null ? "" : list(ids.map((id) => (id === null ? "" : (names.get(id)?.name ?? id)))));

const weekdays = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];
const hoursWords = (hours: shapes.PersonBody["shifts"]): string => {
  const clock = (minute: number) =>
    `${String(Math.floor(minute / 60)).padStart(2, "0")}:${String(minute % 60).padStart(2, "0")}`;
  return list(
    hours.flatMap((spans, index) =>
      spans.length === 0
        ? []
        : [
            `${weekdays[index]} ${spans.map((span) => `${clock(span.startMinute)}-${clock(span.endMinute)}`).join(" ")}`,
          ],
    ),
  );
};

export const tables: Readonly<Record<TableName, (asked: TableAsked) => Promise<Table>>> = {
  orders: async ({ db, archived }) => {
    let query = db
      .selectFrom("order_lines")
      .innerJoin("orders", "orders.id", "order_lines.order_id")
      .leftJoin("products", "products.id", "order_lines.product_id")
      .leftJoin("designs", "designs.id", "order_lines.design_id")
      .selectAll("order_lines")
      .select([
        "orders.reference",
        "orders.customer",
        "orders.channel",
        "orders.placed_on",
        "orders.promise_date",
        "orders.ship_by",
        "orders.note as order_note",
        "orders.open_pieces",
        "orders.archived",
      ])
      .select([
        "products.code as product_code",
        "products.name as product_name",
        "designs.name as design_name",
      ])
      .orderBy("orders.placed_on")
      .orderBy("orders.reference")
      .orderBy("order_lines.position");
    if (archived === "no") query = query.where("orders.archived", "=", 0);
    type Line = Awaited<ReturnType<typeof query.execute>>[number];
    const money = await moneyOf(db);
    return tableOf<Line>(
      [
        ["reference", (one) => one.reference],
        ["line", (one) => one.position],
        ["line_reference", (one) => one.line_reference],
        ["customer", (one) => one.customer],
        ["channel", (one) => one.channel],
        ["placed_on", (one) => one.placed_on],
        ["promise_date", (one) => one.promise_date],
        ["ship_by", (one) => one.ship_by],
        ["product_code", (one) => one.product_code],
        ["product", (one) => one.product_name],
        ["quantity", (one) => one.quantity],
        ["personal_text", (one) => one.personal_text],
        ["design", (one) => one.design_name],
        ["price", (one) => money.amount(one.price_cents)],
        ["currency", () => money.currency],
        ["line_note", (one) => one.note],
        ["order_note", (one) => one.order_note],
        ["open_pieces", (one) => one.open_pieces],
        ["archived", (one) => one.archived === 1],
        ["order_id", (one) => one.order_id],
        ["line_id", (one) => one.id],
      ],
      await query.execute(),
    );
  },

  pieces: async ({ db }) => {
    const [jobs, machines, pieces] = await Promise.all([
      db
        .selectFrom("jobs")
        .select(["piece_id", "placement_name", "stitches", "sewn", "trouble"])
        .orderBy("position")
        .execute(),
      allOf(db, "machines"),
      db
        .selectFrom("pieces")
        .innerJoin("orders", "orders.id", "pieces.order_id")
        .leftJoin("products", "products.id", "pieces.product_id")
        .selectAll("pieces")
        .select([
          "orders.reference",
          "orders.customer",
          "orders.promise_date",
          "products.code as product_code",
          "products.name as product_name",
        ])
        .orderBy("orders.placed_on")
        .orderBy("pieces.code")
        .execute(),
    ]);
    const byPiece = groupedBy(jobs, (job) => job.piece_id);
    return tableOf<(typeof pieces)[number]>(
      [
        ["code", (one) => one.code],
        ["order", (one) => one.reference],
        ["customer", (one) => one.customer],
        ["product_code", (one) => one.product_code],
        ["product", (one) => one.product_name],
        ["personal_text", (one) => one.personal_text],
        ["state", (one) => one.state],
        ["state_since", (one) => iso(one.state_changed_at_ms)],
        ["waiting_for", (one) => one.waiting_for],
        ["urgency", (one) => one.urgency],
        ["held_why", (one) => one.held_why],
        [
          "pinned_machine",
          (one) =>
            one.pinned_machine_id === null
              ? null
              : (machines.get(one.pinned_machine_id)?.name ?? one.pinned_machine_id),
        ],
        ["promise_date", (one) => one.promise_date],
        ["ship_by", (one) => one.ship_by],
        ["placements", (one) => list((byPiece.get(one.id) ?? []).map((job) => job.placement_name))],
        ["stitches", (one) => (byPiece.get(one.id) ?? []).reduce((sum, job) => sum + job.stitches, 0)],
        ["runs", (one) => (byPiece.get(one.id) ?? []).length],
        ["runs_sewn", (one) => (byPiece.get(one.id) ?? []).filter((job) => job.sewn === 1).length],
        [
          "trouble",
          (one) =>
            list((byPiece.get(one.id) ?? []).flatMap((job) => (job.trouble === null ? [] : [job.trouble]))),
        ],
        ["remake_of", (one) => one.remake_of],
        ["id", (one) => one.id],
      ],
      pieces,
    );
  },

  plan: async ({ view: readView }) => {
    const view = await readView();
    const threads = new Map(view?.threads.map((thread) => [thread.id, thread]) ?? []);
    const runs = view ? floorOf(view).flatMap((one) => one.runs) : [];
    const at = (second: number) => iso(view!.startsAtMs + second * 1000);
    return tableOf<(typeof runs)[number]>(
      [
        ["machine", (one) => one.machine.name],
        ["day", (one) => one.day],
        ["order", (one) => one.order],
        ["starts", (one) => at(one.startS)],
        ["ends", (one) => at(one.endS)],
        ["starts_local", (one) => `${dayOf(view!, one.startS)} ${clockOf(view!, one.startS)}`],
        ["piece", (one) => one.job.pieceCode],
        ["state", (one) => one.job.state],
        ["order_reference", (one) => one.job.orderReference],
        ["customer", (one) => one.job.customer],
        ["personal_text", (one) => one.job.personalText],
        ["product", (one) => one.job.product],
        ["placement", (one) => one.job.placement],
        ["hoop", (one) => (one.hoop === null ? null : `${one.hoop.name}/${one.hoop.number}`)],
        ["design", (one) => one.job.designName],
        ["machine_file", (one) => `${one.fileName}.DST`],
        ["stitches", (one) => one.sewn.reduce((sum, part) => sum + part.stitches, 0)],
        ["needles", (one) => list(one.sewn.map((part) => part.needle))],
        ["threads", (one) => list(one.sewn.map((part) => threads.get(part.threadId)?.code ?? part.threadId))],
        ["threadings", (one) => one.needles.filter((use) => use.when !== "already").length],
        ["ship_by", (one) => one.job.shipBy],
        ["promise_date", (one) => one.job.promiseDate],
        ["why", (one) => one.job.why],
      ],
      runs,
    );
  },

  people: (asked) =>
    catalogueTable<"people", shapes.PersonBody>(asked, "people", [
      ["name", (one) => one.name],
      ["skills", (one) => list(one.skills)],
      ["shifts", (one) => hoursWords(one.shifts)],
      ["days_off", (one) => list(one.daysOff.map((off) => `${off.from}/${off.to} ${off.why}`.trim()))],
      ["note", (one) => one.note],
    ]),

  machines: async (asked) => {
    const [hoops, threads, money] = await Promise.all([
      allOf(asked.db, "hoops"),
      allOf(asked.db, "threads"),
      moneyOf(asked.db),
    ]);
    return catalogueTable<"machines", shapes.MachineBody>(asked, "machines", [
      ["name", (one) => one.name],
      ["kind", (one) => one.kind],
      ["needles", (one) => one.needles.length],
      [
        "threads_on_needles",
        (one) =>
          list(
            one.needles.map(
              (needle) =>
                `${needle.number} ${needle.threadId === null ? "empty" : (threads.get(needle.threadId)?.code ?? needle.threadId)}${needle.fixed ? " fixed" : ""}`,
            ),
          ),
      ],
      ["needle_sizes_nm", (one) => list(one.needles.map((needle) => `${needle.sizeNm} ${needle.point}`))],
      ["stitches_per_minute", (one) => one.stitchesPerMinute],
      ["field_width_mm", (one) => one.fieldWidthMm],
      ["field_height_mm", (one) => one.fieldHeightMm],
      ["hoops", (one) => namesIn(one.hoopIds, hoops)],
      ["lines_up_by", (one) => one.linesUpBy],
      ["hours", (one) => one.hourMeter?.hours ?? null],
      ["hours_read_on", (one) => one.hourMeter?.readOn ?? null],
      ["bought_on", (one) => one.bought?.on ?? null],
      ["bought_for", (one) => money.amount(one.bought?.priceCents ?? null)],
      ["currency", () => money.currency],
      [
        "down_times",
        (one) => list(one.downTimes.map((down) => `${down.fromDate}/${down.toDate} ${down.why}`.trim())),
      ],
      ["note", (one) => one.note],
    ]);
  },

  hoops: (asked) =>
    catalogueTable<"hoops", shapes.HoopBody>(asked, "hoops", [
      ["name", (one) => one.name],
      ["kind", (one) => one.kind],
      ["field_width_mm", (one) => one.fieldWidthMm],
      ["field_height_mm", (one) => one.fieldHeightMm],
      ["count", (one) => one.count],
      ["hooping_s", (one) => one.hoopS],
      ["note", (one) => one.note],
    ]),

  threads: (asked) =>
    catalogueTable<"threads", shapes.ThreadBody>(asked, "threads", [
      ["code", (one) => one.code],
      ["name", (one) => one.name],
      ["rgb", (one) => one.rgb],
      ["fibre", (one) => one.fibre],
      ["density_tex", (one) => one.densityTex],
      ["metres_per_cone", (one) => one.metresPerCone],
      ["cones", (one) => one.cones],
      ["metres_left", (one) => one.metresLeft],
      ["reorder_metres", (one) => one.reorderMetres],
      ["note", (one) => one.note],
    ]),

  stock: (asked) =>
    catalogueTable<"stock", shapes.StockBody>(asked, "stock", [
      ["kind", (one) => one.kind],
      ["code", (one) => one.code],
      ["name", (one) => one.name],
      ["colour", (one) => one.colour],
      ["size", (one) => one.size],
      ["unit", (one) => one.unit],
      ["on_hand", (one) => one.onHand],
      ["reorder_point", (one) => one.reorderPoint],
      ["note", (one) => one.note],
    ]),

  products: async (asked) => {
    const [stock, hoops, money] = await Promise.all([
      allOf(asked.db, "stock"),
      allOf(asked.db, "hoops"),
      moneyOf(asked.db),
    ]);
    return catalogueTable<"products", shapes.ProductBody>(asked, "products", [
      ["code", (one) => one.code],
      ["name", (one) => one.name],
      ["kind", (one) => one.kind],
      ["cloth", (one) => one.cloth],
      ["blank", (one) => (one.blankId === null ? null : (stock.get(one.blankId)?.code ?? one.blankId))],
      ["placements", (one) => list(one.placements.map((placement) => placement.name))],
      [
        "hoops",
        (one) =>
          namesIn(
            one.placements.map((placement) => placement.hoopId),
            hoops,
          ),
      ],
      ["sewing_s", (one) => one.sewS],
      ["price", (one) => money.amount(one.priceCents)],
      ["currency", () => money.currency],
      ["caution", (one) => one.caution],
      ["note", (one) => one.note],
    ]);
  },

  designs: async ({ db, archived }) => {
    let query = db
      .selectFrom("design_versions")
      .innerJoin("designs", "designs.id", "design_versions.design_id")
      .selectAll("design_versions")
      .select([
        "designs.name as design_name",
        "designs.kind as design_kind",
        "designs.note as design_note",
        "designs.archived as design_archived",
      ])
      .orderBy("designs.name")
      .orderBy("design_versions.design_id")
      .orderBy("design_versions.number");
    if (archived === "no") query = query.where("designs.archived", "=", 0);
    const [rows, threads] = await Promise.all([query.execute(), allOf(db, "threads")]);
    const records = rows.map((row) => ({ row, version: versionOf(row) }));
    return tableOf<(typeof records)[number]>(
      [
        ["name", ({ row }) => row.design_name],
        ["kind", ({ row }) => row.design_kind],
        ["version", ({ version }) => version.number],
        ["source", ({ version }) => version.source],
        ["file_name", ({ version }) => version.fileName],
        ["made_at", ({ version }) => iso(version.madeAtMs)],
        ["stitches", ({ version }) => version.stitches],
        ["colour_stops", ({ version }) => version.stops],
        ["trims", ({ version }) => version.trims],
        [
          "width_mm",
          ({ version }) => Math.round((version.extentsMm.right - version.extentsMm.left) * 10) / 10,
        ],
        [
          "height_mm",
          ({ version }) => Math.round((version.extentsMm.top - version.extentsMm.bottom) * 10) / 10,
        ],
        [
          "threads",
          ({ version }) =>
            list(
              version.parts.map((part) =>
                part.threadId === null ? "none" : (threads.get(part.threadId)?.code ?? part.threadId),
              ),
            ),
        ],
        ["stitches_by_part", ({ version }) => list(version.parts.map((part) => part.stitches))],
        ["findings", ({ version }) => list(version.findings.map((finding) => finding.message))],
        ["note", ({ row }) => row.design_note],
        ["archived", ({ row }) => row.design_archived === 1],
        ["design_id", ({ version }) => version.designId],
        ["version_id", ({ version }) => version.id],
      ],
      records,
    );
  },

  events: async ({ db }) => {
    const rows = await db
      .selectFrom("floor_events")
      .leftJoin("pieces", "pieces.id", "floor_events.piece_id")
      .leftJoin("machines", "machines.id", "floor_events.machine_id")
      .selectAll("floor_events")
      .select(["pieces.code as piece_code", "machines.name as machine_name"])
      .orderBy("floor_events.seq")
      .execute();
    return tableOf<(typeof rows)[number]>(
      [
        ["number", (one) => one.seq],
        ["at", (one) => iso(one.at_ms)],
        ["recorded_at", (one) => iso(one.recorded_at_ms)],
        ["who", (one) => one.who],
        ["kind", (one) => one.kind],
        ["piece", (one) => one.piece_code],
        ["machine", (one) => one.machine_name],
        ["data", (one) => one.data],
        ["hash", (one) => one.hash],
        ["id", (one) => one.id],
      ],
      rows,
    );
  },

  quotes: async ({ db, archived }) => tableOf(...(await quoteTable(db, archived))),
  purchases: async ({ db, archived }) => tableOf(...(await purchaseTable(db, archived))),
};
