import { type Finding, Refusal } from "#core/base";
import {
  type Artwork,
  checkDesign,
  type Cloth,
  composeStitches,
  type DesignReport,
  designReport,
  readMachineFile,
  smallestLetterMm,
  type Stitches,
  stitchExtents,
  writeMachineFile,
} from "#core/stitch";
import { readArtwork } from "./artwork-reading";
import { type HandMaking, Kept, letteringOf, sewHandMaking, type SewnMaking, type Sources } from "./design-making-sew"; // prettier-ignore
import { bundledFont, readOutlineFont } from "./fonts";

/**
 * What the threads that make designs are asked, and how it is done. A job names the files it needs by their hash and
 * never carries them: a thread that lacks one says so and is sent it once.
 */
export type MakingJob = SewJob | ReadArtworkJob | ReadFontJob | RecipeJob;

export interface SewJob {
  readonly do: "sew";
  readonly making: HandMaking;
  readonly field: { readonly width: number; readonly height: number } | null;
  /** Files of the studio's own fonts by face. */
  readonly fonts: Readonly<Record<string, string>>;
  readonly stored: Readonly<Record<string, { readonly fileHash: string; readonly threadIds: readonly (string | null)[] }>>;
  /** Given: the machine file is written too, under this label. */
  readonly label: string | null;
} // prettier-ignore

export interface ReadArtworkJob {
  readonly do: "read-artwork";
  readonly fileHash: string;
}

export interface ReadFontJob {
  readonly do: "read-font";
  readonly fileHash: string;
  readonly fileName: string;
}

/** A product's recipe with a text: the stitches of a personal design. */
export interface RecipeJob {
  readonly do: "recipe";
  readonly recipe: PlainRecipe;
  readonly baseHash: string | null;
  readonly fonts: Readonly<Record<string, string>>;
}

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
}

export interface SewDone extends SewnMaking {
  readonly file: Uint8Array | null;
}
export interface ReadArtworkDone {
  readonly kind: "drawing" | "picture";
  readonly naturalMm: Artwork["naturalMm"];
  readonly findings: readonly Finding[];
}
export interface ReadFontDone {
  readonly name: string;
}
/** A recipe's design, or why it cannot be made, in words. */
export type RecipeDone =
  | { readonly trouble: string }
  | {
      readonly file: Uint8Array;
      readonly report: DesignReport;
      readonly findings: readonly Finding[];
      readonly pictureParts: number;
      readonly heightMm: number;
      readonly widthMm: number;
    };

export type DoneOf<J extends MakingJob> = J extends SewJob ? SewDone : J extends ReadArtworkJob ? ReadArtworkDone : J extends ReadFontJob ? ReadFontDone : RecipeDone; // prettier-ignore

/** A file the job needs and whoever does it does not have. */
export class FileWanted extends Error {
  constructor(readonly fileHash: string) {
    super(`The file ${fileHash.slice(0, 12)} is wanted`);
  }
}

const PICTURES_START = [0x89, 0xff];

/** Does jobs one after another, keeping what it has read and made lately. */
export class MakingBench {
  readonly #files = new Kept(40);
  readonly #made = new Kept(80);
  readonly #read = new Kept(60);
  readonly #come = new Map<string, Uint8Array>();

  /** Gives a file that was wanted. */
  bring(fileHash: string, bytes: Uint8Array): void {
    this.#come.set(fileHash, bytes);
  }

  /** @throws FileWanted, refusals, and what `stillWanted` throws */
  do(job: MakingJob, stillWanted: () => void = () => undefined): DoneOf<MakingJob> {
    if (job.do === "sew") return this.#sew(job, stillWanted);
    if (job.do === "recipe") return this.#recipe(job);
    if (job.do === "read-font") return { name: this.#outlineFont(job.fileHash, job.fileName).name };
    const bytes = this.#bytes(job.fileHash);
    const { naturalMm, findings } = this.#artwork(job.fileHash, 12);
    return { kind: PICTURES_START.includes(bytes[0]!) ? "picture" : "drawing", naturalMm, findings };
  }

  #bytes(fileHash: string): Uint8Array {
    const bytes = this.#files.of(fileHash, () => {
      const come = this.#come.get(fileHash);
      if (!come) throw new FileWanted(fileHash);
      return come;
    });
    this.#come.delete(fileHash);
    return bytes;
  }

  #artwork(fileHash: string, mostColours: number): Artwork {
    const isPicture = PICTURES_START.includes(this.#bytes(fileHash)[0]!);
    // A drawing's colours are its own; only a picture's are sought.
    return this.#read.of(`art ${fileHash} ${isPicture ? mostColours : ""}`, () =>
      readArtwork(this.#bytes(fileHash), { mostColours }),
    );
  }

  #outlineFont(fileHash: string, fileName: string) {
    return this.#read.of(`font ${fileHash}`, () => readOutlineFont(this.#bytes(fileHash), fileName));
  }

  #stored(fileHash: string): Stitches {
    return this.#read.of(`design ${fileHash}`, () => readMachineFile(this.#bytes(fileHash)).stitches);
  }

  #fontOf(fonts: Readonly<Record<string, string>>): Sources["font"] {
    return (face) => {
      const own = fonts[face];
      return own === undefined
        ? bundledFont(face.slice(face.indexOf(":") + 1))
        : this.#outlineFont(own, "The font");
    };
  }

  #sew({ making, field, fonts, stored, label }: SewJob, stillWanted: () => void): SewDone {
    const sewn = sewHandMaking({
      making,
      kept: this.#made,
      stillWanted,
      ...(field ? { field } : {}),
      sources: {
        artwork: (hash, most) => this.#artwork(hash, most),
        font: this.#fontOf(fonts),
        stored: (versionId) => {
          const { fileHash, threadIds } = stored[versionId]!;
          return { stitches: this.#stored(fileHash), threadIds };
        },
      },
    });
    return { ...sewn, file: label === null ? null : writeMachineFile(sewn.stitches, label) };
  }

  #recipe({ recipe, baseHash, fonts }: RecipeJob): RecipeDone {
    try {
      const picture = baseHash === null ? null : this.#stored(baseHash);
      const made = makeRecipe(recipe, picture, this.#fontOf(fonts));
      if ("trouble" in made) return made;
      const { stitches, findings } = made;
      return {
        file: writeMachineFile(stitches, recipe.text),
        report: designReport(stitches, findings),
        findings,
        pictureParts: picture === null ? 0 : designReport(picture, []).parts.length,
        heightMm: made.heightMm,
        widthMm: made.widthMm,
      };
    } catch (reason) {
      if (reason instanceof Refusal) return { trouble: `“${recipe.text}”: ${reason.message}` };
      throw reason;
    }
  }
}

type RecipeStitches =
  | { readonly trouble: string }
  | { readonly stitches: Stitches; readonly findings: readonly Finding[]; readonly heightMm: number; readonly widthMm: number }; // prettier-ignore

/**
 * The text centred under or over the picture, half its height apart, both about the start, where the hoop's middle is.
 * A text wider than the placement's room is made lower until it fits. What cannot be made comes back as trouble.
 */
export function makeRecipe(
  recipe: PlainRecipe,
  picture: Stitches | null,
  font: Sources["font"],
): RecipeStitches {
  const { text, face, heightMm, leastHeightMm, maxWidthMm, arcDeg, cloth, place } = recipe;
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
      message: `The letters were made ${height} mm high instead of ${heightMm} mm, so that the text fits ${maxWidthMm} mm.`,
    });
  const stitches = composeStitches(
    picture === null ? [{ stitches: made.stitches }] : beside(picture, made.stitches, place, heightMm),
  );
  return {
    stitches,
    findings: [...findings, ...checkDesign(stitches, { letters: [{ text, heightMm: height }] })],
    heightMm: height,
    widthMm: Math.round(made.widthMm * 10) / 10,
  };
}

function beside(picture: Stitches, text: Stitches, place: PlainRecipe["place"], heightMm: number) {
  const box = stitchExtents(picture);
  const letters = stitchExtents(text);
  const gap = Math.round(heightMm * 10 * 0.5);
  const y = place === "above" ? box.top + gap - letters.bottom : box.bottom - gap - letters.top;
  const x = Math.round((box.left + box.right) / 2 - (letters.left + letters.right) / 2);
  const middleX = Math.round((box.left + box.right) / 2);
  const all = { bottom: Math.min(box.bottom, letters.bottom + y), top: Math.max(box.top, letters.top + y) };
  const middleY = Math.round((all.bottom + all.top) / 2);
  return [
    { stitches: picture, xTenths: -middleX, yTenths: -middleY },
    { stitches: text, xTenths: x - middleX, yTenths: y - middleY },
  ];
}
