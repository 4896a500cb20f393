/** Cloth, drawn lines and sewn shapes for the rendered photos: how much light a place in the plane gives back, 0 to 1. */
import type { Chance } from "#core/base";

export type ClothKind = "plain" | "striped" | "pile" | "checked" | "dark" | "speckled";
export const CLOTH_KINDS: readonly ClothKind[] = ["plain", "striped", "pile", "checked", "dark", "speckled"];

/** A straight stroke on the cloth: ends in mm, width, light given back. */
export interface Stroke {
  readonly fromXMm: number;
  readonly fromYMm: number;
  readonly toXMm: number;
  readonly toYMm: number;
  readonly widthMm: number;
  readonly light: number;
}

export interface Cloth {
  readonly kind: ClothKind;
  /** Direction of the stripes or of the warp, counter-clockwise from x. */
  readonly angleRad: number;
  /** Width of a stripe and its gap together, mm. */
  readonly periodMm: number;
  readonly light: number;
  readonly otherLight: number;
  readonly seed: number;
  readonly strokes: readonly Stroke[];
}

/** A whole number mixed from two, as a number in [0, 1). */
function speck(i: number, j: number, seed: number): number {
  let h = Math.imul(i, 0x9e3779b1) ^ Math.imul(j, 0x85ebca77) ^ seed;
  h = Math.imul(h ^ (h >>> 15), 0x2c1b3c6d);
  h = Math.imul(h ^ (h >>> 12), 0x297a2d39);
  return ((h ^ (h >>> 15)) >>> 0) / 4294967296;
}

/** Smooth chance over the plane: values at whole places, joined smoothly; in [0, 1). */
export function unevenness(x: number, y: number, seed: number): number {
  const i = Math.floor(x);
  const j = Math.floor(y);
  const fx = x - i;
  const fy = y - j;
  const sx = fx * fx * (3 - 2 * fx);
  const sy = fy * fy * (3 - 2 * fy);
  const top = speck(i, j, seed) * (1 - sx) + speck(i + 1, j, seed) * sx;
  const bottom = speck(i, j + 1, seed) * (1 - sx) + speck(i + 1, j + 1, seed) * sx;
  return top * (1 - sy) + bottom * sy;
}

/** 0 to 1: a square wave of the given period whose edges are softened over `softMm`. */
function band(t: number, period: number, softMm: number): number {
  const phase = Math.abs(((((t / period) % 1) + 1.5) % 1) - 0.5) * period - period / 4;
  const s = phase / softMm + 0.5;
  return s <= 0 ? 0 : s >= 1 ? 1 : s;
}

/** Light given back at a place on the cloth without its strokes. `dotMm`: the side of what one sample stands for. */
export function clothLight(cloth: Cloth, xMm: number, yMm: number, dotMm: number): number {
  const cos = Math.cos(cloth.angleRad);
  const sin = Math.sin(cloth.angleRad);
  const along = xMm * cos + yMm * sin;
  const across = -xMm * sin + yMm * cos;
  // Threads of half a millimetre; seen only where a sample is finer than they are.
  const fine = Math.max(0, 1 - dotMm / 0.3);
  const weave = fine === 0 ? 1 : 1 + 0.1 * fine * Math.sin(12.57 * along) * Math.sin(12.57 * across);
  const soft = Math.max(0.1, dotMm);
  switch (cloth.kind) {
    case "plain":
      return cloth.light * weave * (0.97 + 0.06 * unevenness(along * 0.8, across * 3, cloth.seed));
    case "dark":
      return 0.03 * weave * (0.8 + 0.4 * unevenness(along, across * 3, cloth.seed));
    case "pile":
      return (
        cloth.light *
        (0.55 +
          0.5 * unevenness(xMm * 1.3, yMm * 1.3, cloth.seed) +
          0.25 * unevenness(xMm * 3.1, yMm * 3.1, cloth.seed + 1))
      );
    case "speckled":
      return unevenness(xMm * 1.6, yMm * 1.6, cloth.seed) > 0.6 ? cloth.otherLight : cloth.light * weave;
    case "striped":
      return (cloth.light + (cloth.otherLight - cloth.light) * band(across, cloth.periodMm, soft)) * weave;
    case "checked": {
      const one = band(across, cloth.periodMm, soft);
      const other = band(along, cloth.periodMm, soft);
      return (cloth.light + ((cloth.otherLight - cloth.light) * (one + other)) / 2) * weave;
    }
  }
}

/** The stroke that lies over a place, the last one on top; null where none does. */
export function strokeAt(strokes: readonly Stroke[], xMm: number, yMm: number): Stroke | null {
  for (let i = strokes.length - 1; i >= 0; i--) {
    const one = strokes[i]!;
    const dx = one.toXMm - one.fromXMm;
    const dy = one.toYMm - one.fromYMm;
    const px = xMm - one.fromXMm;
    const py = yMm - one.fromYMm;
    const t = Math.max(0, Math.min(1, (px * dx + py * dy) / (dx * dx + dy * dy)));
    if ((px - t * dx) ** 2 + (py - t * dy) ** 2 <= (one.widthMm / 2) ** 2) return one;
  }
  return null;
}

/** A way through places as strokes. */
export const strokesThrough = (
  places: readonly (readonly [number, number])[],
  widthMm: number,
  light: number,
): Stroke[] =>
  places.slice(1).map(([x, y], i) => ({
    fromXMm: places[i]![0],
    fromYMm: places[i]![1],
    toXMm: x,
    toYMm: y,
    widthMm,
    light,
  }));

/** A sewn star with a name's zigzag under it, about a place: satin edges 2 mm wide. */
export function sewnShape(xMm: number, yMm: number, sizeMm: number, light: number): Stroke[] {
  const star = Array.from({ length: 11 }, (_, i): [number, number] => {
    const r = (i % 2 === 0 ? 0.5 : 0.22) * sizeMm;
    const a = Math.PI / 2 + (Math.PI * i) / 5;
    return [xMm + r * Math.cos(a), yMm + r * Math.sin(a)];
  });
  const zigzag = Array.from({ length: 13 }, (_, i): [number, number] => [
    xMm + ((i - 6) / 12) * sizeMm,
    yMm - sizeMm * (i % 2 === 0 ? 0.62 : 0.78),
  ]);
  return [...strokesThrough(star, 2, light), ...strokesThrough(zigzag, 1.4, light)];
}

/** Some cloth with a centre line, a printed frame and a sewn shape on it. */
export function someCloth(chance: Chance, kind: ClothKind): Cloth {
  const light = 0.25 + 0.6 * chance.next();
  const onDark = kind === "dark" || light < 0.4;
  const ink = onDark ? 0.8 : 0.04;
  const x = 200 * (chance.next() - 0.5);
  const y = 80 * (chance.next() - 0.5);
  const line = 60 * (chance.next() - 0.5);
  return {
    kind,
    angleRad: (chance.next() - 0.5) * 0.5,
    periodMm: 3 + 12 * chance.next(),
    light,
    otherLight: Math.max(0.04, light * (0.2 + 0.6 * chance.next())),
    seed: chance.below(1 << 30),
    strokes: [
      ...strokesThrough([[line, -95], [line + 6, 95]], 0.8, ink),
      ...strokesThrough([[x - 70, y - 40], [x - 40, y - 40], [x - 40, y - 10], [x - 70, y - 10], [x - 70, y - 40]], 1.6, ink),
      ...sewnShape(x, y, 40 + 30 * chance.next(), onDark ? 0.6 : 0.12),
    ], // prettier-ignore
  };
}
