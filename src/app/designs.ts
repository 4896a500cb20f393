import { type Finding, Refusal, refusals } from "#core/base";
import type { DesignReport } from "#core/stitch";
import type { shapes } from "#contract";
import type { Tables, Writing } from "#store";
import type { Answers, Call, Context } from "./context";
import { pictureOf } from "./design-picture";
import { readDesignAside } from "./design-reading";
import { foldText, isLike, searchPatterns, tidyText } from "./fold";
import { refreshJobs } from "./piece-refresh";
import { refuseApp } from "./refusals";
import { type DesignVersionRow, inPortions, keptFindings, keptReport, versionOf } from "./records";
import { packedStitches } from "./stitch-bytes";
import { isArchive, unpack } from "./unpack";

/** Designs: machine files in, versions kept, threads chosen, stitches and pictures out. */

export const designRefusals = refusals({
  "design-unknown": {
    status: 404,
    title: "No such design",
    advice: "Look it up on Designs; it may have been brought in under another name.",
  },
  "part-count": {
    status: 422,
    title: "Not one thread for each part",
    advice: "Give one thread, or none, for each part.",
  },
  "thread-unknown": { status: 422, title: "No such thread", advice: "Choose a thread of the shop's list." },
  "file-missing": {
    status: 404,
    title: "The machine file is missing from the data folder",
    advice: "Bring the file in again, or restore a backup.",
  },
  "nothing-brought-in": {
    status: 422,
    title: "No machine file in the archive",
    advice: "Machine files end in .dst.",
  },
});

type DesignAnswers = Pick<
  Answers,
  | "listDesigns"
  | "readDesign"
  | "changeDesign"
  | "archiveDesign"
  | "unarchiveDesign"
  | "bringInDesigns"
  | "readDesignVersion"
  | "chooseThreads"
  | "designStitches"
  | "designFile"
  | "designPicture"
>;

type DesignRow = Tables["designs"];

const sortable = {
  name: "designs.search",
  newest: "designs.created_at_ms",
  stitches: "design_versions.stitches",
} as const;

/** A design's own row, before its first version is kept. */
export const freshDesign = (id: string, name: string, atMs: number): DesignRow => ({
  id,
  version: 1,
  archived: 0,
  created_at_ms: atMs,
  updated_at_ms: atMs,
  name,
  note: "",
  search: foldText(name),
  kind: "picture",
  latest_version_id: null,
});

export interface VersionMade {
  readonly designId: string;
  readonly source: shapes.DesignVersion["source"];
  readonly fileName: string;
  readonly fileHash: string;
  readonly report: DesignReport;
  readonly findings: readonly Finding[];
  readonly threadIds: readonly (string | null)[];
  readonly making?: unknown;
  readonly makingKey?: string;
}

/** Adds a version to a design inside a write; it becomes the newest. Returns the version's row. */
export async function addVersion(
  context: Context,
  writing: Writing,
  made: VersionMade,
): Promise<DesignVersionRow> {
  const newest = await writing.db
    .selectFrom("design_versions")
    .select("number")
    .where("design_id", "=", made.designId)
    .orderBy("number", "desc")
    .executeTakeFirst();
  const { report } = made;
  const row: DesignVersionRow = {
    id: context.newId("dv"),
    design_id: made.designId,
    number: (newest?.number ?? 0) + 1,
    source: made.source,
    file_name: made.fileName,
    made_at_ms: context.nowMs(),
    file_hash: made.fileHash,
    making: made.making === undefined ? null : JSON.stringify(made.making),
    making_key: made.makingKey ?? null,
    stitches: report.stitches,
    jumps: report.jumps,
    stops: report.stops,
    trims: report.trims,
    report: keptReport(report),
    findings: keptFindings(made.findings),
    thread_ids: JSON.stringify(report.parts.map((_, part) => made.threadIds[part] ?? null)),
  };
  await writing.insert("design_versions", row);
  await writing.update("designs", made.designId, { latest_version_id: row.id });
  return row;
}

export function designAnswers(context: Context): DesignAnswers {
  const { store, nowMs, newId } = context;

  const designRow = async (id: string): Promise<DesignRow> => {
    const row = await store.db.selectFrom("designs").selectAll().where("id", "=", id).executeTakeFirst();
    if (!row) throw designRefusals("design-unknown", `There is no design ${id}.`);
    return row;
  };
  const versionRow = async (id: string): Promise<DesignVersionRow> => {
    const row = await store.db
      .selectFrom("design_versions")
      .selectAll()
      .where("id", "=", id)
      .executeTakeFirst();
    if (!row) throw designRefusals("design-unknown", `There is no design version ${id}.`);
    return row;
  };
  const withLatest = async (rows: readonly DesignRow[]): Promise<shapes.DesignRecord[]> => {
    const ids = rows.flatMap((row) => (row.latest_version_id === null ? [] : [row.latest_version_id]));
    const versions = new Map(
      (
        await inPortions(ids, (portion) =>
          store.db.selectFrom("design_versions").selectAll().where("id", "in", portion).execute(),
        )
      ).map((row) => [row.id, versionOf(row)]),
    );
    return rows.flatMap((row) => {
      const latest = versions.get(row.latest_version_id ?? "");
      if (!latest) return [];
      const { id, name, note, version } = row;
      return [
        {
          id,
          name,
          note,
          version,
          kind: row.kind as "picture" | "personal",
          archived: row.archived === 1,
          createdAtMs: row.created_at_ms,
          updatedAtMs: row.updated_at_ms,
          latest,
        },
      ];
    });
  };
  const oneRecord = async (id: string): Promise<shapes.DesignRecord> =>
    (await withLatest([await designRow(id)]))[0]!;
  const fileOf = async (row: DesignVersionRow): Promise<Uint8Array> => {
    try {
      return await store.files.get(row.file_hash);
    } catch {
      throw designRefusals(
        "file-missing",
        `The machine file ${row.file_name} (version ${row.number}) cannot be found.`,
      );
    }
  };

  /** Changes a design's own row, under the version the caller has seen. */
  const changed = async (id: string, call: Call, what: (name: string) => string, set: Partial<DesignRow>) => {
    const row = await designRow(id);
    if (call.ifMatch !== null && call.ifMatch !== row.version)
      throw refuseApp(
        "changed-by-another",
        `Design ${row.name} was changed by someone else since you opened it.`,
        [],
        { current: await oneRecord(id) },
      );
    const { changeId } = await store.write({ who: call.who, what: what(row.name) }, async (writing) => {
      await writing.update("designs", id, { ...set, updated_at_ms: nowMs() });
      writing.touch("designs", id);
    });
    const record = await oneRecord(id);
    call.note({ version: record.version, changeId });
    return record;
  };

  /** One machine file into the store: the row of what came of it. */
  async function bringInOne(name: string, bytes: Uint8Array, into: string, call: Call) {
    const { findings, report } = await readDesignAside(bytes);
    const fileHash = await store.files.put(bytes);
    const known = await store.db
      .selectFrom("design_versions")
      .innerJoin("designs", "designs.id", "design_versions.design_id")
      .select(["designs.id as designId", "designs.name as name", "design_versions.id as versionId"])
      .where("design_versions.file_hash", "=", fileHash)
      .where("designs.kind", "=", "picture")
      .$if(into !== "", (query) => query.where("designs.id", "=", into))
      .executeTakeFirst();
    if (known) return { fileName: name, ...known, already: true, findings, changeId: null };
    const title = into === "" ? titleOf(name) : (await designRow(into)).name;
    const { result, changeId } = await store.write(
      {
        who: call.who,
        what: into === "" ? `Brought in design ${title}` : `Brought in a version of design ${title}`,
      },
      async (writing) => {
        const designId = into === "" ? newId("ds") : into;
        const before = await writing.db
          .selectFrom("design_versions")
          .select(["thread_ids"])
          .where("design_id", "=", designId)
          .orderBy("number", "desc")
          .executeTakeFirst();
        if (into === "") await writing.insert("designs", freshDesign(designId, title, nowMs()));
        // A new version with the same parts keeps the threads chosen for the one before: nothing is typed twice.
        const threadIds = before ? (JSON.parse(before.thread_ids) as (string | null)[]) : [];
        const row = await addVersion(context, writing, {
          designId,
          source: "machine-file",
          fileName: name,
          fileHash,
          report,
          findings,
          threadIds,
        });
        writing.touch("designs", designId);
        return { designId, versionId: row.id };
      },
    );
    return { fileName: name, ...result, name: title, already: false, findings, changeId };
  }

  return {
    listDesigns: async ({ query }) => {
      const [field, descending] = query.sort.startsWith("-")
        ? [query.sort.slice(1), true]
        : [query.sort, false];
      const known = Object.hasOwn(sortable, field);
      const by = known ? sortable[field as keyof typeof sortable] : sortable.newest;
      const order = known && !descending ? "asc" : "desc";
      const base = store.db
        .selectFrom("designs")
        .innerJoin("design_versions", "design_versions.id", "designs.latest_version_id")
        .$if(query.kind !== "all", (asked) => asked.where("designs.kind", "=", query.kind))
        .$if(query.archived !== "all", (asked) =>
          asked.where("designs.archived", "=", query.archived === "yes" ? 1 : 0),
        )
        .where((build) =>
          build.and(searchPatterns(query.q).map((pattern) => isLike("designs.search", pattern))),
        );
      const [rows, count] = await Promise.all([
        base
          .selectAll("designs")
          .orderBy(by, order)
          .orderBy("designs.id")
          .offset(query.offset)
          .limit(query.limit)
          .execute(),
        base.select((build) => build.fn.countAll<number>().as("total")).executeTakeFirstOrThrow(),
      ]);
      return { items: await withLatest(rows), total: Number(count.total) };
    },
    readDesign: async ({ params }, call) => {
      const design = await oneRecord(params.id);
      const rows = await store.db
        .selectFrom("design_versions")
        .selectAll()
        .where("design_id", "=", params.id)
        .orderBy("number", "desc")
        .execute();
      call.note({ version: design.version });
      return { design, versions: rows.map(versionOf) };
    },
    changeDesign: ({ params, body }, call) =>
      changed(params.id, call, (name) => `Changed design ${name}`, {
        name: tidyText(body.name),
        note: body.note,
        search: foldText(`${body.name} ${body.note}`),
      }),
    archiveDesign: ({ params }, call) =>
      changed(params.id, call, (name) => `Archived design ${name}`, { archived: 1 }),
    unarchiveDesign: ({ params }, call) =>
      changed(params.id, call, (name) => `Took design ${name} back from the archive`, { archived: 0 }),
    bringInDesigns: async ({ query, body }, call) => {
      if (query.into !== "") await designRow(query.into);
      const files = isArchive(body)
        ? unpack(body, (name) => /\.dst$/i.test(name))
        : [{ name: query.name.split(/[\\/]/).at(-1)!, bytes: body }];
      if (files.length === 0)
        throw designRefusals(
          "nothing-brought-in",
          `The archive ${query.name} holds no file that ends in .dst.`,
        );
      const brought: (Awaited<ReturnType<typeof bringInOne>> & { readonly fileName: string })[] = [];
      const refused: { fileName: string; code: string; message: string; advice: string }[] = [];
      for (const { name, bytes } of files)
        try {
          brought.push(await bringInOne(tidyText(name).slice(0, 200), bytes, query.into, call));
        } catch (reason) {
          if (!(reason instanceof Refusal)) throw reason;
          refused.push({
            fileName: name,
            code: reason.code,
            message: reason.message,
            advice: reason.kind.advice,
          });
        }
      const single = brought.length === 1 ? brought[0]!.changeId : null;
      call.note({ changeId: single });
      return {
        brought: brought.map(({ changeId: _, findings, ...one }) => ({ ...one, findings: [...findings] })),
        refused,
      };
    },
    readDesignVersion: async ({ params }) => {
      const row = await versionRow(params.id);
      return { version: versionOf(row), designName: (await designRow(row.design_id)).name };
    },
    chooseThreads: async ({ params, body }, call) => {
      const row = await versionRow(params.id);
      const parts = (JSON.parse(row.thread_ids) as unknown[]).length;
      if (body.threadIds.length !== parts)
        throw designRefusals(
          "part-count",
          `The design has ${parts} parts; ${body.threadIds.length} threads were given.`,
          [{ field: "threadIds", found: String(body.threadIds.length), expected: String(parts) }],
        );
      const asked = [...new Set(body.threadIds.filter((id) => id !== null))];
      const known = new Set(
        (
          await inPortions(asked, (ids) =>
            store.db.selectFrom("threads").select("id").where("id", "in", ids).execute(),
          )
        ).map(({ id }) => id),
      );
      const strange = asked.find((id) => !known.has(id));
      if (strange !== undefined)
        throw designRefusals("thread-unknown", `The shop has no thread ${strange}.`, [
          { field: "threadIds", found: strange },
        ]);
      const { name } = await designRow(row.design_id);
      const { changeId } = await store.write(
        { who: call.who, what: `Chose threads for design ${name}` },
        async (writing) => {
          await writing.update("design_versions", row.id, { thread_ids: JSON.stringify(body.threadIds) });
          await refreshJobs(context, writing, { designId: row.design_id });
          writing.touch("designs", row.design_id);
          writing.touch("pieces");
        },
      );
      call.note({ changeId });
      return versionOf(await versionRow(row.id));
    },
    designStitches: async ({ params }) => {
      const { stitches } = await readDesignAside(await fileOf(await versionRow(params.id)));
      return { bytes: packedStitches(stitches), mediaType: "application/octet-stream", immutable: true };
    },
    designFile: async ({ params }) => {
      const row = await versionRow(params.id);
      const { name } = await designRow(row.design_id);
      return { bytes: await fileOf(row), mediaType: "application/octet-stream", saveAs: `${name}.dst` };
    },
    designPicture: async ({ params, query }) => {
      const row = await versionRow(params.id);
      const given =
        query.threads === "" ? (JSON.parse(row.thread_ids) as (string | null)[]) : query.threads.split(",");
      const svg = await pictureOf({
        store,
        row,
        threadIds: given,
        size: query.size,
        file: () => fileOf(row),
      });
      return { bytes: new TextEncoder().encode(svg), mediaType: "image/svg+xml" };
    },
  };
}

/** A design's first name: its file's, without ending, with blanks for what stands between words in file names. */
function titleOf(fileName: string): string {
  const bare = tidyText(fileName.replace(/\.[a-z0-9]{1,5}$/i, "").replace(/[_]+/g, " "));
  return bare === "" ? "Design" : bare.slice(0, 120);
}
