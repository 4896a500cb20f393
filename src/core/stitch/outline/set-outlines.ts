import { commonRings, grownRings, piecesOfRings, type Rings, unitedRings } from "../rings";
import type { Place } from "../spine";
import { outlineRays, type OutlineRays } from "../medial/outline-rays";
import { ringsOfOutline } from "./flatten";
import { type GlyphSize, type PiecePlan, planPiece } from "./glyph-plan";
import type { OutlineFont, ShapedGlyph } from "./outline-font";

/** A letter with the marks on it, where it stands on its line; in font units. */
export interface Cluster {
  readonly glyphs: readonly ShapedGlyph[];
  /** Where its own frame begins: the first glyph's place. */
  readonly x: number;
  /** Left and right of what is drawn, from `x`. */
  readonly left: number;
  readonly right: number;
  readonly spaces: number;
  readonly text: string;
}

export interface OutlineLine {
  readonly clusters: readonly Cluster[];
  readonly lacking: readonly string[];
}

/** One line of text, its glyphs gathered to letters with their marks. */
export function clustersOfLine(font: OutlineFont, line: string): OutlineLine {
  const groups: ShapedGlyph[][] = [];
  for (const glyph of font.shape(line).glyphs) {
    if (glyph.mark && groups.length > 0) groups.at(-1)!.push(glyph);
    else groups.push([glyph]);
  }
  const clusters = groups.map((glyphs): Cluster => {
    const x = glyphs[0]!.x;
    let [left, right] = [Infinity, -Infinity];
    for (const glyph of glyphs) {
      const box = boxOfGlyph(font, glyph.glyph);
      left = Math.min(left, box.left + glyph.x - x);
      right = Math.max(right, box.right + glyph.x - x);
    }
    return {
      glyphs,
      x,
      left,
      right,
      spaces: glyphs[0]!.spaces,
      text: glyphs.map(({ text }) => text).join(""),
    };
  });
  return { clusters, lacking: font.lacking(line) };
}

function boxOfGlyph(font: OutlineFont, glyph: number): { left: number; right: number } {
  const known = cacheOf(font).boxes.get(glyph);
  if (known !== undefined) return known;
  const rings = ringsOfOutline(font.outlineOf(glyph), 1, font.unitsPerEm / 500);
  let [left, right] = [Infinity, -Infinity];
  for (const [x] of rings.flat()) {
    left = Math.min(left, x);
    right = Math.max(right, x);
  }
  const box = left > right ? { left: 0, right: 0 } : { left, right };
  cacheOf(font).boxes.set(glyph, box);
  return box;
}

/** A letter ready to sew at a size, in its own frame in mm: origin at its place on the baseline. */
export interface ClusterPlan {
  readonly rings: Rings;
  /** Largest first: what is sewn along the text, then dots and accents. */
  readonly pieces: readonly PiecePlan[];
  /** The letter less a rim of the overlap that joined letters have. */
  readonly core: OutlineRays;
}

const JOINED_OVERLAP_MM = 0.45;

interface FontCache {
  readonly boxes: Map<number, { left: number; right: number }>;
  readonly plans: Map<string, ClusterPlan>;
  /** Which try did well, by letter, cloth and size class. */
  readonly choices: Map<string, readonly number[]>;
  readonly joins: Map<string, boolean>;
}

const caches = new Map<string, FontCache>();
const MOST_PLANS = 3000;
const MOST_FONTS = 40;

function cacheOf({ key }: OutlineFont): FontCache {
  let cache = caches.get(key);
  if (cache === undefined) {
    if (caches.size >= MOST_FONTS) caches.delete(caches.keys().next().value!);
    cache = { boxes: new Map(), plans: new Map(), choices: new Map(), joins: new Map() };
    caches.set(key, cache);
  }
  return cache;
}

function keep<T>(map: Map<string, T>, key: string, value: T): T {
  if (map.size >= MOST_PLANS) map.delete(map.keys().next().value!);
  map.set(key, value);
  return value;
}

const keyOf = ({ glyphs, x }: Cluster): string =>
  glyphs.map((glyph) => `${glyph.glyph}@${Math.round(glyph.x - x)},${Math.round(glyph.y)}`).join("+");

const ringsAt = (font: OutlineFont, { glyphs, x }: Cluster, scale: number): Place[][] =>
  unitedRings(
    glyphs.flatMap((glyph) =>
      ringsOfOutline(font.outlineOf(glyph.glyph), scale).map((ring) =>
        ring.map(([px, py]): Place => [px + (glyph.x - x) * scale, py + glyph.y * scale]),
      ),
    ),
  );

/** How a letter is sewn at a size; worked out once for a font, size and cloth. */
export function planCluster(font: OutlineFont, cluster: Cluster, size: GlyphSize): ClusterPlan {
  const cache = cacheOf(font);
  const letter = `${keyOf(cluster)}|${size.cloth}${size.filled === true ? "|filled" : ""}`;
  const key = `${letter}|${size.capMm.toFixed(3)}`;
  const known = cache.plans.get(key);
  if (known !== undefined) return known;
  const rings = ringsAt(font, cluster, size.capMm / font.capHeight);
  const sizeClass = `${letter}|${Math.round(Math.log(size.capMm) / Math.log(1.06))}`;
  const choices = cache.choices.get(sizeClass);
  const area = (piece: Rings): number => Math.abs(piece.reduce((sum, ring) => sum + signedArea(ring), 0));
  const pieces = piecesOfRings(rings)
    .filter((piece) => area(piece) > 0.05)
    .sort((a, b) => area(b) - area(a))
    .map((piece, i) => planPiece(piece, i === 0 ? size : { ...size, filled: false }, choices?.[i] ?? null));
  keep(
    cache.choices,
    sizeClass,
    pieces.map(({ tried }) => tried),
  );
  return keep(cache.plans, key, { rings, pieces, core: outlineRays(grownRings(rings, -JOINED_OVERLAP_MM)) });
}

function signedArea(ring: readonly Place[]): number {
  let sum = 0;
  ring.forEach(([x, y], i) => {
    const [nx, ny] = ring[(i + 1) % ring.length]!;
    sum += x * ny - nx * y;
  });
  return sum / 2;
}

/** Whether two neighbours of a line are written together: their outlines overlap. `apart` is from `x` to `x`, in mm. */
export function areJoined(
  font: OutlineFont,
  one: Cluster,
  two: Cluster,
  scale: number,
  apartMm: number,
): boolean {
  if (two.spaces > 0 || one.right * scale <= two.left * scale + apartMm) return false;
  const cache = cacheOf(font);
  const key = `${keyOf(one)}|${keyOf(two)}|${(apartMm / scale).toFixed(0)}`;
  const known = cache.joins.get(key);
  if (known !== undefined) return known;
  const beside = ringsAt(font, two, scale).map((ring) => ring.map(([x, y]): Place => [x + apartMm, y]));
  return keep(cache.joins, key, commonRings(ringsAt(font, one, scale), beside).length > 0);
}
