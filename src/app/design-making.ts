import { refusals } from "#core/base";
import type { Stitches } from "#core/stitch";
import type { shapes } from "#contract";
import type { Answers, Call, Context } from "./context";
import type { SewDone, SewJob } from "./design-making-jobs";
import type { HandMaking } from "./design-making-sew";
import { makingThreads } from "./design-making-threads";
import { addVersion, designRefusals, freshDesign } from "./designs";
import { facesOf, fontAnswers, fontFiles } from "./design-making-fonts";
import { handMakingOf } from "./design-texts";
import { tidyText } from "./fold";
import { refreshJobs } from "./piece-refresh";
import { inPortions, keptOf, versionOf } from "./records";
import { packedStitches } from "./stitch-bytes";

/** Designs made by hand: pictures of a making while it is worked on, and the making kept as a version. */

export const makingRefusals = refusals({
  "making-not-ready": {
    status: 422,
    title: "The design is not ready to be kept",
    advice: "Mend what the message names; everything typed is still here.",
  },
  "making-names-unknown": {
    status: 422,
    title: "The making names something the studio does not have",
    advice: "Choose it again from the list.",
  },
});

type MakingAnswers = Pick<
  Answers,
  "listFaces" | "addFont" | "archiveFont" | "addArtwork" | "previewMaking" | "saveMaking" | "readMaking"
>;

export function makingAnswers(context: Context): MakingAnswers {
  const { store, nowMs, newId } = context;

  return {
    ...fontAnswers(context),
    listFaces: async () => ({ items: await facesOf(context) }),
    addArtwork: async ({ query, body }) => {
      const fileHash = await store.files.put(body);
      const read = await makingThreads(context).soon({ do: "read-artwork", fileHash });
      return {
        fileHash,
        fileName: tidyText(query.name).slice(0, 200),
        kind: read.kind,
        naturalMm: read.naturalMm,
        findings: [...read.findings],
      };
    },
    previewMaking: async ({ body: { making, desk } }, call) => {
      const begun = performance.now();
      const job = await sewJob(context, making, null);
      const sewn = await makingThreads(context).soon(job, { desk, signal: call.signal });
      return previewOf(sewn, performance.now() - begun);
    },
    saveMaking: async ({ body }, call) => {
      const { making } = body;
      const title = tidyText(body.name);
      const job = await sewJob(context, making, title);
      const sewn = await makingThreads(context).soon(job);
      refuseUnready(sewn, making);
      await refuseStrangeThreads(context, sewn);
      const fileHash = await store.files.put(sewn.file!);
      return keep(context, { making, title, into: body.into, sewn, fileHash, call });
    },
    readMaking: async ({ params }) => {
      const row = await store.db
        .selectFrom("design_versions")
        .innerJoin("designs", "designs.id", "design_versions.design_id")
        .select([
          "design_versions.making",
          "design_versions.number",
          "design_versions.source",
          "designs.id as designId",
          "designs.name",
        ]) // prettier-ignore
        .where("design_versions.id", "=", params.id)
        .executeTakeFirst();
      if (!row) throw designRefusals("design-unknown", `There is no design version ${params.id}.`);
      return {
        making: handMakingOf(row.making),
        designId: row.designId,
        designName: row.name,
        number: row.number,
        source: row.source as shapes.DesignVersion["source"],
      };
    },
  };

  async function keep(
    context_: Context,
    asked: {
      readonly making: HandMaking;
      readonly title: string;
      readonly into: string | null;
      readonly sewn: SewDone;
      readonly fileHash: string;
      readonly call: Call;
    },
  ) {
    const { making, title, into, sewn, fileHash, call } = asked;
    const before =
      into === null
        ? null
        : await store.db.selectFrom("designs").selectAll().where("id", "=", into).executeTakeFirst();
    if (before === undefined) throw designRefusals("design-unknown", `There is no design ${into}.`);
    const { result, changeId } = await store.write(
      { who: call.who, what: before ? `Made a version of design ${before.name}` : `Made design ${title}` },
      async (writing) => {
        const designId = into ?? newId("ds");
        if (!before) await writing.insert("designs", freshDesign(designId, title, nowMs()));
        const row = await addVersion(context_, writing, {
          designId,
          source: making.items.every((item) => item.kind === "lettering") ? "lettering" : "made",
          fileName: `${(before?.name ?? title).slice(0, 60)}.dst`,
          fileHash,
          report: sewn.report,
          findings: findingsOf(sewn),
          threadIds: sewn.parts.map((part) => part.threadId),
          making,
        });
        if (before) {
          await refreshJobs(context_, writing, { designId });
          writing.touch("pieces");
        }
        writing.touch("designs", designId);
        return { designId, version: versionOf(row) };
      },
    );
    call.note({ changeId });
    return result;
  }
}

const findingsOf = (sewn: SewDone) => [...sewn.items.flatMap((item) => item.findings), ...sewn.findings];

/** The job with what its threads need: files of fonts and stored designs, the hoop's field. */
async function sewJob(context: Context, making: HandMaking, label: string | null): Promise<SewJob> {
  const { db } = context.store;
  const versionIds = making.items.flatMap((item) => (item.kind === "design" ? [item.versionId] : []));
  const rows = await inPortions([...new Set(versionIds)], (ids) =>
    db
      .selectFrom("design_versions")
      .select(["id", "file_hash", "thread_ids"])
      .where("id", "in", ids)
      .execute(),
  );
  const stored = Object.fromEntries(
    rows.map((row) => [row.id, { fileHash: row.file_hash, threadIds: JSON.parse(row.thread_ids) as (string | null)[] }]), // prettier-ignore
  );
  const strange = versionIds.find((id) => !(id in stored));
  if (strange !== undefined)
    throw makingRefusals("making-names-unknown", `There is no design version ${strange}.`, [
      { field: "making.items", found: strange, expected: "a version of a design" },
    ]);
  const faces = making.items.flatMap((item) => (item.kind === "lettering" ? [item.face] : []));
  const hoop =
    making.hoopId === null
      ? undefined
      : await db.selectFrom("hoops").selectAll().where("id", "=", making.hoopId).executeTakeFirst();
  const field = hoop ? keptOf<shapes.HoopBody>(hoop) : null;
  return {
    do: "sew",
    making,
    field: field && { width: field.fieldWidthMm, height: field.fieldHeightMm },
    fonts: await fontFiles(context, faces),
    stored,
    label,
  };
}

function previewOf(sewn: SewDone, tookMs: number): shapes.MadePreview {
  const { report } = sewn;
  return {
    stitches: Buffer.from(packedStitches(sewn.stitches as Stitches)).toString("base64"),
    parts: sewn.parts.map((part, index) => ({
      stitches: report.parts[index]?.stitches ?? 0,
      threadMm: report.parts[index]?.threadMm ?? 0,
      threadId: part.threadId,
      colour: part.colour,
      of: [...part.of],
    })),
    items: [...sewn.items],
    extentsMm: report.extentsMm,
    stitchCount: report.stitches,
    trims: report.trims,
    jumps: report.jumps,
    longestMm: report.longestMm,
    shortestMm: report.shortestMm,
    densestPerMm2: report.densestPerMm2,
    findings: [...sewn.findings],
    tookMs: Math.round(tookMs * 10) / 10,
  };
}

/** A design is kept only whole: a name without one of its letters must not reach a machine. */
function refuseUnready(sewn: SewDone, making: HandMaking): void {
  const troubles = sewn.items.flatMap(({ key, trouble, missing }) => {
    const item = making.items.find((one) => one.key === key)!;
    const name = item.kind === "lettering" ? `“${item.text}”` : item.kind === "artwork" ? item.fileName : "The stored design"; // prettier-ignore
    if (trouble) return [`${name}: ${trouble.message}`];
    if (missing.length > 0)
      return [`${name}: the letters have no ${missing.map((letter) => `“${letter}”`).join(", ")}.`];
    return [];
  });
  if (troubles.length === 0 && sewn.report.stitches === 0) troubles.push("There is no stitch in it.");
  if (troubles.length > 0)
    throw makingRefusals(
      "making-not-ready",
      troubles.join(" "),
      troubles.map((found) => ({ field: "making.items", found, expected: "something that can be sewn whole" })), // prettier-ignore
    );
}

async function refuseStrangeThreads(context: Context, sewn: SewDone): Promise<void> {
  const asked = [...new Set(sewn.parts.flatMap(({ threadId }) => threadId ?? []))];
  const known = await inPortions(asked, (ids) =>
    context.store.db.selectFrom("threads").select("id").where("id", "in", ids).execute(),
  );
  const strange = asked.find((id) => !known.some((row) => row.id === id));
  if (strange !== undefined)
    throw designRefusals("thread-unknown", `The shop has no thread ${strange}.`, [
      { field: "making.items", found: strange },
    ]);
}
