import { cutAtCorners, readPath } from "../path";
import type { Place } from "../spine";
import { type Alphabet, type Mark, MARKS, SAME_AS } from "./alphabet";

/** A stroke of a letter: its centre-line in em units, and its width as a share of the letter's stroke width. */
export interface Stroke {
  readonly places: readonly Place[];
  readonly closed: boolean;
  readonly weight: number;
}

export interface Glyph {
  readonly strokes: readonly Stroke[];
  readonly left: number;
  readonly right: number;
  /** The stroke whose end runs on into the next letter, if any, and how far the letter's body reaches without it. */
  readonly exit: number | null;
}

const MARK_WEIGHT = 0.85;
const DOT_WEIGHT = 1.3;

/** Letters read once: reading a drawing costs as much as sewing it. */
const readGlyphs = new Map<string, Glyph | null>();
const MOST_KEPT = 2000;

/** A letter with its marks as strokes, upright; null when the alphabet has no such letter. */
export function glyphOf(cluster: string, alphabet: Alphabet): Glyph | null {
  const key = `${alphabet.name} ${cluster}`;
  let glyph = readGlyphs.get(key);
  if (glyph === undefined) {
    glyph = readGlyph(cluster, alphabet);
    if (readGlyphs.size >= MOST_KEPT) readGlyphs.clear();
    readGlyphs.set(key, glyph);
  }
  return glyph;
}

function readGlyph(cluster: string, alphabet: Alphabet): Glyph | null {
  const [base = "", ...marks] = [...cluster.normalize("NFD")];
  const letter = SAME_AS[base] ?? base;
  const above = marks.some((mark) => MARKS[mark]?.stands === "above");
  const drawing = alphabet.letters[above && letter === "i" ? "ı" : above && letter === "j" ? "ȷ" : letter];
  if (drawing === undefined || marks.some((mark) => MARKS[mark] === undefined)) return null;
  const { strokes, exit } = readStrokes(drawing, 1);
  const box = bounds(strokes, exit);
  const middle = (box.left + box.right) / 2;
  // A second mark above stands on the first.
  let lift = 0;
  for (const mark of marks) {
    const side = mark === "\u030c" ? alphabet.sideCaron[letter] : undefined;
    if (side !== undefined) {
      strokes.push(...shifted(readStrokes("M.05 1L0 .78", MARK_WEIGHT).strokes, side, 0));
      continue;
    }
    const { drawing: markDrawing, stands, at } = markOn(letter, mark);
    const x = at?.[letter] ?? (mark === "\u0328" ? box.right - 0.12 : middle);
    let y = 0;
    if (stands === "above") {
      y = (box.top > 0.8 ? 1 : alphabet.xHeight) + lift;
      lift += 0.3;
    }
    strokes.push(...shifted(readStrokes(markDrawing, MARK_WEIGHT).strokes, x, y));
  }
  return { strokes, left: box.left, right: box.right, exit };
}

/** A comma over the tail of Latvian ģ. */
const COMMA_ABOVE: Mark = { stands: "above", drawing: "M.05 .4L-.03 .25" };

/** Latvian letters that are encoded with a cedilla are written with a comma. */
function markOn(letter: string, mark: string): Mark {
  if (mark === "\u0327" && letter === "g") return COMMA_ABOVE;
  if (mark === "\u0327" && "GkKlLnNrR".includes(letter)) return MARKS["\u0326"]!;
  return MARKS[mark]!;
}

function readStrokes(drawing: string, weight: number): { strokes: Stroke[]; exit: number | null } {
  const dots = [...drawing.matchAll(/D(-?[\d.]+) (-?[\d.]+)/g)].map(([, x, y]): Stroke => ({
    places: [
      [Number(x) - 0.004, Number(y)],
      [Number(x) + 0.004, Number(y)],
    ],
    closed: false,
    weight: DOT_WEIGHT,
  }));
  const strokes: Stroke[] = [];
  let exit: number | null = null;
  for (const line of drawing.replace(/D-?[\d.]+ -?[\d.]+/g, "").split(/(?=M)/)) {
    // A line that begins with an ellipse has no M; readPath takes both.
    for (const one of readPath(line.replace(">", ""))) {
      strokes.push(...cutAtCorners(one).map((piece) => ({ ...piece, weight })));
    }
    if (line.includes(">")) exit = strokes.length - 1;
  }
  return { strokes: [...strokes, ...dots], exit };
}

function shifted(strokes: readonly Stroke[], dx: number, dy: number): Stroke[] {
  return strokes.map((stroke) => ({
    ...stroke,
    places: stroke.places.map(([x, y]): Place => [x + dx, y + dy]),
  }));
}

/** The letter's box; the last piece of an exit stroke runs on to the next letter and does not count. */
function bounds(
  strokes: readonly Stroke[],
  exit: number | null,
): { left: number; right: number; top: number } {
  const places = strokes.flatMap((stroke, i) =>
    i === exit ? stroke.places.slice(0, Math.max(1, stroke.places.length - 3)) : stroke.places,
  );
  const xs = places.map(([x]) => x);
  return { left: Math.min(...xs), right: Math.max(...xs), top: Math.max(...places.map(([, y]) => y)) };
}

const INVISIBLE: ReadonlySet<string> = new Set(["\u200b", "\u200c", "\u200d", "\u2060", "\ufe0e", "\ufe0f"]);

/** What a person sees as one letter: a base and the marks on it. */
export function clustersOf(text: string): string[] {
  const clusters: string[] = [];
  for (const letter of [...text.normalize("NFD")].flatMap((sign) => [...(SAME_AS[sign] ?? sign)])) {
    // Variation selectors and joiners draw nothing.
    if (INVISIBLE.has(letter)) continue;
    if (/^\p{M}$/u.test(letter) && clusters.length > 0) clusters[clusters.length - 1] += letter;
    else clusters.push(letter);
  }
  return clusters;
}
