import type { Finding } from "#core/base";
import { type Cloth, CLOTHS } from "../cloth";
import { refuseStitches } from "../refusals";
import { Sewer } from "../sewer";
import type { Place } from "../spine";
import type { Stitches } from "../stitches";
import { clustersOf, type Glyph, glyphOf } from "./glyph";
import { type LetterStroke, sewStrokes } from "./sew-glyph";

export interface LetteringOptions {
  /** Height of a capital, in mm. */
  readonly heightMm: number;
  /** The angle in degrees the text bends over: positive like a bridge, negative like a bowl; 0 is straight. */
  readonly arcDeg?: number;
  readonly cloth?: Cloth;
  /** Where the design's start (0, 0) lies: in the middle of the text, or at an end of its baseline. */
  readonly align?: "centre" | "left" | "right";
  /** Space added between letters, in mm; may be below 0. */
  readonly letterSpacingMm?: number;
}

export interface Lettering {
  readonly stitches: Stitches;
  readonly findings: readonly Finding[];
  readonly widthMm: number;
}

/** Width of a stroke as a share of the capital height. */
const STROKE_SHARE = 0.13;
const TEXT_LIMIT = 200;

/** The lowest capitals that sew on a cloth, in mm (TRADE.md; common practice, no source). */
export const smallestLetterMm = (cloth: Cloth): number => CLOTHS[cloth].smallestLetterMm;

/**
 * A line of text (or several, at line breaks) in satin letters of our own stroke alphabet, centred on the start.
 * Letters the alphabet lacks are left out and named in a finding.
 * @throws Refusal lettering-too-small, lettering-not-possible
 */
export function letterText(text: string, options: LetteringOptions): Lettering {
  const { heightMm, arcDeg = 0, cloth = "woven", align = "centre", letterSpacingMm = 0 } = options;
  checkMeasures(text, options);
  const preset = CLOTHS[cloth];
  const findings: Finding[] = [];
  const strokeMm = Math.max(STROKE_SHARE * heightMm, preset.smallestColumnMm - 2 * preset.pullMm + 0.1);
  const lines = text.split(/\r?\n/).map((line) => setLine(line, { heightMm, strokeMm, letterSpacingMm }));
  const missing = [...new Set(lines.flatMap((line) => line.missing))];
  const letters = lines.reduce((count, line) => count + line.letters.length, 0);
  if (letters === 0) {
    throw refuseStitches(
      "lettering-not-possible",
      missing.length > 0
        ? `None of the letters ${missing.join(" ")} is in the alphabet.`
        : "There is no letter to sew in this text.",
    );
  }
  if (missing.length > 0) {
    findings.push({
      code: "letters-missing",
      level: "warning",
      message: `The alphabet has no ${missing.map((letter) => `“${letter}”`).join(", ")}; ${missing.length === 1 ? "it was" : "they were"} left out.`,
      advice: "Write it with other letters, or bring the word in as artwork.",
    });
  }
  if (heightMm < 6) {
    findings.push({
      code: "lettering-small",
      level: "note",
      message: `Letters of ${heightMm} mm are near the limit of 40 weight thread.`,
      advice: "Use 60 weight thread and a 65/9 needle.",
    });
  }
  const sewer = new Sewer();
  const leading = heightMm * 1.65;
  const widest = Math.max(...lines.map((line) => line.widthMm));
  lines.forEach((line, index) => {
    const baseline = ((lines.length - 1) / 2 - index) * leading - heightMm / 2;
    const left = align === "left" ? 0 : align === "right" ? -line.widthMm : -line.widthMm / 2;
    const bend = bendOver(line.widthMm, arcDeg, left + line.widthMm / 2);
    line.letters.forEach((letter, at) => {
      const middle = left + letter.middleMm;
      const place = bend(middle, baseline);
      const strokes = letter.strokes.map((stroke) => ({
        ...stroke,
        places: stroke.places.map(([x, y]) => place(x + left, y)),
      }));
      const next = line.letters[at + 1];
      const leaveAt = place(left + letter.rightMm + (next === undefined ? 0 : strokeMm), 0);
      sewStrokes(sewer, strokes, { pullMm: preset.pullMm, leaveAt });
    });
  });
  return { stitches: sewer.finish(), findings, widthMm: widest };
}

function checkMeasures(
  text: string,
  { heightMm, arcDeg = 0, cloth = "woven", letterSpacingMm = 0 }: LetteringOptions,
): void {
  const smallest = smallestLetterMm(cloth);
  if (!Number.isFinite(heightMm) || heightMm < smallest) {
    throw refuseStitches(
      "lettering-too-small",
      `Letters of ${heightMm} mm cannot be sewn on ${cloth} cloth; ${smallest} mm is the smallest height that sews.`,
      [{ field: "height", found: `${heightMm} mm`, expected: `at least ${smallest} mm` }],
    );
  }
  const wrong =
    heightMm > 150
      ? (["height", `${heightMm} mm`, "at most 150 mm"] as const)
      : !(Math.abs(arcDeg) <= 330)
        ? (["arc", `${arcDeg}°`, "from −330° to 330°"] as const)
        : !(Math.abs(letterSpacingMm) <= heightMm)
          ? (["letterSpacing", `${letterSpacingMm} mm`, "at most the letters' height"] as const)
          : text.length > TEXT_LIMIT
            ? (["text", `${text.length} letters`, `at most ${TEXT_LIMIT} letters`] as const)
            : null;
  if (wrong !== null) {
    const [field, found, expected] = wrong;
    throw refuseStitches(
      "lettering-not-possible",
      `The lettering's ${field} is ${found}; expected ${expected}.`,
      [{ field, found, expected }],
    );
  }
}

interface SetLetter {
  readonly strokes: readonly LetterStroke[];
  readonly middleMm: number;
  readonly rightMm: number;
}

interface SetLine {
  readonly letters: readonly SetLetter[];
  readonly widthMm: number;
  readonly missing: readonly string[];
}

/** Letters side by side on a baseline from x = 0, in mm, spaced by how near their outlines come to each other. */
function setLine(
  text: string,
  { heightMm, strokeMm, letterSpacingMm }: { heightMm: number; strokeMm: number; letterSpacingMm: number },
): SetLine {
  const scale = heightMm - strokeMm;
  const letters: SetLetter[] = [];
  const missing: string[] = [];
  let x = 0;
  let before: Glyph | null = null;
  let space = 0;
  for (const cluster of clustersOf(text)) {
    if (/^\s$/.test(cluster)) {
      if (letters.length > 0) space += 0.34 * heightMm;
      continue;
    }
    const glyph = glyphOf(cluster);
    if (glyph === null) {
      missing.push(cluster.normalize("NFC"));
      continue;
    }
    if (before !== null)
      x +=
        space > 0
          ? space + strokeMm + 0.1 * heightMm
          : spacing(before, glyph, heightMm, strokeMm) + letterSpacingMm;
    const left = x;
    const right = left + (glyph.right - glyph.left) * scale;
    letters.push({
      strokes: glyph.strokes.map((stroke) => ({
        closed: stroke.closed,
        widthMm: strokeMm * stroke.weight,
        places: stroke.places.map(([ex, ey]): Place => [
          left + (ex - glyph.left) * scale + strokeMm / 2,
          ey * scale + strokeMm / 2,
        ]),
      })),
      middleMm: (left + right + strokeMm) / 2,
      rightMm: right + strokeMm,
    });
    x = right;
    space = 0;
    before = glyph;
  }
  return { letters, widthMm: x + (letters.length > 0 ? strokeMm : 0), missing };
}

const BANDS = 14;
const LOWEST = -0.36;
const BAND = 1.44 / BANDS;

/**
 * The distance in mm from the right edge of one letter's centre-lines to the left edge of the next. Letters are moved
 * together until the mean free space of the height bands both fill comes to a set share of the height, never nearer
 * than the threads need: AV and To close up, II stays apart.
 */
function spacing(one: Glyph, two: Glyph, heightMm: number, strokeMm: number): number {
  const scale = heightMm - strokeMm;
  const right = profile(one, "right");
  const left = profile(two, "left");
  let nearest = Infinity;
  for (let band = 0; band < BANDS; band++) {
    for (const other of [band - 2, band - 1, band, band + 1, band + 2]) {
      nearest = Math.min(nearest, (right[band] ?? Infinity) + (left[other] ?? Infinity));
    }
  }
  if (nearest === Infinity) nearest = 0;
  let sum = 0;
  let count = 0;
  for (let band = 0; band < BANDS; band++) {
    if (right[band] === Infinity && left[band] === Infinity) continue;
    sum += Math.min(
      0.3,
      (right[band] === Infinity ? 0.3 : right[band]!) +
        (left[band] === Infinity ? 0.3 : left[band]!) -
        nearest,
    );
    count++;
  }
  const mean = count === 0 ? 0 : sum / count;
  const wanted = 0.235 * heightMm - mean * scale * 0.75;
  const least = Math.max(0.12 * heightMm, 0.7);
  return strokeMm + Math.max(least, wanted) - nearest * scale;
}

/** For each height band how far the letter stays away from its own right (left) edge; Infinity where it is empty. */
function profile(glyph: Glyph, side: "left" | "right"): number[] {
  const bands = new Array<number>(BANDS).fill(Infinity);
  for (const stroke of glyph.strokes) {
    for (let i = 0; i < stroke.places.length; i++) {
      const a = stroke.places[Math.max(0, i - 1)]!;
      const b = stroke.places[i]!;
      for (let t = 0; t <= 8; t++) {
        const x = a[0] + ((b[0] - a[0]) * t) / 8;
        const y = a[1] + ((b[1] - a[1]) * t) / 8;
        const band = Math.floor((y - LOWEST) / BAND);
        if (band < 0 || band >= BANDS) continue;
        bands[band] = Math.min(bands[band]!, side === "left" ? x - glyph.left : glyph.right - x);
      }
    }
  }
  return bands;
}

/** How a letter is placed on the bent baseline: turned rigidly about the middle of its own width. */
function bendOver(
  widthMm: number,
  arcDeg: number,
  centreX: number,
): (middle: number, baseline: number) => (x: number, y: number) => Place {
  if (Math.abs(arcDeg) < 0.5) return (_, baseline) => (x, y) => [x, y + baseline];
  const radius = widthMm / ((arcDeg * Math.PI) / 180);
  return (middle, baseline) => {
    const angle = -(middle - centreX) / radius;
    const [cos, sin] = [Math.cos(angle), Math.sin(angle)];
    return (x, y) => {
      const dx = x - middle;
      const dy = y + radius;
      return [centreX + cos * dx - sin * dy, sin * dx + cos * dy - radius + baseline];
    };
  };
}
