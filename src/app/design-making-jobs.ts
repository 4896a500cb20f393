import { type Finding, Refusal } from "#core/base";
import {
  type Artwork,
  type DesignReport,
  designReport,
  readMachineFile,
  type Stitches,
  writeMachineFile,
} from "#core/stitch";
import { readArtwork } from "./artwork-reading";
import { type HandMaking, Kept, sewHandMaking, type SewnMaking, type Sources } from "./design-making-sew"; // prettier-ignore
import { makeRecipe, type PlainRecipe } from "./design-making-recipe";
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
