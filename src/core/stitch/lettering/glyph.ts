import { cutAtCorners, readPath } from "../path";
import type { Place } from "../spine";
import { LETTERS, MARKS, SAME_AS, SIDE_CARON } from "./alphabet";

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
}

const MARK_WEIGHT = 0.85;
const DOT_WEIGHT = 1.25;

/** A letter with its marks as strokes; null when the alphabet has no such letter. */
export function glyphOf(cluster: string): Glyph | null {
  const [base = "", ...marks] = [...cluster.normalize("NFD")];
  const letter = SAME_AS[base] ?? base;
  const above = marks.some((mark) => MARKS[mark]?.stands === "above");
  const drawing = LETTERS[above && letter === "i" ? "ı" : above && letter === "j" ? "ȷ" : letter];
  if (drawing === undefined || marks.some((mark) => MARKS[mark] === undefined)) return null;
  const strokes = readStrokes(drawing, 1);
  const box = bounds(strokes);
  const middle = (box.left + box.right) / 2;
  for (const mark of marks) {
    const side = mark === "\u030c" ? SIDE_CARON[letter] : undefined;
    if (side !== undefined) {
      strokes.push(...shifted(readStrokes("M.05 1L0 .78", MARK_WEIGHT), side, 0));
      continue;
    }
    const { drawing: markDrawing, stands } = MARKS[mark]!;
    const x = mark === "\u0328" ? box.right - 0.12 : middle;
    const y = stands === "above" ? (box.top > 0.8 ? 1 : 0.66) : 0;
    strokes.push(...shifted(readStrokes(markDrawing, MARK_WEIGHT), x, y));
  }
  return { strokes, left: box.left, right: box.right };
}

function readStrokes(drawing: string, weight: number): Stroke[] {
  const dots = [...drawing.matchAll(/D(-?[\d.]+) (-?[\d.]+)/g)].map(([, x, y]): Stroke => ({
    places: [
      [Number(x) - 0.004, Number(y)],
      [Number(x) + 0.004, Number(y)],
    ],
    closed: false,
    weight: DOT_WEIGHT,
  }));
  const lines = readPath(drawing.replace(/D-?[\d.]+ -?[\d.]+/g, ""));
  return [...lines.flatMap((line) => cutAtCorners(line).map((piece) => ({ ...piece, weight }))), ...dots];
}

function shifted(strokes: readonly Stroke[], dx: number, dy: number): Stroke[] {
  return strokes.map((stroke) => ({
    ...stroke,
    places: stroke.places.map(([x, y]): Place => [x + dx, y + dy]),
  }));
}

function bounds(strokes: readonly Stroke[]): { left: number; right: number; top: number } {
  const places = strokes.flatMap((stroke) => stroke.places);
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
