import { createHash } from "node:crypto";
import { type Finding, Refusal } from "#core/base";
import type { Cloth } from "#core/shop";
import {
  checkDesign,
  composeStitches,
  designReport,
  letterText,
  readMachineFile,
  type Stitches,
  smallestLetterMm,
  stitchExtents,
  writeMachineFile,
} from "#core/stitch";
import type { Store, Tables, Writing } from "#store";
import type { Context } from "./context";
import { foldText } from "./fold";
import type { DesignVersionRow, VersionReport } from "./records";

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
}

/** What the `making` column of a personal version holds. */
export interface Making {
  readonly baseVersionId: string | null;
  readonly text: string;
  readonly heightMm: number;
  readonly maxWidthMm: number;
  readonly place: Recipe["place"];
  readonly cloth: Cloth;
  /** How many of its parts, from the first, are the picture's; the rest is the text. */
  readonly pictureParts: number;
  /** Threads as they were given at making: a part that differs now was chosen by a person since. */
  readonly threadsAtMaking: readonly (string | null)[];
}

/** Raised when the same recipe would give other stitches than before. */
const MAKING_NUMBER = 1;

/** The key under which a recipe's design is kept. */
export function makingKeyOf(recipe: Recipe): string {
  const { base, text, heightMm, maxWidthMm, place, cloth } = recipe;
  const facts = [
    MAKING_NUMBER,
    base?.file_hash ?? null,
    base?.id ?? null,
    text.normalize("NFC"),
    heightMm,
    maxWidthMm,
    place,
    cloth,
  ];
  return createHash("sha256").update(JSON.stringify(facts)).digest("hex");
}

export type Lettered =
  | { readonly stitches: Stitches; readonly pictureParts: number; readonly findings: readonly Finding[] }
  | { readonly trouble: string };

/**
 * Stitches of a recipe: the text centred under or over the picture, half its height apart. A text wider than the
 * placement's room is made lower until it fits. What cannot be made comes back as trouble, in words.
 */
export function makeStitches(recipe: Recipe, picture: Stitches | null): Lettered {
  const { text, heightMm, maxWidthMm, cloth, place } = recipe;
  try {
    let height = heightMm;
    let lettering = letterText(text, { heightMm: height, cloth });
    // Width grows with height all but evenly; twice is nearly always enough.
    for (let round = 0; round < 4 && lettering.widthMm > maxWidthMm; round++) {
      height = Math.floor(((height * maxWidthMm) / lettering.widthMm) * 10 - (round > 0 ? 1 : 0)) / 10;
      const smallest = smallestLetterMm(cloth);
      if (height < smallest)
        return {
          trouble: `“${text}” is ${lettering.widthMm.toFixed(0)} mm wide at ${round === 0 ? heightMm : height} mm height; it does not fit ${maxWidthMm} mm with letters of ${smallest} mm, the smallest that sew on ${cloth} cloth.`,
        };
      lettering = letterText(text, { heightMm: height, cloth });
    }
    const missing = lettering.findings.find((finding) => finding.code === "letters-missing");
    if (missing) return { trouble: `“${text}”: ${missing.message}` };
    const findings = [...lettering.findings];
    if (height < heightMm)
      findings.push({
        code: "lettering-lowered",
        level: "note",
        message: `The letters were made ${height} mm high instead of ${heightMm} mm, so that the text fits ${maxWidthMm} mm.`,
      });
    const placed =
      picture === null
        ? [{ stitches: lettering.stitches }]
        : beside(picture, lettering.stitches, place, heightMm);
    const stitches = composeStitches(placed);
    const pictureParts = picture === null ? 0 : designReport(picture, []).parts.length;
    return { stitches, pictureParts, findings: [...findings, ...checkDesign(stitches)] };
  } catch (error) {
    if (error instanceof Refusal) return { trouble: `“${text}”: ${error.message}` };
    throw error;
  }
}

function beside(picture: Stitches, text: Stitches, place: Recipe["place"], heightMm: number) {
  const box = stitchExtents(picture);
  const letters = stitchExtents(text);
  const gap = Math.round(heightMm * 10 * 0.5);
  const y = place === "above" ? box.top + gap - letters.bottom : box.bottom - gap - letters.top;
  const x = Math.round((box.left + box.right) / 2 - (letters.left + letters.right) / 2);
  // Both together are centred on the start, where the hoop's middle is.
  const middleX = Math.round((box.left + box.right) / 2);
  const all = { bottom: Math.min(box.bottom, letters.bottom + y), top: Math.max(box.top, letters.top + y) };
  const middleY = Math.round((all.bottom + all.top) / 2);
  return [
    { stitches: picture, xTenths: -middleX, yTenths: -middleY },
    { stitches: text, xTenths: x - middleX, yTenths: y - middleY },
  ];
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

/** Makes a recipe's design: stitches, machine file in the file store, rows ready to keep. */
export async function makePersonal(
  context: Context,
  recipe: Recipe,
  textThreadId: string | null,
): Promise<PersonalDesign | { readonly trouble: string }> {
  const { base, text, heightMm, maxWidthMm, place, cloth } = recipe;
  // Taken before anything is waited for: in the order of asking, whatever the disk does.
  const atMs = context.nowMs();
  const designId = context.newId("ds");
  const versionId = context.newId("dv");
  const picture =
    base === null ? null : readMachineFile(await context.store.files.get(base.file_hash)).stitches;
  const made = makeStitches(recipe, picture);
  if ("trouble" in made) return made;
  const fileName = `${
    foldText(text)
      .replace(/[^a-z0-9]+/g, "-")
      .slice(0, 40) || "text"
  }.dst`;
  let bytes: Uint8Array;
  try {
    bytes = writeMachineFile(made.stitches, text);
  } catch (error) {
    if (error instanceof Refusal) return { trouble: error.message };
    throw error;
  }
  const report = designReport(made.stitches, made.findings);
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
      findings: JSON.stringify(made.findings),
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
