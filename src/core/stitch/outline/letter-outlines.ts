import type { Finding } from "#core/base";
import { CLOTHS, SEWING } from "../cloth";
import {
  checkMeasures,
  type Lettering,
  type LetteringOptions,
  smallestLetterMm,
} from "../lettering/letter-text";
import { refuseStitches } from "../refusals";
import { Sewer } from "../sewer";
import type { Place } from "../spine";
import { type Bent, bentBy } from "./bend";
import { type GlyphSize, type PiecePlan, sewPiece } from "./glyph-plan";
import type { OutlineFont } from "./outline-font";
import {
  areJoined,
  type Cluster,
  type ClusterPlan,
  clustersOfLine,
  type OutlineLine,
  planCluster,
} from "./set-outlines";

export type OutlineLetteringOptions = Omit<LetteringOptions, "alphabet" | "onRun" | "onSatin" | "onPiece">;

const FINE_THREAD_MM = 6;
const HIGHEST_MM = 150;

/**
 * A text (or several lines of it) in the letters of an outline font, its kerning and marks the font's own: stems as
 * satin along their medial axis, parts wider than satin may be filled. Letters the font lacks are left out and named
 * in a finding.
 * @throws Refusal lettering-too-small, lettering-not-possible (also when letters cannot be sewn well at this size)
 */
export function letterOutlines(text: string, font: OutlineFont, options: OutlineLetteringOptions): Lettering {
  const { cloth = "woven", align = "centre", lineSpacing = 1.65, order = "along" } = options;
  checkMeasures(text, options);
  const rows = text.split(/\r?\n/).map((row) => clustersOfLine(font, row));
  const heightMm = fittedHeight(rows, font, options);
  const findings = findingsOf(rows, font, heightMm);
  const scale = heightMm / font.capHeight;
  const lines = rows.map((row) => setLine(row, scale, options));
  const size = alike(font, rows, { cloth, capMm: heightMm }, findings);
  const sewer = new Sewer();
  lines.forEach((line, index) => {
    const baselineY = ((lines.length - 1) / 2 - index) * lineSpacing * heightMm - heightMm / 2;
    const left = align === "left" ? 0 : align === "right" ? -line.widthMm : -line.widthMm / 2;
    const radiusMm = radiusOf(line.widthMm, options);
    const bend = {
      radiusMm,
      middleX: left + line.widthMm / 2,
      baselineY:
        options.circle === undefined
          ? baselineY
          : radiusMm - index * lineSpacing * heightMm * Math.sign(radiusMm),
    };
    const joinedAfter = line.letters.map((letter, i) => {
      const next = line.letters[i + 1];
      return (
        next !== undefined && areJoined(font, letter.cluster, next.cluster, scale, next.xMm - letter.xMm)
      );
    });
    const placed = line.letters.map(({ cluster, xMm }, i): PlacedLetter => {
      const middle = left + xMm + ((cluster.left + cluster.right) / 2) * scale;
      const rigid = !joinedAfter[i] && !joinedAfter[i - 1];
      return { bent: bentBy(bend, middle, rigid, left + xMm), plan: planCluster(font, cluster, size) };
    });
    // Letters written together are sewn along the text whatever the order, so that each joint is covered.
    const groups: PlacedLetter[][] = [];
    placed.forEach((letter, i) => {
      if (i > 0 && joinedAfter[i - 1]) groups.at(-1)!.push(letter);
      else groups.push([letter]);
    });
    const middle = groups.length >> 1;
    const sewn = order === "along" ? groups : [...groups.slice(middle), ...groups.slice(0, middle).reverse()];
    sewn.forEach((group, at) => sewGroup(sewer, group, sewn[at + 1]?.[0], size));
  });
  return {
    stitches: sewer.finish(),
    findings,
    widthMm: Math.max(...lines.map((line) => line.widthMm)),
    heightMm,
  };
}

/** Letters of a text for which the font has no glyph, each once. */
export const missingOutlines = (text: string, font: OutlineFont): readonly string[] => font.lacking(text);

interface PlacedLetter {
  readonly bent: Bent;
  readonly plan: ClusterPlan;
}

interface Standing {
  readonly piece: PiecePlan;
  readonly bent: Bent;
}

/** Letters that touch: their largest pieces along the text, then what stands apart of each, nearest first. */
function sewGroup(
  sewer: Sewer,
  group: readonly PlacedLetter[],
  after: PlacedLetter | undefined,
  size: GlyphSize,
): void {
  const rest: Standing[] = [];
  group.forEach(({ plan, bent }, i) => {
    const next = group[i + 1];
    const [main, ...others] = plan.pieces;
    const beside = others.filter((piece) => isBeside(main!, piece));
    const apart = others.filter((piece) => !beside.includes(piece)).map((piece) => ({ piece, bent }));
    if (group.length === 1 && areOnTheWay(sewer, main!, apart, after))
      sewNearestFirst(apart, () => someOf(main, bent));
    else rest.push(...apart);
    // What lies beside is sewn where it comes along the text: the stops of a colon, the strokes of a quotation mark.
    const inOrder = [main, ...beside].filter((piece) => piece !== undefined);
    inOrder.sort((a, b) => leftOf(a) - leftOf(b));
    inOrder.forEach((piece, k) => {
      const following = inOrder[k + 1];
      const towards =
        following !== undefined
          ? someOf(following, bent)
          : next !== undefined
            ? someOf(next.plan.pieces[0], next.bent)
            : rest.length > 0
              ? rest.flatMap((one) => someOf(one.piece, one.bent))
              : rightOf(piece, bent, after);
      sewPiece(sewer, cutBy(piece, bent, next), size, bent.move, bent.back, towards);
    });
  });
  sewNearestFirst(rest, ({ piece, bent }) => rightOf(piece, bent, after));

  function sewNearestFirst(left: Standing[], then: (last: Standing) => Place[]): void {
    while (left.length > 0) {
      left.sort((a, b) => gapTo(a, [sewer.place]) - gapTo(b, [sewer.place]));
      const one = left.shift()!;
      const towards = left.length > 0 ? left.flatMap((other) => someOf(other.piece, other.bent)) : then(one);
      sewPiece(sewer, one.piece, size, one.bent.move, one.bent.back, towards);
    }
  }
}

/** The shortest way from a piece's outline to one of some places, in mm. */
const gapTo = ({ piece, bent }: Standing, places: readonly Place[]): number =>
  Math.min(...someOf(piece, bent).flatMap(([x, y]) => places.map(([px, py]) => Math.hypot(px - x, py - y))));

/** Dots and accents are sewn before their letter where that spares a cut: on the way to it, and far from what follows. */
function areOnTheWay(
  sewer: Sewer,
  main: PiecePlan,
  apart: readonly Standing[],
  after: PlacedLetter | undefined,
): boolean {
  if (apart.length === 0 || !sewer.hasSewn) return false;
  const most = SEWING.trimGapMm - 0.3;
  const ends = after === undefined ? [] : someOf(after.plan.pieces[0], after.bent);
  if (ends.length > 0 && apart.some((one) => gapTo(one, ends) <= most)) return false;
  return (
    apart.some((one) => gapTo(one, [sewer.place]) <= most) &&
    apart.some((one) => gapTo(one, someOf(main, one.bent)) <= most)
  );
}

/** Where the next letter of a joined pair lies, less a rim, the one before is not sewn. */
function cutBy(piece: PiecePlan, bent: Bent, next: PlacedLetter | undefined): PiecePlan {
  if (next === undefined) return piece;
  const { room } = piece;
  return {
    ...piece,
    room: {
      reach: room.reach,
      isInside: (place) => room.isInside(place) && !next.plan.core.isInside(next.bent.back(bent.move(place))),
    },
  };
}

const boxX = (piece: PiecePlan): readonly [number, number] => {
  const xs = piece.rings.flatMap((ring) => ring.map(([x]) => x));
  return [Math.min(...xs), Math.max(...xs)];
};
const leftOf = (piece: PiecePlan): number => boxX(piece)[0];

function isBeside(main: PiecePlan, piece: PiecePlan): boolean {
  const [a, b] = boxX(main);
  const [c, d] = boxX(piece);
  return d <= a || b <= c;
}

function someOf(piece: PiecePlan | undefined, { move }: Bent): Place[] {
  if (piece === undefined) return [];
  const from = piece.rings.flat();
  const every = Math.max(1, Math.floor(from.length / 80));
  return from.filter((_, i) => i % every === 0).map(move);
}

/** Towards the next letter, else out to the right at the baseline. */
function rightOf(piece: PiecePlan, bent: Bent, after: PlacedLetter | undefined): Place[] {
  if (after !== undefined) {
    const places = someOf(after.plan.pieces[0], after.bent);
    if (places.length > 0) return places;
  }
  const [, right] = boxX(piece);
  return [bent.move([right + 1, 0])];
}

interface SetLetter {
  readonly cluster: Cluster;
  readonly xMm: number;
}

/** Letters side by side from 0, the first one's drawn left edge there. */
function setLine(
  { clusters }: OutlineLine,
  scale: number,
  { letterSpacingMm = 0, wordSpacingMm = 0 }: OutlineLetteringOptions,
): { readonly letters: readonly SetLetter[]; readonly widthMm: number } {
  const first = clusters[0];
  if (first === undefined) return { letters: [], widthMm: 0 };
  const origin = (first.x + first.left) * scale;
  let added = 0;
  const letters = clusters.map((cluster, i): SetLetter => {
    if (i > 0) added += letterSpacingMm + (cluster.spaces > 0 ? wordSpacingMm : 0);
    return { cluster, xMm: cluster.x * scale - origin + added };
  });
  const right = Math.max(...letters.map(({ cluster, xMm }) => xMm + cluster.right * scale));
  return { letters, widthMm: right };
}

function fittedHeight(
  rows: readonly OutlineLine[],
  font: OutlineFont,
  options: OutlineLetteringOptions,
): number {
  const { heightMm, widthMm, maxWidthMm, cloth = "woven" } = options;
  const wanted = widthMm ?? maxWidthMm;
  if (wanted === undefined) return heightMm;
  const widthAt = (height: number): number =>
    Math.max(0, ...rows.map((row) => setLine(row, height / font.capHeight, options).widthMm));
  const width = widthAt(heightMm);
  if (width === 0 || (widthMm === undefined && width <= wanted)) return heightMm;
  const smallest = smallestLetterMm(cloth);
  const least = widthAt(smallest);
  if (least > wanted) {
    throw refuseStitches(
      "lettering-too-small",
      `The text is ${least.toFixed(1)} mm wide with letters of ${smallest} mm, the smallest that sew on ${cloth} cloth; it does not fit ${wanted} mm.`,
      [{ field: "width", found: `${wanted} mm`, expected: `at least ${least.toFixed(1)} mm` }],
    );
  }
  // Width grows with height in a straight line: letters with it, what is added between them stays.
  const perMm = (widthAt(2 * smallest) - least) / smallest;
  const fitted = smallest + (wanted - least) / perMm;
  // Down to whole hundredths, so that the width is not passed and glyphs of like sizes are worked out once.
  return Math.max(smallest, Math.floor(Math.min(fitted, HIGHEST_MM) * 100) / 100);
}

function radiusOf(widthMm: number, { arcDeg = 0, circle }: OutlineLetteringOptions): number {
  if (circle !== undefined) return circle.side === "upper" ? circle.radiusMm : -circle.radiusMm;
  return Math.abs(arcDeg) < 0.5 ? Infinity : widthMm / ((arcDeg * Math.PI) / 180);
}

function findingsOf(rows: readonly OutlineLine[], font: OutlineFont, heightMm: number): Finding[] {
  const missing = [...new Set(rows.flatMap((row) => row.lacking))];
  if (rows.every((row) => row.clusters.length === 0)) {
    throw refuseStitches(
      "lettering-not-possible",
      missing.length > 0
        ? `None of the letters ${missing.join(" ")} is in the font ${font.name}.`
        : "There is no letter to sew in this text.",
    );
  }
  const findings: Finding[] = [];
  if (missing.length > 0) {
    findings.push({
      code: "letters-missing",
      level: "warning",
      message: `The font ${font.name} has no ${missing.map((letter) => `“${letter}”`).join(", ")}; ${missing.length === 1 ? "it was" : "they were"} left out.`,
      advice: "Write it with other letters, or choose a font that has them.",
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

/**
 * Letters that would be sewn badly are named, and the text is refused. Where satin does not follow some letters well,
 * all of the text is filled, so that it looks alike; where rows do not hold the limits in all of it, only those are.
 */
function alike(
  font: OutlineFont,
  rows: readonly OutlineLine[],
  size: GlyphSize,
  findings: Finding[],
): GlyphSize {
  const clusters = rows.flatMap((row) => row.clusters);
  const refused = new Set<string>();
  const filled = new Set<string>();
  for (const cluster of clusters) {
    const { pieces } = planCluster(font, cluster, size);
    if (pieces.length === 0 || pieces.some(({ how }) => how === "refused")) refused.add(cluster.text);
    else if (pieces.some(({ how }) => how === "fill")) filled.add(cluster.text);
  }
  const list = (letters: Set<string>): string => [...letters].map((letter) => `“${letter}”`).join(", ");
  if (refused.size > 0) {
    throw refuseStitches(
      "lettering-not-possible",
      `The font ${font.name} does not sew well at ${Number(size.capMm.toFixed(1))} mm on ${size.cloth} cloth: ${list(refused)}.`,
      [{ field: "font", found: [...refused].join(" "), expected: `stems of ${CLOTHS[size.cloth].smallestColumnMm} to 7 mm that satin can follow; try another height or font` }], // prettier-ignore
    );
  }
  if (filled.size === 0) return size;
  const rowsOnly: GlyphSize = { ...size, filled: true };
  const all = clusters.every((cluster) =>
    planCluster(font, cluster, rowsOnly).pieces.every(({ how }) => how !== "refused"),
  );
  const them = filled.size === 1 ? "it" : "them";
  findings.push({
    code: "letters-filled",
    level: "note",
    message: all
      ? `The text is filled with rows, so that all of it looks alike: satin does not follow ${list(filled)} well at this size.`
      : `${list(filled)} ${filled.size === 1 ? "is" : "are"} filled with rows: satin does not follow ${them} well at this size.`,
    advice: "Choose another height or font for letters in satin.",
  });
  return all ? rowsOnly : size;
}
