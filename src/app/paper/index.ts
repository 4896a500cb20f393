import type { shapes } from "#contract";
import { readMachineFile, type Stitches } from "#core/stitch";
import { localTime } from "#core/shop";
import type { Answers, Call, Context } from "../context";
import { placedFiles } from "../placing/files";
import { allOf, groupedBy, inPortions, studioOf } from "../records";
import { refuseApp } from "../refusals";
import { calendarText, shipDays } from "./calendar";
import { writeCsv } from "./csv";
import { chooseFloor, dayOf, type FloorChosen, floorOf, type FloorRun } from "./floor";
import { machineDayZip } from "./machine-day";
import { type Need, pickingPdf, pickRows } from "./picking";
import { refusePaper } from "./refusals";
import type { PaperName } from "./sheet";
import { tables } from "./tables";
import { threadingPdf } from "./threading";
import { type Ticket, ticketsPdf } from "./tickets";

/**
 * What is taken to the floor: job tickets, threading list, pick list, machine files, tables, the calendar. It reads
 * the plan in force and the records; it writes nothing.
 */
type PaperAnswers = Pick<
  Answers,
  "tickets" | "threadingList" | "pickList" | "machineDay" | "tableFile" | "calendar"
>;
type PlanView = shapes.PlanView;
interface SheetQuery {
  readonly paper: "A4" | "Letter" | "";
  readonly machine: string;
  readonly day: string;
}

/** Answers about paper; `planView` yields the plan in force, or null before the first. */
export function paperAnswers(context: Context, planView: () => Promise<PlanView | null>): PaperAnswers {
  const { store, nowMs } = context;

  async function studio(): Promise<shapes.StudioBody> {
    const kept = await studioOf(store.db);
    if (!kept) throw refuseApp("not-set-up", "There is no studio to print for.");
    return kept.body;
  }

  async function plan(): Promise<PlanView> {
    const view = await planView();
    if (!view)
      throw refusePaper("no-plan", "No plan has been made yet, so there is nothing to take to the floor.");
    return view;
  }

  async function floor(
    query: Pick<SheetQuery, "machine" | "day">,
  ): Promise<{ view: PlanView; chosen: FloorChosen; body: shapes.StudioBody }> {
    const [view, body] = [await plan(), await studio()];
    return { view, body, chosen: chooseFloor(view, { ...query, nowMs: nowMs() }) };
  }

  const paperOf = (query: SheetQuery, body: shapes.StudioBody): PaperName =>
    query.paper === "" ? body.paper : query.paper;

  /** The stitches of the runs' designs, each read once. */
  async function designsOf(runs: readonly FloorRun[]): Promise<Map<string, Stitches>> {
    const ids = [
      ...new Set(runs.flatMap(({ job }) => (job.designVersionId === null ? [] : [job.designVersionId]))),
    ];
    const rows = await inPortions(ids, (portion) =>
      store.db.selectFrom("design_versions").select(["id", "file_hash"]).where("id", "in", portion).execute(),
    );
    const designs = new Map<string, Stitches>();
    for (const row of rows)
      designs.set(row.id, readMachineFile(await store.files.get(row.file_hash)).stitches);
    return designs;
  }

  async function ticketsOf(runs: readonly FloorRun[], call: Call): Promise<Ticket[]> {
    const [designs, hoops] = [await designsOf(runs), await allOf(store.db, "hoops")];
    return runs.map((floorRun) => ({
      floorRun,
      design: designs.get(floorRun.job.designVersionId ?? "") ?? null,
      hoopKind: floorRun.hoop === null ? null : (hoops.get(floorRun.hoop.id)?.kind ?? null),
      address: `${call.phoneOrigin}/pieces/${encodeURIComponent(floorRun.job.pieceId)}`,
    }));
  }

  function runsOfPiece(view: PlanView, pieceId: string): FloorRun[] {
    const runs = floorOf(view)
      .flatMap((one) => one.runs)
      .filter(({ job }) => job.pieceId === pieceId)
      .sort((a, b) => a.startS - b.startS);
    if (runs.length > 0) return runs;
    const left = view.leftOut.find((one) => one.pieceId === pieceId);
    const chore = view.chores.find((one) => one.pieceIds.includes(pieceId));
    const why = left
      ? `: ${left.why}`
      : chore
        ? `: it is sewn in the batch "${chore.title}", which has no machine run`
        : "";
    throw refusePaper(
      "piece-not-planned",
      `Piece ${left?.pieceCode ?? pieceId} has no run in the plan${why}.`,
      [{ field: "piece", found: pieceId }],
    );
  }

  /** Runs of all machines in the order the day goes, so that the pile of tickets can be worked from the top. */
  const inOrder = (chosen: FloorChosen): FloorRun[] =>
    chosen.machines
      .flatMap((one) => one.runs)
      .sort((a, b) => a.startS - b.startS || a.machine.name.localeCompare(b.machine.name, "en"));

  function refuseEmpty(chosen: FloorChosen, view: PlanView): void {
    if (chosen.machines.some((one) => one.runs.length > 0)) return;
    const names = chosen.machines.map((one) => one.machine.name).join(", ");
    const days = [...new Set(floorOf(view).flatMap((one) => one.runs.map((run) => run.day)))].sort();
    throw refusePaper("nothing-planned", `The plan has no run for ${names} on ${chosen.day}.`, [
      {
        field: "day",
        found: chosen.day,
        expected: days.length === 0 ? "a day with runs" : `one of ${days.join(", ")}`,
      },
    ]);
  }

  /** The runs that tickets are asked for: one piece's, or a day's. */
  async function runsAsked(query: SheetQuery & { readonly piece: string }) {
    if (query.piece !== "") {
      const view = await plan();
      return { view, body: await studio(), runs: runsOfPiece(view, query.piece) };
    }
    const { view, body, chosen } = await floor(query);
    refuseEmpty(chosen, view);
    return { view, body, runs: inOrder(chosen) };
  }

  async function needsOf(view: PlanView, chosen: FloorChosen, query: SheetQuery) {
    const jobs = chosen.machines.flatMap((one) => one.runs.map((run) => run.job));
    const planned = new Map(
      view.plan.tasks.flatMap((task) => (task.chore === undefined ? [] : [[task.chore, task] as const])),
    );
    const onDay = (second: number) =>
      query.day === "" ? dayOf(view, second) <= chosen.day : dayOf(view, second) === chosen.day;
    // Batches that are only sewn belong to no machine; they are fetched with the whole day's things.
    const batches =
      query.machine === ""
        ? view.chores.filter(
            (chore) => planned.has(chore.choreId) && onDay(planned.get(chore.choreId)!.start),
          )
        : [];
    const pieceIds = [
      ...new Set([...jobs.map((job) => job.pieceId), ...batches.flatMap((chore) => chore.pieceIds)]),
    ];
    const [pieces, rows, products, hoops] = await Promise.all([
      inPortions(pieceIds, (portion) =>
        store.db
          .selectFrom("pieces")
          .select(["id", "code", "product_id", "state"])
          .where("id", "in", portion)
          .execute(),
      ),
      inPortions(pieceIds, (portion) =>
        store.db
          .selectFrom("jobs")
          .select(["id", "piece_id", "placement_id", "hoop_id", "sewn", "position"])
          .where("piece_id", "in", portion)
          .execute(),
      ),
      allOf(store.db, "products"),
      allOf(store.db, "hoops"),
    ]);
    const chosenJobs = new Set(jobs.map((job) => job.jobId));
    const open = pieces.filter((piece) => piece.state === "ready" || piece.state === "waiting");
    const byPiece = groupedBy(rows, (job) => job.piece_id);
    const needs = open
      .sort((a, b) => a.code.localeCompare(b.code, "en", { numeric: true }))
      .map((piece): Need => {
        const product = products.get(piece.product_id);
        const placements = new Map(product?.placements.map((placement) => [placement.id, placement]) ?? []);
        const own = byPiece.get(piece.id) ?? [];
        // A piece whose first run was another day's has its blank already.
        const first = own.every((job) => job.sewn === 0);
        return {
          pieceCode: piece.code,
          productName: product?.name ?? "",
          blankId: first ? (product?.blankId ?? null) : null,
          hoopings: own
            .filter((job) => chosenJobs.has(job.id))
            .map((job) => {
              const placement = placements.get(job.placement_id);
              const hoop = job.hoop_id === null ? undefined : hoops.get(job.hoop_id);
              return {
                backingId: placement?.backingId ?? null,
                toppingId: placement?.toppingId ?? null,
                hoopField: hoop ? { widthMm: hoop.fieldWidthMm, heightMm: hoop.fieldHeightMm } : null,
              };
            }),
        };
      });
    return { needs, begun: pieces.length - open.length };
  }

  return {
    tickets: async ({ query }, call) => {
      const { view, body, runs } = await runsAsked(query);
      const bytes = await ticketsPdf({
        tickets: await ticketsOf(runs, call),
        view,
        studioName: body.name,
        lengthUnit: body.lengthUnit,
        paper: paperOf(query, body),
        nowMs: nowMs(),
      });
      return { bytes, mediaType: "application/pdf" };
    },

    threadingList: async ({ query }) => {
      const { view, body, chosen } = await floor(query);
      const machines =
        query.machine === "" ? chosen.machines.filter((one) => one.runs.length > 0) : chosen.machines;
      if (machines.length === 0) refuseEmpty(chosen, view);
      const bytes = await threadingPdf({
        machines,
        view,
        day: chosen.day,
        studioName: body.name,
        paper: paperOf(query, body),
        nowMs: nowMs(),
      });
      return { bytes, mediaType: "application/pdf" };
    },

    pickList: async ({ query }) => {
      const { view, body, chosen } = await floor(query);
      const { needs, begun } = await needsOf(view, chosen, query);
      const rows = pickRows(needs, await allOf(store.db, "stock"));
      const without = [
        ...new Set(
          needs
            .filter((need) => need.blankId === null)
            .map((need) => `${need.pieceCode} (${need.productName})`),
        ),
      ];
      const machineName = query.machine === "" ? null : chosen.machines[0]!.machine.name;
      const bytes = await pickingPdf({
        rows,
        without,
        begun,
        pieces: needs.length,
        machineName,
        day: chosen.day,
        studioName: body.name,
        paper: paperOf(query, body),
        nowMs: nowMs(),
      });
      return { bytes, mediaType: "application/pdf" };
    },

    machineDay: async ({ query }) => {
      const { view, body, chosen } = await floor(query);
      refuseEmpty(chosen, view);
      const machines = chosen.machines.filter((one) => one.runs.length > 0);
      const runs = machines.flatMap((one) => one.runs);
      const designs = await designsOf(runs);
      const placed = await placedFiles(
        store,
        runs.map(({ job, machine }) => ({ jobId: job.jobId, machineId: machine.id })),
        await allOf(store.db, "machines"),
      );
      const bytes = machineDayZip({
        machines,
        view,
        day: chosen.day,
        designs,
        placed,
        studioName: body.name,
      });
      const name =
        query.machine === ""
          ? "machines"
          : machines[0]!.machine.name
              .normalize("NFD")
              .toLowerCase()
              .replace(/[^a-z0-9]+/g, "-")
              .replace(/^-+|-+$/g, "") || "machine";
      return { bytes, mediaType: "application/zip", saveAs: `${name}-${chosen.day}.zip` };
    },

    tableFile: async ({ params, query }) => {
      if (!Object.hasOwn(tables, params.table)) {
        throw refusePaper(
          "table-unknown",
          `There is no table "${params.table}"; there are ${Object.keys(tables).join(", ")}.`,
          [{ field: "table", found: params.table, expected: Object.keys(tables).join(", ") }],
        );
      }
      const kept = await studioOf(store.db);
      const table = await tables[params.table as keyof typeof tables]({
        db: store.db,
        view: planView,
        archived: query.archived,
      });
      const day = localTime(kept?.body.timeZone ?? "UTC", nowMs()).date;
      return {
        bytes: writeCsv(table.headings, table.rows),
        mediaType: "text/csv",
        saveAs: `${params.table}-${day}.csv`,
      };
    },

    calendar: async (_asked, call) => {
      const kept = await studioOf(store.db);
      const text = calendarText({
        days: await shipDays(store.db),
        studioName: kept?.body.name ?? "Studio",
        nowMs: nowMs(),
        origin: call.origin,
      });
      return { bytes: new TextEncoder().encode(text), mediaType: "text/calendar" };
    },
  };
}

export { refusePaper } from "./refusals";
export { plainCell, safeCell, writeCsv } from "./csv";
