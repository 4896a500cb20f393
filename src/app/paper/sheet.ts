import { createRequire } from "node:module";
import * as fontkit from "fontkit";
import PDFDocument from "pdfkit";

/**
 * A printed sheet: true page sizes, the page's own typeface embedded, and writing that never leaves its box.
 * Measures are PDF points (1/72 inch, ISO 32000-1 8.3.2.3); y runs down the page, as pdfkit has it.
 */

/** Points in a millimetre: 72 to the inch, 25.4 mm to the inch. */
export const mm = (millimetres: number): number => (millimetres * 72) / 25.4;

/** ISO 216 A4 is 210 × 297 mm; ANSI A (US Letter) is 8.5 × 11 inches. */
const pageSizes = {
  A4: [mm(210), mm(297)],
  Letter: [8.5 * 72, 11 * 72],
} as const;
export type PaperName = keyof typeof pageSizes;

/** The colours of the house on white paper. */
export const ink = {
  text: "#262A33",
  second: "#5D6170",
  hairline: "#E0D8C8",
  ground: "#F4EFE5",
  change: "#C2542D",
  done: "#2F6B4F",
  late: "#A3231F",
  cautionGround: "#F7EBCD",
  caution: "#6B4A05",
  white: "#FFFFFF",
  /** Behind pictures with light thread. */
  underLight: "#CFC8BA",
} as const;

export type Weight = "regular" | "semibold" | "bold";

const require = createRequire(import.meta.url);
const found = new Map<string, string>();
/** The font file. pdfkit keeps a font by its file name; a registered alias of one in use it would open anew each time. */
function face(path: string): string {
  let file = found.get(path);
  if (file === undefined) found.set(path, (file = require.resolve(`@expo-google-fonts/${path}`)));
  return file;
}
const ownFaces: Readonly<Record<Weight, string>> = {
  regular: "atkinson-hyperlegible-next/400Regular/AtkinsonHyperlegibleNext_400Regular.ttf",
  semibold: "atkinson-hyperlegible-next/600SemiBold/AtkinsonHyperlegibleNext_600SemiBold.ttf",
  bold: "atkinson-hyperlegible-next/700Bold/AtkinsonHyperlegibleNext_700Bold.ttf",
};
/** Stands behind for letters the first has not: the rest of Latin, Greek, Cyrillic. */
const spareFaces: Readonly<Record<Weight, string>> = {
  regular: "noto-sans/400Regular/NotoSans_400Regular.ttf",
  semibold: "noto-sans/600SemiBold/NotoSans_600SemiBold.ttf",
  bold: "noto-sans/700Bold/NotoSans_700Bold.ttf",
};

const opened = new Map<string, fontkit.Font>();

function openFace(path: string): fontkit.Font {
  const known = opened.get(path);
  if (known) return known;
  const font = fontkit.openSync(face(path)) as fontkit.Font;
  opened.set(path, font);
  return font;
}

/** What stands for a letter that neither face has; both have it or the second does (U+FFFD). */
const NO_GLYPH = "\uFFFD";

/** Which font file writes the text, and the text with what none can write replaced. */
export function chooseFace(text: string, weight: Weight): { face: string; text: string; lost: number } {
  const clean = text.normalize("NFC").replace(/[\p{Cc}\p{Cf}\u2028\u2029]+/gu, " ");
  const has = (path: string, letter: string) => openFace(path).hasGlyphForCodePoint(letter.codePointAt(0)!);
  if ([...clean].every((letter) => has(ownFaces[weight], letter)))
    return { face: face(ownFaces[weight]), text: clean, lost: 0 };
  let lost = 0;
  const written = [...clean]
    .map((letter) => {
      if (has(spareFaces[weight], letter)) return letter;
      lost++;
      return NO_GLYPH;
    })
    .join("");
  return { face: face(spareFaces[weight]), text: written, lost };
}

export interface SheetAsked {
  readonly paper: PaperName;
  readonly title: string;
  readonly author: string;
  readonly nowMs: number;
}

export interface Words {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  /** The most height it may take; one line where absent. */
  readonly height?: number;
  readonly size: number;
  /** Down to which size it may shrink before lines are left out. */
  readonly least?: number;
  readonly weight?: Weight;
  readonly colour?: string;
  readonly align?: "left" | "right" | "center";
}

export interface Sheet {
  readonly doc: PDFKit.PDFDocument;
  readonly widthPt: number;
  readonly heightPt: number;
  addPage(): void;
  /** Writes in a box, shrinking and then wrapping so that no word is cut; returns the height used. */
  write(text: string, words: Words): number;
  /** The width of a line in points. */
  measure(text: string, size: number, weight?: Weight): number;
  /** Whether anything written so far held letters that no face has. */
  readonly lostLetters: () => number;
  done(): Promise<Uint8Array>;
}

/** Opens a sheet without pages. Same calls, same clock: same bytes. */
export function openSheet(asked: SheetAsked): Sheet {
  const [widthPt, heightPt] = pageSizes[asked.paper];
  const doc = new PDFDocument({
    autoFirstPage: false,
    size: [widthPt, heightPt],
    margin: 0,
    lang: "en",
    displayTitle: true,
    font: face(ownFaces.regular),
    info: {
      Title: asked.title,
      Author: asked.author,
      Creator: "Spoolwright",
      Producer: "Spoolwright",
      CreationDate: new Date(asked.nowMs),
    },
  });
  const chunks: Uint8Array[] = [];
  const finished = new Promise<Uint8Array>((resolve, reject) => {
    doc.on("data", (chunk: Uint8Array) => chunks.push(chunk));
    doc.on("end", () => resolve(new Uint8Array(Buffer.concat(chunks))));
    doc.on("error", reject);
  });
  let lost = 0;

  const measure = (text: string, size: number, weight: Weight = "regular"): number => {
    const chosen = chooseFace(text, weight);
    return doc.font(chosen.face).fontSize(size).widthOfString(chosen.text);
  };

  const write = (text: string, words: Words): number => {
    const chosen = chooseFace(text, words.weight ?? "regular");
    if (chosen.text.trim() === "") return 0;
    lost += chosen.lost;
    doc.font(chosen.face).fillColor(words.colour ?? ink.text);
    const least = words.least ?? words.size;
    const fitted = fit(doc, chosen.text, words, least);
    doc.fontSize(fitted.size);
    fitted.lines.forEach((line, index) => {
      doc.text(line, words.x, words.y + index * fitted.lineHeight, {
        width: words.width + 0.5,
        align: words.align ?? "left",
        lineBreak: false,
      });
    });
    return fitted.lines.length * fitted.lineHeight;
  };

  return {
    doc,
    widthPt,
    heightPt,
    addPage: () => void doc.addPage(),
    write,
    measure,
    lostLetters: () => lost,
    done: () => {
      doc.end();
      return finished;
    },
  };
}

interface Fitted {
  readonly size: number;
  readonly lines: readonly string[];
  readonly lineHeight: number;
}

/** The largest size from `words.size` down to `least` at which the lines fit; then as many lines as fit, with "…". */
function fit(doc: PDFKit.PDFDocument, text: string, words: Words, least: number): Fitted {
  for (let size = words.size; size >= least - 1e-9; size = Math.max(least, size - 0.5)) {
    const tried = linesOf(doc, text, words.width, size);
    const room =
      words.height === undefined ? 1 : Math.max(1, Math.floor((words.height + 0.01) / tried.lineHeight));
    // At a size above the least a word must not be broken; a smaller size may hold it whole.
    if (tried.lines.length <= room && (!tried.brokeAWord || size <= least)) return tried;
    if (size <= least) {
      const kept = tried.lines.slice(0, room);
      let last = kept[room - 1] ?? "";
      while (last.length > 1 && doc.widthOfString(`${last}…`) > words.width)
        last = [...last].slice(0, -1).join("");
      return { ...tried, lines: [...kept.slice(0, -1), `${last.trimEnd()}…`] };
    }
  }
  return linesOf(doc, text, words.width, least);
}

function linesOf(
  doc: PDFKit.PDFDocument,
  text: string,
  width: number,
  size: number,
): Fitted & { brokeAWord: boolean } {
  doc.fontSize(size);
  const wide = (line: string) => doc.widthOfString(line) > width;
  const lines: string[] = [];
  let brokeAWord = false;
  let line = "";
  for (const word of text.trim().split(/\s+/u)) {
    const longer = line === "" ? word : `${line} ${word}`;
    if (!wide(longer)) {
      line = longer;
      continue;
    }
    if (line !== "") lines.push(line);
    line = word;
    while (wide(line)) {
      brokeAWord = true;
      const letters = [...line];
      let count = letters.length - 1;
      while (count > 1 && wide(letters.slice(0, count).join(""))) count--;
      lines.push(letters.slice(0, count).join(""));
      line = letters.slice(count).join("");
      if (count === 1 && letters.length <= 1) break;
    }
  }
  if (line !== "") lines.push(line);
  return { size, lines, lineHeight: size * 1.2, brokeAWord };
}
