import type { Finding } from "#core/base";
import { type Cloth, CLOTHS } from "../cloth";
import type { ColumnStroke, CoveredPlace } from "../columns";
import { refuseStitches } from "../refusals";
import { Sewer } from "../sewer";
import type { Place } from "../spine";
import type { Stitches } from "../stitches";
import type { Alphabet, AlphabetName } from "./alphabet";
import { type Miss, sewAssured } from "./assured";
import { placing } from "./baseline";
import { FLOWING } from "./flowing";
import { setLine, type SetLine } from "./layout";
import { UPRIGHT } from "./upright";

export interface LetteringOptions {
  /** Height of a capital, in mm. */
  readonly heightMm: number;
  readonly alphabet?: AlphabetName;
  /** The angle in degrees the text bends over: positive like a bridge, negative like a bowl; 0 is straight. */
  readonly arcDeg?: number;
  /** The baseline on a circle instead: letters on its upper side, or on its lower with their heads inward. */
  readonly circle?: { readonly radiusMm: number; readonly side: "upper" | "lower" };
  readonly cloth?: Cloth;
  /** Where the design's start (0, 0) lies: in the middle of the text, or at an end of its baseline. */
  readonly align?: "centre" | "left" | "right";
  /** Space added between letters and between words, in mm; may be below 0. */
  readonly letterSpacingMm?: number;
  readonly wordSpacingMm?: number;
  /** From baseline to baseline, as a share of the height; 1.65 when left out. */
  readonly lineSpacing?: number;
  /** The text is made as high as makes its widest line this wide. */
  readonly widthMm?: number;
  /** The text is made lower until its widest line is at most this wide. */
  readonly maxWidthMm?: number;
  /** `from-the-middle` keeps stretchy cloth flat: the middle letter first, then those to its right, then to its left. */
  readonly order?: "along" | "from-the-middle";
  /** Told of each run penetration and the column that covers it, of each column done, and of each piece begun. */
  readonly onRun?: (place: CoveredPlace) => void;
  readonly onSatin?: (column: number) => void;
  readonly onPiece?: (piece: LetteredPiece) => void;
}

/** A letter, or letters written together, as strokes where they are sewn. */
export interface LetteredPiece {
  readonly text: string;
  readonly strokes: readonly ColumnStroke[];
}

export interface Lettering {
  readonly stitches: Stitches;
  readonly findings: readonly Finding[];
  readonly widthMm: number;
  /** The height the letters were made at. */
  readonly heightMm: number;
}

export interface StrokeLettering extends Lettering {
  /** For each piece, in sewing order, the record its sewing begins with. */
  readonly pieceRecords: readonly number[];
}

const ALPHABETS: Readonly<Record<AlphabetName, Alphabet>> = { upright: UPRIGHT, flowing: FLOWING };
const TEXT_LIMIT = 200;
const HIGHEST_MM = 150;
/** Under this height edge underlay is left out (STITCHING.md). */
const LIGHT_UNDERLAY_MM = 8;
/** Under this height 60 weight thread is advised (TRADE.md). */
const FINE_THREAD_MM = 6;
/** From this height on letters are never sewn outside the limits. */
const ASSURED_MM = 8;

/** The lowest capitals that sew on a cloth, in mm (TRADE.md; common practice, no source). */
export const smallestLetterMm = (cloth: Cloth, alphabet: AlphabetName = "upright"): number =>
  alphabet === "flowing" ? CLOTHS[cloth].smallestFlowingMm : CLOTHS[cloth].smallestLetterMm;

/** Letters of a text the alphabet does not have, each once; empty when all can be sewn. */
export function missingLetters(text: string, alphabet: AlphabetName = "upright"): string[] {
  const lines = text.split(/\r?\n/).map((line) => layOut(line, { heightMm: 12 }, ALPHABETS[alphabet], 12));
  return [...new Set(lines.flatMap((line) => line.missing))];
}

/**
 * A line of text (or several, at line breaks) in satin letters of one of our own stroke alphabets, centred on the start.
 * Letters the alphabet lacks are left out and named in a finding.
 * Every letter is measured where it is sewn and held to the limits; one that misses them whatever is tried is named in
 * a finding below 8 mm, where limits for 40 weight thread are tight, and makes the text refused above.
 * @throws Refusal lettering-too-small, lettering-not-possible
 */
export function letterText(text: string, options: LetteringOptions): StrokeLettering {
  const { cloth = "woven", align = "centre", lineSpacing = 1.65, order = "along" } = options;
  checkMeasures(text, options);
  const alphabet = ALPHABETS[options.alphabet ?? "upright"];
  const preset = CLOTHS[cloth];
  const rows = text.split(/\r?\n/);
  const heightMm = fittedHeight(rows, options, alphabet);
  const lines = rows.map((row) => layOut(row, options, alphabet, heightMm));
  const findings = findingsOf(lines, heightMm);
  const widthMm = Math.max(...lines.map((line) => line.widthMm));
  const sewer = new Sewer();
  const missed: Miss[] = [];
  const pieceRecords: number[] = [];
  lines.forEach((line, index) => {
    const baselineY = ((lines.length - 1) / 2 - index) * lineSpacing * heightMm - heightMm / 2;
    const left = align === "left" ? 0 : align === "right" ? -line.widthMm : -line.widthMm / 2;
    const radiusMm = radiusOf(line.widthMm, options);
    const bend = { radiusMm, middleX: left + line.widthMm / 2, baselineY: options.circle === undefined ? baselineY : radiusMm - index * lineSpacing * heightMm * Math.sign(radiusMm) }; // prettier-ignore
    const pieces = line.pieces.map((piece): LetteredPiece => {
      const place = placing(bend, left + (piece.leftMm + piece.rightMm) / 2, !alphabet.joined);
      return {
        text: piece.text,
        strokes: piece.strokes.map((stroke) => ({ ...stroke, places: stroke.places.map(([x, y]) => place([x + left, y])) })), // prettier-ignore
      };
    });
    const sewn = order === "along" ? pieces : fromTheMiddle(pieces);
    sewn.forEach((piece, at) => {
      options.onPiece?.(piece);
      const begin = sewer.mark();
      const next = nextPlaces(sewn[at + 1], piece);
      const limits = sewAssured(
        sewer,
        piece.strokes,
        {
          pullMm: preset.pullMm,
          leaveAt: next,
          splitMm: preset.splitSatinMm,
          underlay: heightMm < LIGHT_UNDERLAY_MM ? "light" : "full",
          onRun: options.onRun,
          onSatin: options.onSatin,
        },
        { heightMm, next: sewn[at + 1] === undefined ? null : next },
      );
      pieceRecords.push(sewer.startAfter(begin));
      if (limits.length > 0) missed.push({ letters: piece.text, limits });
    });
  });
  if (missed.length > 0) findings.push(notHeld(missed, heightMm, options));
  return { stitches: sewer.finish(), findings, widthMm, heightMm, pieceRecords };
}

function layOut(row: string, options: LetteringOptions, alphabet: Alphabet, heightMm: number): SetLine {
  const { pullMm, smallestColumnMm } = CLOTHS[options.cloth ?? "woven"];
  const { letterSpacingMm = 0, wordSpacingMm = 0 } = options;
  const strokeMm = Math.max(alphabet.strokeShare * heightMm, smallestColumnMm - 2 * pullMm + 0.1);
  const set = (more: number): SetLine =>
    setLine(row, { alphabet, heightMm, strokeMm, pullMm, letterSpacingMm: letterSpacingMm + more, wordSpacingMm: wordSpacingMm + 1.5 * more }); // prettier-ignore
  const line = set(0);
  const radiusMm = radiusOf(line.widthMm, options);
  if (radiusMm > 0 || alphabet.joined || line.pieces.length < 2) return line;
  // Heads that lean in on the inside of a bowl come nearer to one another: what they lose is added to the space.
  const advanceMm = line.widthMm / line.pieces.length;
  const lost = (HEADS_AT * heightMm * advanceMm) / Math.max(-radiusMm - HEADS_AT * heightMm, heightMm);
  return set(Math.min(lost, heightMm));
}

/** How high letters are widest against their neighbours, as a share of the height. */
const HEADS_AT = 0.65;

/** The height asked for, or the one that gives the width asked for: letters are made anew, not scaled. */
function fittedHeight(rows: readonly string[], options: LetteringOptions, alphabet: Alphabet): number {
  const { heightMm, widthMm, maxWidthMm, cloth = "woven" } = options;
  const widthAt = (height: number): number =>
    Math.max(0, ...rows.map((row) => layOut(row, options, alphabet, height).widthMm));
  const wanted = widthMm ?? maxWidthMm;
  if (wanted === undefined) return heightMm;
  const width = widthAt(heightMm);
  if (width === 0 || (widthMm === undefined && width <= wanted)) return heightMm;
  const smallest = smallestLetterMm(cloth, options.alphabet);
  if (widthAt(smallest) > wanted) {
    throw refuseStitches(
      "lettering-too-small",
      `The text is ${widthAt(smallest).toFixed(1)} mm wide with letters of ${smallest} mm, the smallest that sew on ${cloth} cloth; it does not fit ${wanted} mm.`,
      [{ field: "width", found: `${wanted} mm`, expected: `at least ${widthAt(smallest).toFixed(1)} mm` }],
    );
  }
  let low = smallest;
  let high = widthMm === undefined ? heightMm : HIGHEST_MM;
  if (widthAt(high) < wanted) return high;
  for (let round = 0; round < 24 && high - low > 0.005; round++) {
    const middle = (low + high) / 2;
    if (widthAt(middle) > wanted) high = middle;
    else low = middle;
  }
  return low;
}

function radiusOf(widthMm: number, { arcDeg = 0, circle }: LetteringOptions): number {
  if (circle !== undefined) return circle.side === "upper" ? circle.radiusMm : -circle.radiusMm;
  return Math.abs(arcDeg) < 0.5 ? Infinity : widthMm / ((arcDeg * Math.PI) / 180);
}

function fromTheMiddle(pieces: readonly LetteredPiece[]): LetteredPiece[] {
  const middle = pieces.length >> 1;
  return [...pieces.slice(middle), ...pieces.slice(0, middle).reverse()];
}

/** Some places of what is sewn next; after the last piece the stroke end furthest to its right. */
function nextPlaces(next: LetteredPiece | undefined, piece: LetteredPiece): Place[] {
  if (next !== undefined) {
    const places = next.strokes.flatMap((stroke) => stroke.places);
    return places.filter((_, i) => i % 3 === 0 || i === places.length - 1);
  }
  const ends = piece.strokes.flatMap(({ places }) => [places[0]!, places.at(-1)!]);
  return [ends.reduce((a, b) => (b[0] - b[1] * 0.2 > a[0] - a[1] * 0.2 ? b : a))];
}

function findingsOf(lines: readonly SetLine[], heightMm: number): Finding[] {
  const missing = [...new Set(lines.flatMap((line) => line.missing))];
  if (lines.every((line) => line.pieces.length === 0)) {
    throw refuseStitches(
      "lettering-not-possible",
      missing.length > 0
        ? `None of the letters ${missing.join(" ")} is in the alphabet.`
        : "There is no letter to sew in this text.",
    );
  }
  const findings: Finding[] = [];
  if (missing.length > 0) {
    findings.push({
      code: "letters-missing",
      level: "warning",
      message: `The alphabet has no ${missing.map((letter) => `“${letter}”`).join(", ")}; ${missing.length === 1 ? "it was" : "they were"} left out.`,
      advice: "Write it with other letters, or bring the word in as artwork.",
    });
  }
  if (heightMm < FINE_THREAD_MM) {
    findings.push({
      code: "lettering-small",
      level: "note",
      message: `Letters of ${Number(heightMm.toFixed(1))} mm are near the limit of 40 weight thread.`,
      advice: "Use 60 weight thread and a 65/9 needle.",
    });
  }
  return findings;
}

/** A finding on letters that miss the limits. @throws Refusal lettering-not-possible from the height on where all should hold */
function notHeld(
  missed: readonly Miss[],
  heightMm: number,
  { cloth = "woven", alphabet = "upright" }: LetteringOptions,
): Finding {
  const letters = [...new Set(missed.map((miss) => miss.letters))].map((text) => `“${text}”`).join(", ");
  const limits = [...new Set(missed.flatMap((miss) => miss.limits))].join(", ");
  const height = Number(heightMm.toFixed(1));
  if (heightMm >= ASSURED_MM) {
    throw refuseStitches(
      "lettering-not-possible",
      `${letters} would not sew well at ${height} mm on ${cloth} cloth, whatever is tried: ${limits}. Make the letters a little higher or lower${alphabet === "flowing" ? ", or upright" : ""}.`,
      [{ field: "height", found: `${height} mm`, expected: "a height at which all letters hold the limits" }],
    );
  }
  return {
    code: "letters-at-limit",
    level: "warning",
    message: `At ${height} mm ${letters} ${missed.length === 1 ? "is" : "are"} at the limit of what sews (${limits}).`,
    advice: `Sew a sample with 60 weight thread, or make the letters ${ASSURED_MM} mm or higher.`,
  };
}

export function checkMeasures(text: string, options: LetteringOptions): void {
  const { heightMm, arcDeg = 0, circle, cloth = "woven", letterSpacingMm = 0, wordSpacingMm = 0, lineSpacing = 1.65, widthMm = 100, maxWidthMm = 100 } = options; // prettier-ignore
  const smallest = smallestLetterMm(cloth, options.alphabet);
  if (!Number.isFinite(heightMm) || heightMm < smallest) {
    throw refuseStitches(
      "lettering-too-small",
      options.alphabet === "flowing"
        ? `Flowing letters of ${heightMm} mm cannot be sewn on ${cloth} cloth; ${smallest} mm is the smallest height that sews. Upright letters sew from ${smallestLetterMm(cloth)} mm.`
        : `Letters of ${heightMm} mm cannot be sewn on ${cloth} cloth; ${smallest} mm is the smallest height that sews.`,
      [{ field: "height", found: `${heightMm} mm`, expected: `at least ${smallest} mm` }],
    );
  }
  const wrongs: readonly (readonly [bad: boolean, field: string, found: string, expected: string])[] = [
    [heightMm > HIGHEST_MM, "height", `${heightMm} mm`, `at most ${HIGHEST_MM} mm`],
    [!(Math.abs(arcDeg) <= 330), "arc", `${arcDeg}°`, "from −330° to 330°"],
    [circle !== undefined && !(circle.radiusMm >= heightMm), "circle", `${circle?.radiusMm} mm`, "a radius of at least the letters' height"], // prettier-ignore
    [!(Math.abs(letterSpacingMm) <= heightMm), "letterSpacing", `${letterSpacingMm} mm`, "at most the letters' height"], // prettier-ignore
    [!(Math.abs(wordSpacingMm) <= 3 * heightMm), "wordSpacing", `${wordSpacingMm} mm`, "at most three times the letters' height"], // prettier-ignore
    [
      !(lineSpacing >= 1 && lineSpacing <= 5),
      "lineSpacing",
      `${lineSpacing}`,
      "from 1 to 5 times the height",
    ],
    [!(widthMm > 0 && widthMm <= 2000), "width", `${widthMm} mm`, "over 0 and at most 2000 mm"],
    [!(maxWidthMm > 0), "maxWidth", `${maxWidthMm} mm`, "over 0 mm"],
    [text.length > TEXT_LIMIT, "text", `${text.length} letters`, `at most ${TEXT_LIMIT} letters`],
  ];
  const wrong = wrongs.find(([bad]) => bad);
  if (wrong !== undefined) {
    const [, field, found, expected] = wrong;
    throw refuseStitches(
      "lettering-not-possible",
      `The lettering's ${field} is ${found}; expected ${expected}.`,
      [{ field, found, expected }],
    );
  }
}
