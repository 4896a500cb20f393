import { createHash } from "node:crypto";
import { type Cloth, sewnTexts } from "#core/shop";
import type { shapes } from "#contract";
import type { Store, Tables, Writing } from "#store";
import type { Context } from "./context";
import { fontFiles } from "./design-making-fonts";
import { FileWanted, MakingBench, type RecipeDone, type RecipeJob } from "./design-making-jobs";
import { makingThreads } from "./design-making-threads";
import { foldText } from "./fold";
import { type DesignVersionRow, keptFindings, keptReport } from "./records";

/**
 * The design of a placement whose lettering carries an order's own text: the picture (or none) and the text in
 * satin letters, sewn as one. The same recipe is made once a studio: its key is a digest of all that decides the
 * stitches. Personal designs are kept outside the undo of an order, for another order may have come to use them.
 */
export interface RecipeLine {
  readonly text: string;
  readonly heightMm: number;
  readonly maxWidthMm: number;
  readonly place: "below" | "above";
  readonly face: string;
  readonly leastHeightMm: number | null;
  readonly arcDeg: number;
  /** Sewn in one part with the text before it, as it has the same thread. */
  readonly joins: boolean;
}

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
  /** Further texts, each set above or below what is there. */
  readonly further?: readonly RecipeLine[];
}

/** How a placement sews an order's texts, as its product says. */
type Lettering = NonNullable<shapes.ProductBody["placements"][number]["lettering"]>;

/** An order's texts as a recipe sews them, each beside its thread; texts in one thread share a part. */
export function recipeLines(
  lettering: Lettering | null,
  personalText: string,
): (RecipeLine & { readonly threadId: string | null })[] {
  if (!lettering) return [];
  let before: string | null | undefined;
  return sewnTexts(lettering, personalText).map(({ line, text }) => {
    const joins = before === line.threadId;
    before = line.threadId;
    return {
      text,
      heightMm: line.heightMm,
      maxWidthMm: line.maxWidthMm,
      face: line.face ?? UPRIGHT,
      leastHeightMm: line.leastHeightMm ?? null,
      arcDeg: line.arcDeg ?? 0,
      place: line.place === "above" ? "above" : "below",
      joins,
      threadId: line.threadId,
    };
  });
}

const UPRIGHT = "alphabet:upright";

/** What the `making` column of a personal version holds. */
export interface Making {
  readonly baseVersionId: string | null;
  readonly text: string;
  /** Further texts of the same design, in the order they were set. */
  readonly furtherTexts?: readonly string[];
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
    further = [],
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
    ...(further.length === 0
      ? []
      : [further.map((line) => [line.text.normalize("NFC"), line.heightMm, line.maxWidthMm, line.place, line.face, line.leastHeightMm, line.arcDeg, line.joins])]), // prettier-ignore
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
  /** Of each part of text, in their order. */
  textThreadIds: readonly (string | null)[],
  where: MakingPlace = "here",
): Promise<PersonalDesign | { readonly trouble: string }> {
  const { base, text, heightMm, maxWidthMm, place, cloth, face = UPRIGHT, further = [] } = recipe;
  const texts = [text, ...further.map((line) => line.text)];
  // Taken before anything is waited for: in the order of asking, whatever the disk does.
  const atMs = context.nowMs();
  const designId = context.newId("ds");
  const versionId = context.newId("dv");
  const made = await doRecipe(
    context,
    {
      do: "recipe",
      baseHash: base?.file_hash ?? null,
      fonts: await fontFiles(context, [face, ...further.map((line) => line.face)]),
      recipe: {
        text,
        face,
        heightMm,
        leastHeightMm: recipe.leastHeightMm ?? null,
        maxWidthMm,
        arcDeg: recipe.arcDeg ?? 0,
        place,
        cloth,
        further,
      },
    },
    where,
  );
  if ("trouble" in made) return made;
  const { report, file: bytes } = made;
  const fileName = `${
    foldText(texts.join(" "))
      .replace(/[^a-z0-9]+/g, "-")
      .slice(0, 40) || "text"
  }.dst`;
  const baseThreads = base === null ? [] : (JSON.parse(base.thread_ids) as (string | null)[]);
  const threads = report.parts.map((_, part) =>
    part < made.pictureParts
      ? (baseThreads[part] ?? null)
      : (textThreadIds[part - made.pictureParts] ?? null),
  );
  const making: Making = {
    baseVersionId: base?.id ?? null,
    text,
    ...(further.length === 0 ? {} : { furtherTexts: texts.slice(1) }),
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
  const key = makingKeyOf(recipe);
  return {
    key,
    design: {
      id: designId,
      version: 1,
      archived: 0,
      created_at_ms: atMs,
      updated_at_ms: atMs,
      name: texts.join(" / "),
      note: "",
      search: foldText(texts.join(" ")),
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
      report: keptReport(report),
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
