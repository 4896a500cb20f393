import { createRequire } from "node:module";
import { refusals } from "#core/base";
import { orderedTexts } from "#core/shop";
import { rgbFromHex } from "#core/thread";
import { proofScene, svgFromScene } from "#drawing";
import type { shapes } from "#contract";
import type { Answers, Context } from "./context";
import { readDesignAside } from "./design-reading";
import { textsOfVersion } from "./design-texts";
import { refuseOrders } from "./order-refusals";
import { sizeWords } from "./paper/wording";
import { type DesignVersionRow, inPortions, studioOf, type VersionReport } from "./records";

/**
 * Proofs as pictures to send to a customer: the scene of drawing/proof.ts, set in the program's own letters, so that
 * it looks the same wherever it is opened.
 */

export const proofRefusals = refusals({
  "proof-no-design": {
    status: 409,
    title: "There is no design to show yet",
    advice: "Mend what keeps the run from being sewn; the piece says what it is.",
  },
  "proof-not-drawn": {
    status: 503,
    title: "The picture could not be drawn",
    advice: "The proof on the page Lettering is drawn by the browser and can be saved from there.",
  },
});

const WIDE_PX = 1400;
const LINEN = "#eee6d6";
const require = createRequire(import.meta.url);
const FACES = [
  "atkinson-hyperlegible-next/400Regular/AtkinsonHyperlegibleNext_400Regular.ttf",
  "atkinson-hyperlegible-next/600SemiBold/AtkinsonHyperlegibleNext_600SemiBold.ttf",
  "atkinson-hyperlegible-next/700Bold/AtkinsonHyperlegibleNext_700Bold.ttf",
  // For letters the first has not.
  "noto-sans/400Regular/NotoSans_400Regular.ttf",
  "noto-sans/700Bold/NotoSans_700Bold.ttf",
];

export function proofAnswers(context: Context): Pick<Answers, "jobProof"> {
  const { store } = context;
  return {
    jobProof: async ({ params }) => {
      const job = await store.db
        .selectFrom("jobs")
        .innerJoin("pieces", "pieces.id", "jobs.piece_id")
        .innerJoin("products", "products.id", "pieces.product_id")
        .select([
          "jobs.placement_name",
          "jobs.design_version_id",
          "jobs.thread_ids",
          "jobs.trouble",
          "pieces.code",
          "pieces.personal_text",
          "products.name as product",
        ])
        .where("jobs.id", "=", params.id)
        .executeTakeFirst();
      if (!job) throw refuseOrders("job-unknown", `There is no run ${params.id}.`);
      const version =
        job.design_version_id === null
          ? undefined
          : await store.db.selectFrom("design_versions").selectAll().where("id", "=", job.design_version_id).executeTakeFirst(); // prettier-ignore
      if (!version)
        throw proofRefusals("proof-no-design", `${job.placement_name} of piece ${job.code}: ${job.trouble ?? "no design is chosen."}`); // prettier-ignore
      const svg = await proofOf(context, version, {
        threadIds: JSON.parse(job.thread_ids) as (string | null)[],
        texts: textsShown(version, job.personal_text),
        what: `${job.product}, ${job.placement_name}`,
      });
      return { bytes: await pngOf(svg), mediaType: "image/png", saveAs: `proof-${job.code}.png` };
    },
  };
}

/** What is sewn, as far as it is known; else what the order asks for. A misspelt design must not look as ordered. */
function textsShown(version: DesignVersionRow, personalText: string): string[] {
  const sewn = textsOfVersion(version).flatMap((text) => text.split("\n"));
  return (sewn.length > 0 ? sewn : orderedTexts(personalText)).filter((text) => text.trim() !== "");
}

interface ProofAsked {
  readonly threadIds: readonly (string | null)[];
  readonly texts: readonly string[];
  readonly what: string;
}

async function proofOf({ store }: Context, version: DesignVersionRow, { threadIds, texts, what }: ProofAsked): Promise<string> {
  const { stitches } = await readDesignAside(await store.files.get(version.file_hash));
  const ids = [...new Set(threadIds.filter((id) => id !== null))];
  const rows = await inPortions(ids, (portion) =>
    store.db.selectFrom("threads").select(["id", "body"]).where("id", "in", portion).execute(),
  );
  const bodies = new Map(rows.map(({ id, body }) => [id, JSON.parse(body) as shapes.ThreadBody]));
  const threads = threadIds.map((id) => (id === null ? undefined : bodies.get(id)));
  const { left, right, bottom, top } = (JSON.parse(version.report) as VersionReport).extentsMm;
  const unit = (await studioOf(store.db))?.body.lengthUnit ?? "mm";
  return svgFromScene(
    proofScene({
      design: stitches,
      threads: threads.map((thread) => {
        const rgb = thread ? rgbFromHex(thread.rgb) : null;
        return rgb === null ? undefined : { rgb };
      }),
      cloth: LINEN,
      textLines: texts,
      spools: ids.flatMap((id) => {
        const thread = bodies.get(id);
        const rgb = thread ? rgbFromHex(thread.rgb) : null;
        return thread && rgb ? [{ rgb, code: thread.code, name: thread.name }] : [];
      }),
      facts: [what, sizeWords(right - left, top - bottom, unit)],
    }),
  );
} // prettier-ignore

/** Drawn outside the program's own thread; the library is only taken in when a proof is asked for. */
async function pngOf(svg: string): Promise<Uint8Array> {
  try {
    const { renderAsync } = await import("@resvg/resvg-js");
    const drawn = await renderAsync(svg, {
      fitTo: { mode: "width", value: WIDE_PX },
      font: {
        loadSystemFonts: false,
        fontFiles: FACES.map((path) => require.resolve(`@expo-google-fonts/${path}`)),
        defaultFontFamily: "Atkinson Hyperlegible Next",
        sansSerifFamily: "Atkinson Hyperlegible Next",
      },
    });
    return drawn.asPng();
  } catch (reason) {
    throw proofRefusals("proof-not-drawn", `The drawing library says: ${reason instanceof Error ? reason.message : String(reason)}`); // prettier-ignore
  }
}
