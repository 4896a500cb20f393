import { type Finding, Refusal } from "#core/base";
import {
  type Artwork,
  checkDesign,
  type CheckContext,
  type Cloth,
  composeStitches,
  type DesignReport,
  designReport,
  type Lettering,
  letterOutlines,
  letterText,
  type LetteringOptions,
  missingLetters,
  missingOutlines,
  type OutlineFont,
  type Placed,
  rotateStitches,
  scaleStitches,
  splitAtStops,
  type Stitches,
  stitchExtents,
} from "#core/stitch";
import type { shapes } from "#contract";
import { makeDrawn } from "./design-making-drawn";

/**
 * From a making to its stitches: each thing is made about its own place, turned, put where it belongs, and all are
 * sewn in order; neighbours in one thread share a part. What cannot be made is left out and says why. Pure: drawings,
 * fonts and stored stitches come in by the names the making gives them.
 */

export type HandMaking = shapes.HandMaking;
export type MakingItem = HandMaking["items"][number];
export type Item<K extends MakingItem["kind"]> = Extract<MakingItem, { kind: K }>;
export type MadeItem = shapes.MadePreview["items"][number];

/** What a making is made of, by file hash; fonts by face. */
export interface Sources {
  artwork(fileHash: string, mostColours: number): Artwork;
  font(face: string): OutlineFont;
  stored(versionId: string): {
    readonly stitches: Stitches;
    readonly threadIds: readonly (string | null)[];
  };
}

export interface SewnMaking {
  readonly stitches: Stitches;
  readonly report: DesignReport;
  readonly parts: readonly SewnPart[];
  readonly items: readonly MadeItem[];
  readonly findings: readonly Finding[];
}

export interface SewnPart {
  readonly threadId: string | null;
  readonly colour: string;
  readonly of: readonly { readonly key: string; readonly part: string | null }[];
}

export interface SewAsked {
  readonly making: HandMaking;
  readonly sources: Sources;
  readonly field?: CheckContext["fieldMm"] | undefined;
  /** Kept between calls, so that what has not changed is not made again. */
  readonly kept?: Kept;
  /** Throws where the work is not wanted any more. */
  readonly stillWanted?: () => void;
}

/** One thing as made about its own place, not yet put anywhere. */
export interface Unplaced {
  readonly pieces: readonly (Omit<SewnPart, "of"> & { readonly part: string | null; readonly stitches: Stitches })[];
  readonly about: Omit<MadeItem, "key" | "boxMm" | "trouble">;
} // prettier-ignore

/** The latest things made, by what they were made from. */
export class Kept {
  readonly #made = new Map<string, unknown>();
  constructor(readonly most = 80) {}
  of<T>(key: string, make: () => T): T {
    const known = this.#made.get(key) as T | undefined;
    const value = known ?? make();
    this.#made.delete(key);
    this.#made.set(key, value);
    if (this.#made.size > this.most) this.#made.delete(this.#made.keys().next().value!);
    return value;
  }
}

/** Lettering without a thread is drawn in this. */
const BARE = "#9a948a";

/** Makes the whole; what cannot be made of it stands in its item's `trouble`. */
export function sewHandMaking({ making, sources, field, kept, stillWanted }: SewAsked): SewnMaking {
  const keep = kept ?? new Kept();
  const items: MadeItem[] = [];
  const placed: Placed[] = [];
  const parts: { threadId: string | null; colour: string; of: { key: string; part: string | null }[] }[] = [];
  for (const item of making.items) {
    stillWanted?.();
    try {
      const unplaced = keep.of(factsOf(item, making.cloth), () =>
        makeItem(item, making.cloth, sources, keep),
      );
      const threads = threadsOf(item, sources);
      let box: MadeItem["boxMm"] = null;
      unplaced.pieces.forEach(({ stitches, colour, part }, index) => {
        const own = stitchExtents(stitches);
        if (own.right < own.left) return;
        const [x, y] = [Math.round(item.xMm * 10), Math.round(item.yMm * 10)];
        const threadId = threads(part, index);
        const last = parts.at(-1);
        const joins = last && last.threadId === threadId && (threadId !== null || last.colour === colour);
        if (joins) last.of.push({ key: item.key, part });
        else parts.push({ threadId, colour, of: [{ key: item.key, part }] });
        placed.push({ stitches, xTenths: x, yTenths: y, joins: joins ? "same-part" : "new-part" });
        box = joinedBox(box, { left: (own.left + x) / 10, right: (own.right + x) / 10, bottom: (own.bottom + y) / 10, top: (own.top + y) / 10 }); // prettier-ignore
      });
      items.push({ key: item.key, boxMm: box, trouble: null, ...unplaced.about });
    } catch (reason) {
      if (!(reason instanceof Refusal)) throw reason;
      const { code, message, kind } = reason;
      const trouble = { code, title: kind.title, message, advice: kind.advice };
      items.push({
        key: item.key,
        boxMm: null,
        trouble,
        missing: [],
        heightMm: null,
        findings: [],
        parts: [],
      });
    }
  }
  stillWanted?.();
  const stitches = composeStitches(placed);
  const partThreads = parts.map(({ threadId, colour }) => threadId ?? colour);
  const findings = checkDesign(stitches, { partThreads, ...(field ? { fieldMm: field } : {}) });
  return { stitches, report: designReport(stitches, findings), parts, items, findings };
}

type Box = NonNullable<MadeItem["boxMm"]>;
const joinedBox = (a: Box | null, b: Box): Box =>
  a === null
    ? b
    : {
        left: Math.min(a.left, b.left),
        right: Math.max(a.right, b.right),
        bottom: Math.min(a.bottom, b.bottom),
        top: Math.max(a.top, b.top),
      };

/** All that decides an item's stitches about its own place: not where it lies, nor its threads. */
function factsOf(item: MakingItem, cloth: Cloth): string {
  const still = { ...item, key: "", xMm: 0, yMm: 0, cloth };
  if (item.kind === "lettering") return JSON.stringify({ ...still, threadId: null });
  if (item.kind === "design") return JSON.stringify({ ...still, threadIds: null });
  return JSON.stringify({
    ...still,
    fileName: "",
    parts: item.parts.map((part) => ({ ...part, threadId: null })),
  });
}

/** The thread of each piece of an item. */
function threadsOf(
  item: MakingItem,
  sources: Sources,
): (part: string | null, index: number) => string | null {
  if (item.kind === "lettering") return () => item.threadId;
  if (item.kind === "artwork") {
    const byPart = new Map(item.parts.map((part) => [part.part, part.threadId]));
    return (part) => byPart.get(part ?? "") ?? null;
  }
  const threads = item.threadIds ?? sources.stored(item.versionId).threadIds;
  return (_, index) => threads[index] ?? null;
}

function makeItem(item: MakingItem, cloth: Cloth, sources: Sources, kept: Kept): Unplaced {
  if (item.kind === "lettering") return makeLettering(item, cloth, sources);
  if (item.kind === "artwork") return makeDrawn(item, cloth, sources, kept);
  const { stitches } = sources.stored(item.versionId);
  const sized =
    item.sizePercent === 100 ? { stitches, findings: [] } : scaleStitches(stitches, item.sizePercent / 100);
  return {
    pieces: splitAtStops(turned(sized.stitches, item.turnDeg)).map((piece) => ({ stitches: piece, threadId: null, colour: BARE, part: null })), // prettier-ignore
    about: { missing: [], heightMm: null, findings: [...sized.findings], parts: [] },
  };
}

const turned = (stitches: Stitches, degrees: number): Stitches =>
  degrees % 360 === 0 ? stitches : rotateStitches(stitches, degrees);

function makeLettering(item: Item<"lettering">, cloth: Cloth, sources: Sources): Unplaced {
  const { text, heightMm, widthMm, bend, align, letterSpacingMm, wordSpacingMm, lineSpacing, order } = item;
  const options: LetteringOptions = {
    heightMm,
    cloth,
    align,
    letterSpacingMm,
    wordSpacingMm,
    lineSpacing,
    order,
    ...(widthMm === null ? {} : { widthMm }),
    ...(bend.as === "arc" ? { arcDeg: bend.degrees } : {}),
    ...(bend.as === "circle" ? { circle: { radiusMm: bend.radiusMm, side: bend.side } } : {}),
  };
  const { made, missing } = letteringOf(text, item.face, options, sources);
  return {
    pieces: [{ stitches: turned(made.stitches, item.turnDeg), threadId: null, colour: BARE, part: null }],
    about: { missing: [...missing], heightMm: Math.round(made.heightMm * 10) / 10, findings: [...made.findings], parts: [] }, // prettier-ignore
  };
}

/** Lettering in a face of the list, and the letters the face lacks. */
export function letteringOf(
  text: string,
  face: string,
  options: LetteringOptions,
  sources: Pick<Sources, "font">,
): { made: Lettering; missing: readonly string[] } {
  const [kind, name] = [face.slice(0, face.indexOf(":")), face.slice(face.indexOf(":") + 1)];
  if (kind === "alphabet") {
    const alphabet = name === "flowing" ? "flowing" : "upright";
    return {
      made: letterText(text, { ...options, alphabet }),
      missing: missingLetters(text, alphabet),
    };
  }
  const font = sources.font(face);
  return { made: letterOutlines(text, font, options), missing: missingOutlines(text, font) };
}
