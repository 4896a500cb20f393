import type { ColumnStroke } from "../columns";
import type { Place } from "../spine";
import type { Alphabet } from "./alphabet";
import { clustersOf, type Glyph, glyphOf, type Stroke } from "./glyph";
import { spacing } from "./spacing";

export interface LineMeasures {
  readonly alphabet: Alphabet;
  readonly heightMm: number;
  readonly strokeMm: number;
  readonly pullMm: number;
  readonly letterSpacingMm: number;
  readonly wordSpacingMm: number;
}

/** What is sewn in one go: a letter, or letters written together. Places in mm from the line's left end and baseline. */
export interface SetPiece {
  readonly strokes: readonly ColumnStroke[];
  readonly leftMm: number;
  readonly rightMm: number;
  /** The letters in it, as typed. */
  readonly text: string;
}

export interface SetLine {
  readonly pieces: readonly SetPiece[];
  readonly widthMm: number;
  readonly missing: readonly string[];
}

/** Smallest width in mm of a dot as drawn. */
const SMALLEST_DOT_MM = 1.2;
/** Narrowest free space between letters, before compensation: cloth must be seen between them. */
const LEAST_GAP_MM = 0.7;

/** Sets one line of text: letters spaced by their shapes, joined ones linked by strokes of their own. */
export function setLine(text: string, measures: LineMeasures): SetLine {
  const { alphabet, heightMm, strokeMm, pullMm, letterSpacingMm, wordSpacingMm } = measures;
  const scale = heightMm - strokeMm;
  const missing: string[] = [];
  const pieces: { strokes: ColumnStroke[]; leftMm: number; rightMm: number; text: string }[] = [];
  let x = 0;
  let space = 0;
  let before: { glyph: Glyph; leftMm: number; exit: { stroke: Stroke; index: number } | null } | null = null;
  const toMm = (leftMm: number, glyph: Glyph, [ex, ey]: Place): Place => [
    leftMm + (ex - glyph.left + alphabet.slant * ey) * scale + strokeMm / 2,
    ey * scale + strokeMm / 2,
  ];
  const strokeIn = (leftMm: number, glyph: Glyph, stroke: Stroke): ColumnStroke => {
    const isDot = stroke.weight > 1;
    const widthMm = isDot ? Math.max(SMALLEST_DOT_MM, strokeMm * stroke.weight) : strokeMm * stroke.weight;
    return {
      places: stroke.places.map((place) => toMm(leftMm, glyph, place)),
      closed: stroke.closed,
      halfMm: widthMm / 2,
    };
  };
  const endExit = (): void => {
    if (before === null || before.exit === null) return;
    const { glyph, leftMm, exit } = before;
    const line = [...exit.stroke.places, ...flick(exit.stroke)];
    pieces.at(-1)!.strokes.push(strokeIn(leftMm, glyph, { ...exit.stroke, places: line }));
    before.exit = null;
  };
  for (const cluster of clustersOf(text)) {
    if (/^\s$/u.test(cluster)) {
      space += heightMm * alphabet.wordSpace + wordSpacingMm;
      endExit();
      continue;
    }
    const glyph = glyphOf(cluster, alphabet);
    if (glyph === null) {
      missing.push(cluster.normalize("NFC"));
      continue;
    }
    if (before !== null) {
      x +=
        space > 0
          ? space + strokeMm + 0.1 * heightMm
          : spacing(before.glyph, glyph, { heightMm, strokeMm, air: alphabet.air, leastMm: Math.max(0.1 * heightMm, LEAST_GAP_MM + pullMm) }) + letterSpacingMm; // prettier-ignore
    }
    // A last stroke that runs on to nothing needs room of its own.
    const linked = alphabet.joined && before !== null && before.exit !== null && space === 0 && /^\p{Ll}/u.test(cluster.normalize("NFD")); // prettier-ignore
    if (linked) {
      // The stroke that runs on is drawn to where it meets this letter, in units of the letter before.
      const { exit, leftMm, glyph: one } = before!;
      const offset = (x - leftMm) / scale + one.left - glyph.left;
      const line = [...exit!.stroke.places, ...linkTo(exit!.stroke, glyph, offset)];
      pieces.at(-1)!.strokes.push(strokeIn(leftMm, one, { ...exit!.stroke, places: line }));
      before!.exit = null;
    } else {
      if (before?.exit && space === 0) x += FLICK * scale;
      endExit();
    }
    const body = glyph.strokes.filter((_, i) => i !== glyph.exit).map((stroke) => strokeIn(x, glyph, stroke));
    const right = x + (glyph.right - glyph.left) * scale;
    const last = pieces.at(-1);
    if (linked && last !== undefined) {
      last.strokes.push(...body);
      last.rightMm = right + strokeMm;
      last.text += cluster;
    } else pieces.push({ strokes: body, leftMm: x, rightMm: right + strokeMm, text: cluster });
    const exitStroke = glyph.exit === null ? undefined : glyph.strokes[glyph.exit];
    before = {
      glyph,
      leftMm: x,
      exit: exitStroke === undefined ? null : { stroke: exitStroke, index: glyph.exit! },
    };
    x = right;
    space = 0;
  }
  endExit();
  return centred(pieces, missing, strokeMm);
}

/** Lines are as wide as what is drawn: leaning letters and last strokes counted. */
function centred(pieces: readonly SetPiece[], missing: readonly string[], strokeMm: number): SetLine {
  const xs = pieces.flatMap((piece) => piece.strokes.flatMap((stroke) => stroke.places.map(([x]) => x)));
  if (xs.length === 0) return { pieces: [], widthMm: 0, missing };
  const left = xs.reduce((a, b) => Math.min(a, b), Infinity) - strokeMm / 2;
  const right = xs.reduce((a, b) => Math.max(a, b), -Infinity) + strokeMm / 2;
  return {
    missing,
    widthMm: right - left,
    pieces: pieces.map((piece) => ({
      ...piece,
      leftMm: piece.leftMm - left,
      rightMm: piece.rightMm - left,
      strokes: piece.strokes.map((stroke) => ({
        ...stroke,
        places: stroke.places.map(([x, y]): Place => [x - left, y]),
      })),
    })),
  };
}

/** Where a stroke that leaves low meets the next letter, and how far a high one dips. */
const LOW_LANDING = 0.3;
const FLICK = 0.12;
const HIGH_DIP = 0.05;

function linkTo(stroke: Stroke, next: Glyph, offset: number): Place[] {
  const [end, along] = endOf(stroke);
  const high = end[1] > 0.35;
  const height = high ? Math.min(0.47, end[1] - HIGH_DIP) : LOW_LANDING;
  let landing = Infinity;
  for (const { places } of next.strokes) {
    for (let i = 1; i < places.length; i++) {
      const [a, b] = [places[i - 1]!, places[i]!];
      if (a[1] <= height === b[1] <= height) continue;
      landing = Math.min(landing, a[0] + ((height - a[1]) / (b[1] - a[1])) * (b[0] - a[0]));
    }
  }
  if (landing === Infinity) return flick(stroke);
  const to: Place = [landing + offset, height];
  return cubic(end, along, to, high ? [0.93, 0.37] : [0.64, 0.77]);
}

/** How a word's last stroke ends. */
function flick(stroke: Stroke): Place[] {
  const [end, along] = endOf(stroke);
  if (end[1] > 0.35) return cubic(end, along, [end[0] + 0.12, end[1] - 0.01], [0.93, 0.37]);
  return cubic(end, along, [end[0] + 0.13, end[1] + 0.1], [0.64, 0.77]);
}

function endOf({ places }: Stroke): readonly [end: Place, along: Place] {
  const end = places.at(-1)!;
  const before = places.at(-2)!;
  const length = Math.hypot(end[0] - before[0], end[1] - before[1]) || 1;
  return [end, [(end[0] - before[0]) / length, (end[1] - before[1]) / length]];
}

/** A cubic curve from `a` along `u` to `b` along `v`, `a` left out. */
function cubic(a: Place, u: Place, b: Place, v: Place): Place[] {
  const k = 0.4 * Math.hypot(b[0] - a[0], b[1] - a[1]);
  const p: Place = [a[0] + k * u[0], a[1] + k * u[1]];
  const q: Place = [b[0] - k * v[0], b[1] - k * v[1]];
  return Array.from({ length: 12 }, (_, i): Place => {
    const t = (i + 1) / 12;
    const w = 1 - t;
    const mix = (n: 0 | 1): number => w * w * w * a[n] + 3 * w * w * t * p[n] + 3 * w * t * t * q[n] + t * t * t * b[n]; // prettier-ignore
    return [mix(0), mix(1)];
  });
}
