import { createHash } from "node:crypto";
import type { Cloth } from "#core/shop";
import type { Store, Tables, Writing } from "#store";
import type { Context } from "./context";
import { fontFiles } from "./design-making-fonts";
import { FileWanted, MakingBench, type RecipeDone, type RecipeJob } from "./design-making-jobs";
import { makingThreads } from "./design-making-threads";
import { foldText } from "./fold";
import { type DesignVersionRow, keptFindings, type VersionReport } from "./records";

/**
 * The design of a placement whose lettering carries an order's own text: the picture (or none) and the text in
 * satin letters, sewn as one. The same recipe is made once a studio: its key is a digest of all that decides the
 * stitches. Personal designs are kept outside the undo of an order, for another order may have come to use them.
 */
export interface Recipe {
  /** The version of the picture, or null where the placement is lettering alone. */
  readonly base: DesignVersionRow | null;
  readonly text: string;
  readonly heightMm: number;
  readonly maxWidthMm: number;
  readonly place: "alone" | "below" | "above";
  readonly cloth: Cloth;
  /** Whose letters; the upright alphabet when left out. */
  readonly face?: string;
  /** Text that is too wide is made lower, not under this; as low as sews when left out. */
  readonly leastHeightMm?: number | null;
  readonly arcDeg?: number;
}

const UPRIGHT = "alphabet:upright";

/** What the `making` column of a personal version holds. */
export interface Making {
  readonly baseVersionId: string | null;
  readonly text: string;
  readonly heightMm: number;
  readonly maxWidthMm: number;
  readonly place: Recipe["place"];
  readonly cloth: Cloth;
  readonly face?: string;
  /** The height the letters came out at, and the width of the text. */
  readonly madeHeightMm?: number;
  readonly madeWidthMm?: number;
  /** How many of its parts, from the first, are the picture's; the rest is the text. */
  readonly pictureParts: number;
  /** Threads as they were given at making: a part that differs now was chosen by a person since. */
  readonly threadsAtMaking: readonly (string | null)[];
}

/** Raised when the same recipe would give other stitches than before. */
const MAKING_NUMBER = 2;

/** The key under which a recipe's design is kept. */
export function makingKeyOf(recipe: Recipe): string {
  const {
    base,
    text,
    heightMm,
    maxWidthMm,
    place,
    cloth,
    face = UPRIGHT,
    leastHeightMm = null,
    arcDeg = 0,
  } = recipe;
  const plain = face === UPRIGHT && leastHeightMm === null && arcDeg === 0;
  const facts = [
    MAKING_NUMBER,
    base?.file_hash ?? null,
    base?.id ?? null,
    text.normalize("NFC"),
    heightMm,
    maxWidthMm,
    place,
    cloth,
    ...(plain ? [] : [face, leastHeightMm, arcDeg]),
  ];
  return createHash("sha256").update(JSON.stringify(facts)).digest("hex");
}

/** A personal design: one that is kept already, or rows that wait to be kept with the order that needs them. */
export interface PersonalDesign {
  readonly key: string;
  readonly version: DesignVersionRow;
  /** The design's own row while it is not kept yet. */
  readonly design: Tables["designs"] | null;
}

/** The kept designs of these keys. */
export async function findPersonal(
  db: Store["db"],
  keys: readonly string[],
): Promise<Map<string, DesignVersionRow>> {
  const found = new Map<string, DesignVersionRow>();
  for (let from = 0; from < keys.length; from += 500) {
    const rows = await db
      .selectFrom("design_versions")
      .selectAll()
      .where("making_key", "in", keys.slice(from, from + 500))
      .execute();
    for (const row of rows) found.set(row.making_key!, row);
  }
  return found;
}

/** Where stitches are made: here and now, or in the threads for work in numbers. */
export type MakingPlace = "here" | "in threads";

const benches = new WeakMap<Context, MakingBench>();

async function doRecipe(context: Context, job: RecipeJob, where: MakingPlace): Promise<RecipeDone> {
  if (where === "in threads") return makingThreads(context).inNumbers(job);
  const bench = benches.get(context) ?? new MakingBench();
  benches.set(context, bench);
  for (;;)
    try {
      return bench.do(job) as RecipeDone;
    } catch (reason) {
      if (!(reason instanceof FileWanted)) throw reason;
      bench.bring(reason.fileHash, await context.store.files.get(reason.fileHash));
    }
}

/** Makes a recipe's design: stitches, machine file in the file store, rows ready to keep. */
export async function makePersonal(
  context: Context,
  recipe: Recipe,
  textThreadId: string | null,
  where: MakingPlace = "here",
): Promise<PersonalDesign | { readonly trouble: string }> {
  const { base, text, heightMm, maxWidthMm, place, cloth, face = UPRIGHT } = recipe;
  // Taken before anything is waited for: in the order of asking, whatever the disk does.
  const atMs = context.nowMs();
  const designId = context.newId("ds");
  const versionId = context.newId("dv");
  const made = await doRecipe(
    context,
    {
      do: "recipe",
      baseHash: base?.file_hash ?? null,
      fonts: await fontFiles(context, [face]),
      recipe: {
        text,
        face,
        heightMm,
        leastHeightMm: recipe.leastHeightMm ?? null,
        maxWidthMm,
        arcDeg: recipe.arcDeg ?? 0,
        place,
        cloth,
      },
    },
    where,
  );
  if ("trouble" in made) return made;
  const { report, file: bytes } = made;
  const fileName = `${
    foldText(text)
      .replace(/[^a-z0-9]+/g, "-")
      .slice(0, 40) || "text"
  }.dst`;
  const baseThreads = base === null ? [] : (JSON.parse(base.thread_ids) as (string | null)[]);
  const threads = report.parts.map((_, part) =>
    part < made.pictureParts ? (baseThreads[part] ?? null) : textThreadId,
  );
  const making: Making = {
    baseVersionId: base?.id ?? null,
    text,
    heightMm,
    maxWidthMm,
    place,
    cloth,
    ...(face === UPRIGHT ? {} : { face }),
    madeHeightMm: made.heightMm,
    madeWidthMm: made.widthMm,
    pictureParts: made.pictureParts,
    threadsAtMaking: threads,
  };
  const kept: VersionReport = {
    parts: report.parts,
    extentsMm: report.extentsMm,
    shortestMm: report.shortestMm,
    longestMm: report.longestMm,
    shortShare: report.shortShare,
    densestPerMm2: report.densestPerMm2,
  };
  const key = makingKeyOf(recipe);
  return {
    key,
    design: {
      id: designId,
      version: 1,
      archived: 0,
      created_at_ms: atMs,
      updated_at_ms: atMs,
      name: text,
      note: "",
      search: foldText(text),
      kind: "personal",
      latest_version_id: versionId,
    },
    version: {
      id: versionId,
      design_id: designId,
      number: 1,
      source: base === null ? "lettering" : "recipe",
      file_name: fileName,
      made_at_ms: atMs,
      file_hash: await context.store.files.put(bytes),
      making: JSON.stringify(making),
      making_key: key,
      stitches: report.stitches,
      jumps: report.jumps,
      stops: report.stops,
      trims: report.trims,
      report: JSON.stringify(kept),
      findings: keptFindings(made.findings),
      thread_ids: JSON.stringify(threads),
    },
  };
}

/** Keeps designs that are not kept yet, inside the write of what needs them. */
export async function keepPersonal(writing: Writing, designs: readonly PersonalDesign[]): Promise<void> {
  const fresh = designs.filter((one) => one.design !== null);
  if (fresh.length === 0) return;
  for (let from = 0; from < fresh.length; from += 50) {
    const portion = fresh.slice(from, from + 50);
    await writing.db
      .insertInto("designs")
      .values(portion.map((one) => one.design!))
      .execute();
    await writing.db
      .insertInto("design_versions")
      .values(portion.map((one) => one.version))
      .execute();
  }
  writing.touch("designs", ...fresh.map((one) => one.version.design_id));
}
