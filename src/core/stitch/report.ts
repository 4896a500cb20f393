import type { Finding, FindingLevel } from "#core/base";
import { countStitches, JUMP, STITCH, type Stitches, stitchExtents } from "./stitches";

/** The report of CONTRACT.md, `spoolwright/design-report@1`. Lengths in mm. A design without stitches has zeros. */
export interface DesignReport {
  readonly format: "spoolwright/design-report@1";
  readonly stitches: number;
  readonly jumps: number;
  readonly stops: number;
  readonly trims: number;
  readonly parts: readonly { readonly stitches: number; readonly threadMm: number }[];
  readonly extentsMm: {
    readonly left: number;
    readonly right: number;
    readonly bottom: number;
    readonly top: number;
  };
  readonly shortestMm: number;
  readonly longestMm: number;
  readonly shortShare: number;
  readonly densestPerMm2: number;
  readonly findings: readonly {
    readonly code: string;
    readonly level: FindingLevel;
    readonly message: string;
    readonly at?: Finding["at"];
  }[];
}

/** Under this a stitch counts as short; TRADE.md: the shortest useful stitch. */
export const SHORT_STITCH_MM = 0.5;

/** Measures a design; `findings` are those of the reader and the checks, passed on. */
export function designReport(design: Stitches, findings: readonly Finding[]): DesignReport {
  const counts = countStitches(design);
  const box = stitchExtents(design);
  const lengths = stitchLengths(design);
  const empty = counts.stitches === 0;
  return {
    format: "spoolwright/design-report@1",
    stitches: counts.stitches,
    jumps: counts.jumps,
    stops: counts.stops,
    trims: counts.trims,
    parts: counts.parts.map((part) => ({ stitches: part.stitches, threadMm: round(part.threadMm, 1) })),
    extentsMm: empty
      ? { left: 0, right: 0, bottom: 0, top: 0 }
      : { left: box.left / 10, right: box.right / 10, bottom: box.bottom / 10, top: box.top / 10 },
    shortestMm: round(lengths.shortestMm, 3),
    longestMm: round(lengths.longestMm, 3),
    shortShare: empty ? 0 : round(lengths.short / counts.stitches, 4),
    densestPerMm2: densestSquare(design).count,
    findings: findings.map(({ code, level, message, at }) =>
      at === undefined ? { code, level, message } : { code, level, message, at },
    ),
  };
}

const round = (value: number, places: number): number => Math.round(value * 10 ** places) / 10 ** places;

export interface StitchLengths {
  readonly shortestMm: number;
  readonly longestMm: number;
  /** Sewn stitches under 0.5 mm, those of no length among them. */
  readonly short: number;
  readonly zero: number;
}

/**
 * Lengths of the stitches sewn from a penetration to the next. A stitch record that follows a jump closes a move, not
 * a stitch on the cloth, and is left out; `shortestMm` also leaves those of no length out.
 */
export function stitchLengths(design: Stitches): StitchLengths {
  let shortest = Infinity;
  let longest = 0;
  let short = 0;
  let zero = 0;
  let afterJump = false;
  for (let i = 0, px = 0, py = 0; i < design.kind.length; i++) {
    const x = design.x[i]!;
    const y = design.y[i]!;
    if (design.kind[i] === JUMP) afterJump = true;
    else if (design.kind[i] === STITCH) {
      if (!afterJump) {
        const length = Math.sqrt((x - px) * (x - px) + (y - py) * (y - py));
        if (length === 0) zero++;
        else if (length < shortest) shortest = length;
        if (length > longest) longest = length;
        if (length < SHORT_STITCH_MM * 10) short++;
      }
      afterJump = false;
    } else afterJump = false;
    px = x;
    py = y;
  }
  return { shortestMm: shortest === Infinity ? 0 : shortest / 10, longestMm: longest / 10, short, zero };
}

export interface FullSquare {
  readonly count: number;
  readonly xTenths: number;
  readonly yTenths: number;
}

/**
 * The fullest square of a 1 mm grid aligned to the start point: how many penetrations, and the square's lower left
 * corner in tenths of mm.
 */
export function densestSquare(design: Stitches): FullSquare {
  return fullSquares(design, 0, 1)[0] ?? { count: 0, xTenths: 0, yTenths: 0 };
}

/** The squares of that grid with more than `over` penetrations, fullest first, at most `most` of them. */
export function fullSquares(design: Stitches, over: number, most: number): FullSquare[] {
  const box = stitchExtents(design);
  if (box.right < box.left) return [];
  const column0 = Math.floor(box.left / 10);
  const row0 = Math.floor(box.bottom / 10);
  const columns = Math.floor(box.right / 10) - column0 + 1;
  const rows = Math.floor(box.top / 10) - row0 + 1;
  // Far-flung designs are counted by the squares they touch, so that they cost no more memory.
  const wide = columns * rows > 4_000_000;
  const grid = new Uint32Array(wide ? 0 : columns * rows);
  const touched = new Map<number, number>();
  for (let i = 0; i < design.kind.length; i++) {
    if (design.kind[i] !== STITCH) continue;
    const square =
      (Math.floor(design.y[i]! / 10) - row0) * columns + (Math.floor(design.x[i]! / 10) - column0);
    if (wide) touched.set(square, (touched.get(square) ?? 0) + 1);
    else grid[square]!++;
  }
  let full: [square: number, count: number][] = [];
  let least = over;
  const take = (square: number, count: number): void => {
    if (count <= least) return;
    full.push([square, count]);
    if (full.length < 4 * most + 16) return;
    full = full.sort((a, b) => b[1] - a[1]).slice(0, most);
    if (full.length === most) least = full.at(-1)![1];
  };
  if (wide) touched.forEach((count, square) => take(square, count));
  else for (let square = 0; square < grid.length; square++) take(square, grid[square]!);
  return full
    .sort((a, b) => b[1] - a[1] || a[0] - b[0])
    .slice(0, most)
    .map(([square, count]) => ({
      count,
      xTenths: ((square % columns) + column0) * 10,
      yTenths: (Math.floor(square / columns) + row0) * 10,
    }));
}
