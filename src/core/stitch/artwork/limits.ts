import type { StitchMetrics } from "../metrics";

/** STITCHING.md, "Limits", as artwork is held to them: cover as of fills, as satin and fill stand side by side. */
const LIMITS: readonly (readonly [name: string, holds: (m: StitchMetrics) => boolean])[] = [
  ["cover", (m) => m.cover >= 0.98],
  ["bare spot", (m) => m.widestBareMm <= 0.4],
  ["outside", (m) => m.outside <= 0.01 && m.worstOutMm <= 0.6],
  ["densest", (m) => m.densest <= 10],
  ["layers", (m) => m.layersP99 <= 6 && m.layersMost <= 12],
  ["short", (m) => (m.short <= 0.03 || m.short * m.stitches < 1.5) && m.shortestMm >= 0.3 - 1e-9],
  ["longest", (m) => m.longestMm <= 12.1],
  ["one place", (m) => m.mostAtOnePlace <= 7],
];

/** The limits a piece of artwork misses; empty when it holds them all. */
export const missedByArtwork = (metrics: StitchMetrics): string[] =>
  LIMITS.filter(([, holds]) => !holds(metrics)).map(([name]) => name);

/** How far from good a piece is: limits missed count most, then cloth left bare. */
export const artworkBadness = (m: StitchMetrics): number =>
  10 * missedByArtwork(m).length +
  100 * Math.max(0, 0.99 - m.cover) +
  5 * Math.max(0, m.widestBareMm - 0.3) +
  200 * m.outside +
  Math.max(0, m.densest - 9) +
  0.3 * m.stray;
