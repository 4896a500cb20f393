import type { CoverMetrics } from "./measure";

/** STITCHING.md, "Limits", for letters and satin; a limit's name and how the figure is held to it. */
export const SATIN_LIMITS: readonly (readonly [name: string, holds: (m: CoverMetrics) => boolean])[] = [
  ["cover", (m) => m.cover >= 0.995],
  ["bare spot", (m) => m.widestBareMm <= 0.4],
  ["outside", (m) => m.outside <= 0.01],
  ["worst out", (m) => m.worstOutMm <= 0.6],
  ["densest", (m) => m.densest <= 10],
  ["layers", (m) => m.layersP99 <= 6 && m.layersMost <= 12],
  ["short", (m) => m.short <= 0.01 || m.short * m.stitches < 1.5],
  ["shortest", (m) => m.shortestMm >= 0.3 - 1e-9],
  ["longest", (m) => m.longestMm <= 7 + 1e-9],
  ["one place", (m) => m.mostAtOnePlace <= 7],
];

/** The names of the limits a design misses; empty when it holds them all. */
export const missedLimits = (metrics: CoverMetrics): string[] =>
  SATIN_LIMITS.filter(([, holds]) => !holds(metrics)).map(([name]) => name);
