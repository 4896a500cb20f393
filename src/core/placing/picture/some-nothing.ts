/**
 * Pictures without markers, for counting false ones: cloth, stripes, checks, noise, letters, boxes in boxes with
 * letters or cells in them, sewn shapes, shadow and blur over all of it. Everything follows from the seed.
 */
import { type Chance, pick } from "#core/base";
import {
  CLOTH_KINDS,
  clothLight,
  sewnShape,
  someCloth,
  type Stroke,
  strokeAt,
  unevenness,
} from "./some-cloth";
import { blurred, exposed } from "./some-exposure";
import type { GreyPicture } from "./pixels";

export const NOTHING_KINDS = [
  "cloth",
  "noise",
  "stripes",
  "checks",
  "letters",
  "boxes",
  "sewn",
  "cells",
] as const;
export type NothingKind = (typeof NOTHING_KINDS)[number];

type Paint = (x: number, y: number) => number;

/** A picture of the kind, anyhow turned and sized, without any marker in it. */
export function pictureWithoutMarkers(
  chance: Chance,
  kind: NothingKind,
  widthPx: number,
  heightPx: number,
): GreyPicture {
  const paint = paintOf(chance, kind, widthPx, heightPx);
  const turn = 2 * Math.PI * chance.next();
  const lean = 0.4 * (chance.next() - 0.5);
  const cos = Math.cos(turn);
  const sin = Math.sin(turn);
  const light = new Float32Array(widthPx * heightPx);
  const shadow = chance.below(3) === 0 ? 0.4 : 1;
  const edge = widthPx * chance.next();
  for (let y = 0; y < heightPx; y++)
    for (let x = 0; x < widthPx; x++) {
      const dx = x - widthPx / 2;
      const dy = y - heightPx / 2;
      let sum = 0;
      for (let k = 0; k < 2; k++) {
        const px = dx + k / 2;
        const py = dy + k / 2;
        sum += paint(px * cos - py * sin + lean * py, px * sin + py * cos);
      }
      light[y * widthPx + x] = (sum / 2) * (x > edge ? shadow : 1);
    }
  blurred(light, widthPx, heightPx, chance.below(2) * 1.5 * chance.next(), null);
  const data = exposed(light, 0.002 * chance.next(), 0.01 * chance.next(), 1 + chance.below(1 << 30));
  return { widthPx, heightPx, data };
}

function paintOf(chance: Chance, kind: NothingKind, widthPx: number, heightPx: number): Paint {
  const dark = 0.03 + 0.1 * chance.next();
  const bright = 0.4 + 0.5 * chance.next();
  const size = 3 + 20 * chance.next();
  const seed = chance.below(1 << 30);
  switch (kind) {
    case "cloth": {
      const cloth = someCloth(chance, pick(CLOTH_KINDS, chance));
      const scale = 0.1 + 0.4 * chance.next();
      return (x, y) =>
        strokeAt(cloth.strokes, x * scale, y * scale)?.light ??
        clothLight(cloth, x * scale, y * scale, scale);
    }
    case "noise":
      return (x, y) => dark + (bright - dark) * unevenness(x / (size / 4), y / (size / 4), seed) ** 2;
    case "stripes": {
      const share = 0.2 + 0.6 * chance.next();
      return (x) => ((((x / size) % 1) + 1) % 1 < share ? dark : bright);
    }
    case "checks": {
      const share = 0.3 + 0.4 * chance.next();
      const on = (t: number) => (((t / size) % 1) + 1) % 1 < share;
      const joined = chance.below(2) === 0;
      return (x, y) => ((joined ? on(x) !== on(y) : on(x) || on(y)) ? dark : bright);
    }
    case "letters":
      return lettersPaint(chance, dark, bright, size);
    case "boxes":
      return boxesPaint(chance, dark, bright, widthPx, heightPx);
    case "sewn": {
      const strokes: Stroke[] = [];
      for (let i = 0; i < 6; i++)
        strokes.push(
          ...sewnShape(
            (chance.next() - 0.5) * 100,
            (chance.next() - 0.5) * 80,
            12 + 40 * chance.next(),
            dark,
          ),
        );
      return (x, y) =>
        strokeAt(strokes, x / 3, y / 3)?.light ?? bright * (0.9 + 0.2 * unevenness(x, y, seed));
    }
    case "cells":
      return (x, y) => (unevenCell(Math.floor(x / size), Math.floor(y / size), seed) ? dark : bright);
  }
}

const unevenCell = (i: number, j: number, seed: number): boolean => unevenness(i, j, seed) < 0.5;

/** Rows of letter-like signs: strokes across a 3 × 5 grid. */
function lettersPaint(chance: Chance, dark: number, bright: number, size: number): Paint {
  const cell = Math.max(2, size / 3);
  const seed = chance.below(1 << 30);
  return (x, y) => {
    const column = Math.floor(x / cell);
    const row = Math.floor(y / cell);
    const gap = ((column % 4) + 4) % 4 === 3 || ((row % 7) + 7) % 7 >= 5;
    return !gap && unevenCell(column, row, seed) ? dark : bright;
  };
}

/** Boxes with a dark rim, often a light ring inside and cells or a smaller box in the middle. */
function boxesPaint(chance: Chance, dark: number, bright: number, widthPx: number, heightPx: number): Paint {
  const boxes = Array.from({ length: 6 }, () => {
    const side = 20 + 90 * chance.next();
    return {
      x: (chance.next() - 0.5) * widthPx * 0.8,
      y: (chance.next() - 0.5) * heightPx * 0.8,
      side,
      rim: side * (0.04 + 0.16 * chance.next()),
      gap: side * 0.15 * chance.next(),
      cell: side * (0.06 + 0.2 * chance.next()),
      // Full, empty, or cells: whole grids of them are as near to a marker as a picture gets by chance.
      inside: pick(["dark", "light", "stripes", "cells"] as const, chance),
      seed: chance.below(1 << 30),
    };
  });
  return (x, y) => {
    for (const box of boxes) {
      const dx = Math.abs(x - box.x);
      const dy = Math.abs(y - box.y);
      const off = box.side / 2 - Math.max(dx, dy);
      if (off < 0) continue;
      if (off < box.rim) return dark;
      if (off < box.rim + box.gap) return bright;
      if (box.inside === "dark") return dark;
      if (box.inside === "light") return bright;
      const column = Math.floor((x - box.x) / box.cell + 0.5);
      if (box.inside === "stripes") return column % 2 === 0 ? dark : bright;
      return unevenCell(column, Math.floor((y - box.y) / box.cell + 0.5), box.seed) ? dark : bright;
    }
    return bright;
  };
}
