import { type Finding, Refusal } from "#core/base";
import {
  checkDesign,
  type Cloth,
  composeStitches,
  type Placed,
  smallestLetterMm,
  type Stitches,
  stitchExtents,
} from "#core/stitch";
import { letteringOf, type Sources } from "./design-making-sew";
import type { RecipeLine } from "./personal-designs";

/** A product's recipe with the texts of an order: the picture, and each text set above or below what is there. */
export interface PlainRecipe {
  readonly text: string;
  readonly face: string;
  readonly heightMm: number;
  /** Text that does not fit is made lower, not under this; null: as low as sews on the cloth. */
  readonly leastHeightMm: number | null;
  readonly maxWidthMm: number;
  readonly arcDeg: number;
  readonly place: "alone" | "below" | "above";
  readonly cloth: Cloth;
  readonly further: readonly RecipeLine[];
}

export type RecipeStitches =
  | { readonly trouble: string }
  | { readonly stitches: Stitches; readonly findings: readonly Finding[]; readonly heightMm: number; readonly widthMm: number }; // prettier-ignore

type Line = Omit<RecipeLine, "place" | "joins">;
interface MadeLine {
  readonly stitches: Stitches;
  readonly findings: readonly Finding[];
  /** The height its letters came out at. */
  readonly heightMm: number;
  readonly widthMm: number;
}

/**
 * The texts centred under or over the picture and one another, half a text's height apart, all about the start, where
 * the hoop's middle is. A text wider than its room is made lower until it fits. What cannot be made comes back as
 * trouble.
 */
export function makeRecipe(
  recipe: PlainRecipe,
  picture: Stitches | null,
  font: Sources["font"],
): RecipeStitches {
  const lines: MadeLine[] = [];
  const texts: readonly Line[] = [recipe, ...recipe.further];
  for (const line of texts) {
    const made = makeLine(line, recipe.cloth, font);
    if ("trouble" in made) return made;
    lines.push(made);
  }
  const stack = new Stack(picture);
  lines.forEach(({ stitches }, index) => {
    const { place, joins, heightMm } = index === 0 ? { ...recipe, joins: false } : recipe.further[index - 1]!;
    stack.add(stitches, { place, gapTenths: Math.round(heightMm * 10 * 0.5), joins });
  });
  const stitches = composeStitches(stack.centred());
  const letters = texts.map(({ text }, index) => ({ text, heightMm: lines[index]!.heightMm }));
  return {
    stitches,
    findings: [...lines.flatMap(({ findings }) => findings), ...checkDesign(stitches, { letters })],
    heightMm: lines[0]!.heightMm,
    widthMm: lines[0]!.widthMm,
  };
}

/** One text in its letters, lowered to fit; a refusal is told with the text it is about. */
function makeLine(line: Line, cloth: Cloth, font: Sources["font"]): MadeLine | { readonly trouble: string } {
  try {
    return letteredLine(line, cloth, font);
  } catch (reason) {
    if (reason instanceof Refusal) return { trouble: `“${line.text}”: ${reason.message}` };
    throw reason;
  }
}

function letteredLine(
  line: Line,
  cloth: Cloth,
  font: Sources["font"],
): MadeLine | { readonly trouble: string } {
  const { text, face, heightMm, leastHeightMm, maxWidthMm, arcDeg } = line;
  const { made, missing } = letteringOf(text, face, { heightMm, maxWidthMm, arcDeg, cloth }, { font });
  if (missing.length > 0) {
    const one = missing.length === 1;
    return { trouble: `“${text}”: the letters have no ${missing.map((letter) => `“${letter}”`).join(", ")}; ${one ? "it" : "they"} would be left out.` }; // prettier-ignore
  }
  const height = Math.round(made.heightMm * 10) / 10;
  const alphabet = face === "alphabet:flowing" ? "flowing" : "upright";
  const least = Math.max(leastHeightMm ?? 0, smallestLetterMm(cloth, alphabet));
  if (height < least)
    return { trouble: `“${text}” fits ${maxWidthMm} mm only with letters of ${height} mm; ${least} mm is the lowest asked for.` }; // prettier-ignore
  const findings = [...made.findings];
  if (height < heightMm)
    findings.push({
      code: "lettering-lowered",
      level: "note",
      message: `The letters of “${text}” were made ${height} mm high instead of ${heightMm} mm, so that the text fits ${maxWidthMm} mm.`,
    });
  return {
    stitches: made.stitches,
    findings,
    heightMm: height,
    widthMm: Math.round(made.widthMm * 10) / 10,
  };
}

/** Things set over and under one another on one middle line, which is that of the first. */
class Stack {
  readonly #placed: Placed[] = [];
  #low = 0;
  #high = 0;
  #middle = 0;

  constructor(picture: Stitches | null) {
    if (picture === null) return;
    const box = stitchExtents(picture);
    this.#placed.push({ stitches: picture, xTenths: 0, yTenths: 0 });
    [this.#low, this.#high] = [box.bottom, box.top];
    this.#middle = (box.left + box.right) / 2;
  }

  add(stitches: Stitches, how: { readonly place: PlainRecipe["place"]; readonly gapTenths: number; readonly joins: boolean }): void {
    const box = stitchExtents(stitches);
    const first = this.#placed.length === 0;
    const y = first ? 0 : how.place === "above" ? this.#high + how.gapTenths - box.bottom : this.#low - how.gapTenths - box.top;
    const x = first ? 0 : Math.round(this.#middle - (box.left + box.right) / 2);
    if (first) this.#middle = (box.left + box.right) / 2;
    this.#placed.push({ stitches, xTenths: x, yTenths: y, ...(how.joins ? { joins: "same-part" } : {}) });
    this.#low = first ? box.bottom : Math.min(this.#low, box.bottom + y);
    this.#high = first ? box.top : Math.max(this.#high, box.top + y);
  } // prettier-ignore

  /** All about the middle; a single thing stays about its own start. */
  centred(): Placed[] {
    if (this.#placed.length === 1) return this.#placed;
    const [middleX, middleY] = [Math.round(this.#middle), Math.round((this.#low + this.#high) / 2)];
    return this.#placed.map((one) => ({
      ...one,
      xTenths: (one.xTenths ?? 0) - middleX,
      yTenths: (one.yTenths ?? 0) - middleY,
    }));
  }
}
