import { type Finding, refusals } from "#core/base";
import { sewnTexts } from "#core/shop";
import { type CheckContext, type Cloth, type DesignReport, designReport, mendDesign, type MendedDesign, readMachineFile, writeMachineFile } from "#core/stitch"; // prettier-ignore
import type { shapes } from "#contract";
import type { Answers, Context } from "./context";
import { designRefusals, addVersion } from "./designs";
import { readDesignAside } from "./design-reading";
import { textsOfVersion } from "./design-texts";
import { type DesignVersionRow, versionOf } from "./records";
import { packedStitches } from "./stitch-bytes";
import { startThread } from "./threads";

/** Mends of finished stitches: seen first, then kept as a new version beside the old one. */

export const mendingRefusals = refusals({
  "machine-unknown": { status: 404, title: "No such machine", advice: "Choose one of the list." },
  "run-unknown": { status: 404, title: "No such run of a piece", advice: "Open the piece again." },
  "nothing-to-mend": {
    status: 422,
    title: "The mends change nothing",
    advice: "Nothing was kept: the design is as these mends would make it already.",
  },
});

type MendingAnswers = Pick<Answers, "checkDesignVersion" | "previewMends" | "mendedStitches" | "mendDesign">;

/** What a mended design is told by: sent from the thread that made it. */
export interface MendTold {
  /** What the reader found in the file itself. */
  readonly read: readonly Finding[];
  readonly mended: MendedDesign;
  readonly before: DesignReport;
  readonly after: DesignReport;
}

/** The mends done on a machine file's bytes, on the calling thread. */
export function mendBytes(bytes: Uint8Array, codes: readonly string[], context: CheckContext): MendTold {
  const { stitches, findings } = readMachineFile(bytes);
  const mended = mendDesign(stitches, codes, context);
  return {
    read: findings,
    mended,
    before: designReport(stitches, []),
    after: designReport(mended.design, []),
  };
}

/** As in reading: a larger design would hold up everybody else's requests. */
const LARGEST_AT_ONCE_BYTES = 60_000;

function mendAside(bytes: Uint8Array, codes: readonly string[], context: CheckContext): Promise<MendTold> {
  if (bytes.length <= LARGEST_AT_ONCE_BYTES)
    return new Promise((resolve) => resolve(mendBytes(bytes, codes, context)));
  return new Promise((resolve, reject) => {
    const thread = startThread("design-worker", { bytes, codes, context }, { resourceLimits: { maxOldGenerationSizeMb: 1024 } }); // prettier-ignore
    thread.once("message", (told: MendTold) => {
      void thread.terminate();
      resolve(told);
    });
    thread.once("error", reject);
    thread.once("exit", (code) => reject(new Error(`The thread that mends designs ended with ${code}`)));
  });
}

export function mendingAnswers(context: Context): MendingAnswers {
  const { store } = context;

  const versionRow = async (id: string): Promise<DesignVersionRow> => {
    const row = await store.db.selectFrom("design_versions").selectAll().where("id", "=", id).executeTakeFirst(); // prettier-ignore
    if (!row) throw designRefusals("design-unknown", `There is no design version ${id}.`);
    return row;
  };
  const mendRow = async (row: DesignVersionRow, codes: readonly string[], known: CheckContext) => {
    let bytes: Uint8Array;
    try {
      bytes = await store.files.get(row.file_hash);
    } catch {
      throw designRefusals(
        "file-missing",
        `The machine file ${row.file_name} (version ${row.number}) cannot be found.`,
      );
    }
    const partThreads = JSON.parse(row.thread_ids) as (string | null)[];
    const told = await mendAside(bytes, codes, { ...known, partThreads });
    return { ...told, threadIds: told.mended.partsFrom.map((part) => partThreads[part] ?? null) };
  };
  const onCloth = (cloth: Cloth | null | undefined): CheckContext => (cloth ? { cloth } : {});
  const onMachine = async (id: string): Promise<CheckContext> => {
    if (id === "") return {};
    const row = await store.db.selectFrom("machines").select("body").where("id", "=", id).executeTakeFirst();
    if (!row) throw mendingRefusals("machine-unknown", `There is no machine ${id}.`);
    const { needles, fieldWidthMm, fieldHeightMm } = JSON.parse(row.body) as shapes.MachineBody;
    return {
      ...(needles.length > 0 ? { needles: needles.length } : {}),
      ...(fieldWidthMm > 0 && fieldHeightMm > 0
        ? { fieldMm: { width: fieldWidthMm, height: fieldHeightMm } }
        : {}),
    };
  };
  const asOrdered = async (row: DesignVersionRow, jobId: string): Promise<CheckContext> => {
    const sewn = textsOfVersion(row);
    if (jobId === "" || sewn.length === 0) return {};
    const job = await store.db
      .selectFrom("jobs")
      .innerJoin("pieces", "pieces.id", "jobs.piece_id")
      .innerJoin("products", "products.id", "pieces.product_id")
      .select(["jobs.placement_id", "pieces.personal_text", "products.body"])
      .where("jobs.id", "=", jobId)
      .executeTakeFirst();
    if (!job) throw mendingRefusals("run-unknown", `There is no run ${jobId} of a piece.`);
    const { placements } = JSON.parse(job.body) as shapes.ProductBody;
    const lettering = placements.find(({ id }) => id === job.placement_id)?.lettering;
    if (!lettering) return {};
    return { texts: { sewn, ordered: sewnTexts(lettering, job.personal_text).map(({ text }) => text) } };
  };

  return {
    checkDesignVersion: async ({ params, query }) => {
      const row = await versionRow(params.id);
      const known = {
        ...(await onMachine(query.machineId)),
        ...onCloth(query.cloth),
        ...(await asOrdered(row, query.jobId)),
      };
      const { read, mended } = await mendRow(row, [], known);
      return { findings: [...read, ...mended.left] };
    },
    previewMends: async ({ params, body }) => {
      const { mended, before, after, threadIds } = await mendRow(
        await versionRow(params.id),
        body.mends,
        onCloth(body.cloth),
      );
      return {
        done: mended.done as shapes.MendsSeen["done"],
        before: countsOf(before),
        after: countsOf(after),
        threadIds,
        gone: [...mended.gone],
        left: [...mended.left],
        come: [...mended.come],
      };
    },
    mendedStitches: async ({ params, query }) => {
      const { mended } = await mendRow(await versionRow(params.id), query.mends, onCloth(query.cloth));
      return { bytes: packedStitches(mended.design), mediaType: "application/octet-stream" };
    },
    mendDesign: async ({ params, body }, call) => {
      const row = await versionRow(params.id);
      const { mended, threadIds } = await mendRow(row, body.mends, onCloth(body.cloth));
      const done = mended.done.filter(({ changed }) => changed > 0);
      if (done.length === 0)
        throw mendingRefusals("nothing-to-mend", `Version ${row.number}: ${mended.done.map(({ says }) => says).join("; ")}.`); // prettier-ignore
      const { name } = await store.db
        .selectFrom("designs")
        .select("name")
        .where("id", "=", row.design_id)
        .executeTakeFirstOrThrow();
      const bytes = writeMachineFile(mended.design, name);
      const { findings, report } = await readDesignAside(bytes);
      const fileHash = await store.files.put(bytes);
      const { result, changeId } = await store.write(
        { who: call.who, what: `Mended design ${name}: ${done.map(({ says }) => says).join("; ")}` },
        async (writing) => {
          const version = await addVersion(context, writing, {
            designId: row.design_id,
            source: "mended",
            fileName: `version ${row.number}: ${done.map(({ says }) => says).join("; ")}`.slice(0, 200),
            fileHash,
            report,
            findings,
            threadIds,
          });
          writing.touch("designs", row.design_id);
          return version;
        },
      );
      call.note({ changeId });
      return versionOf(result);
    },
  };
}

const countsOf = (report: DesignReport) => ({
  stitches: report.stitches,
  jumps: report.jumps,
  stops: report.stops,
  trims: report.trims,
  densestPerMm2: report.densestPerMm2,
  longestMm: report.longestMm,
  threadMm: report.parts.reduce((sum, part) => sum + part.threadMm, 0),
});
