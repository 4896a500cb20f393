import { type Cloth, CLOTHS } from "../cloth";
import { sewColumns } from "../columns";
import { rowFill } from "../fills/row-fill";
import { columnsOf } from "../medial/columns-of";
import type { MedialOptions, MedialParts } from "../medial/medial";
import { outlineRays, type OutlineRays } from "../medial/outline-rays";
import { type CoverMetrics, maskOfRings, measureCover, missedLimits, type ShapeMask } from "../metrics";
import { threadRuns } from "../metrics/measure";
import { strayStitches } from "../metrics/stray";
import { areaOfRings, boxOfRings, grownRings, type Rings } from "../rings";
import { Sewer } from "../sewer";
import type { Place } from "../spine";
import { STITCH, type Stitches } from "../stitches";
import { patchesOver } from "./patches";
import { runPasses } from "./run-passes";

/** How one piece of a glyph (a stem with all it touches, a dot, an accent) is sewn; places in the glyph's own frame, mm. */
export interface PiecePlan {
  readonly rings: Rings;
  /** The piece grown by the compensation: stitches are cut to it. */
  readonly room: OutlineRays;
  readonly how: "satin" | "fill" | "refused";
  /** Of satin: its columns, areas and lines. */
  readonly parts: MedialParts | null;
  /** Of a fill: the angle of its rows. */
  readonly rowsDeg: number;
  /** Added to the compensation on each side, in mm. */
  readonly moreMm: number;
  readonly pitchMm: number | null;
  /** Which of `TRIES` was taken, −1 for none. */
  readonly tried: number;
  /** Limits it misses; empty unless refused or not tried. */
  readonly misses: readonly string[];
}

export interface GlyphSize {
  readonly cloth: Cloth;
  readonly capMm: number;
  /** Bodies of letters are filled with rows, whether satin would follow them or not. */
  readonly filled?: boolean;
}

interface Try extends Partial<Omit<MedialOptions, "smallestColumnMm" | "widestColumnMm">> {
  /** Stitches reach this much further out, where edges stay bare. */
  readonly moreMm?: number;
  /** Between needle points of one side: nearer where bends stay bare, further where they heap. */
  readonly pitchMm?: number;
}

/** What is tried for a piece in turn; the first that holds all limits is taken, else the best. */
export const TRIES: readonly Try[] = [
  {},
  { buttDeg: 72 },
  { moreMm: 0.08 },
  { moreMm: 0.05, pitchMm: 0.36 },
  { pitchMm: 0.44 },
  { smoothing: 0.8, moreMm: 0.04 },
  { residual: 1.62, protrusion: 0.25 },
  { throughDeg: 38 },
  { cornerDeg: 90, smoothing: 0.35 },
  { protrusion: 0.6 },
  { residual: 2, protrusion: 0.5, smoothing: 0.8 },
  { cornerDeg: 55 },
  { throughDeg: 65 },
  { residual: 1.62, protrusion: 0.15, cornerDeg: 60, smoothing: 0.35 },
  { moreMm: 0.1, pitchMm: 0.38 },
  { smoothing: 0.8, moreMm: 0.1 },
];

/** How many settings more are tried for a piece that holds the limits but has travel on top. */
const MORE_TRIES = 4;

/** How many settings that leave bare spots are patched, and what else they may miss. */
const PATCHED_TRIES = 6;
const PATCHABLE = new Set(["cover", "bare spot"]);

/** Rows that are tried: their angle in degrees, and how much longer they are at each end where edges stay bare, in mm. */
const ROWS = [[45, 0], [0, 0], [45, 0.08], [90, 0.08], [135, 0.08], [0, 0.08]] as const; // prettier-ignore

/** Trying needs no finer raster than this; figures that are shown are measured at 0.05 mm. */
const coarse = (capMm: number): { marginMm: number; pixelMm: number } => ({
  marginMm: 1,
  pixelMm: Math.min(0.12, Math.max(0.08, 0.005 * capMm)),
});

/**
 * Wider parts are filled: long satin is split (common practice: over 7 mm, on pile over 5), and rows look wrong beside
 * satin, so a letter's stems stay satin as long as they can.
 */
const WIDEST_SATIN_MM: Readonly<Record<Cloth, number>> = { woven: 10.5, knit: 10.5, pile: 8.5 };

/** Fills are held to the limits of fills (STITCHING.md). */
function missedByFill(m: CoverMetrics): string[] {
  const limits: readonly (readonly [string, boolean])[] = [
    ["cover", m.cover >= 0.98],
    ["bare spot", m.widestBareMm <= 0.4],
    ["outside", m.outside <= 0.01],
    ["worst out", m.worstOutMm <= 0.6],
    ["densest", m.densest <= 10],
    ["layers", m.layersP99 <= 6 && m.layersMost <= 12],
    ["short", m.short <= 0.03 || m.short * m.stitches < 1.5],
    ["shortest", m.shortestMm >= 0.3 - 1e-9],
    ["longest", m.longestMm <= 12.1],
    ["one place", m.mostAtOnePlace <= 7],
  ];
  return limits.filter(([, holds]) => !holds).map(([name]) => name);
}

/** How far a design is from the limits: 0 where all are held; what is missed counts most. */
function badness(metrics: CoverMetrics, misses: readonly string[], stray: number): number {
  return (
    10 * misses.length +
    100 * Math.max(0, 0.998 - metrics.cover) +
    5 * Math.max(0, metrics.widestBareMm - 0.2) +
    200 * metrics.outside +
    Math.max(0, metrics.densest - 9) +
    0.5 * Math.max(0, metrics.layersMost - 7) +
    50 * metrics.short +
    1.5 * stray +
    2 * Math.max(0, metrics.jumps + metrics.trims)
  );
}

/** Stitches of a piece where `move` puts its places; the needle leaves towards `leaveAt`. */
export function sewPiece(
  sewer: Sewer,
  plan: PiecePlan,
  { cloth, capMm }: GlyphSize,
  move: (place: Place) => Place,
  back: (place: Place) => Place,
  leaveAt: Place | readonly Place[],
): void {
  const { pullMm, underlayLayers } = CLOTHS[cloth];
  if (plan.how === "fill") {
    rowFill(
      sewer,
      { rings: plan.rings.map((ring) => ring.map(move)) },
      { angleDeg: plan.rowsDeg, pullMm: pullMm + plan.moreMm, underlay: "edge" },
    );
    return;
  }
  if (plan.parts === null) return;
  for (const thick of plan.parts.thick) {
    const underlay = underlayLayers > 1 ? "double" : "full";
    rowFill(sewer, { rings: thick.map((ring) => ring.map(move)) }, { angleDeg: 45, pullMm, underlay });
  }
  for (const line of plan.parts.thin) runPasses(sewer, line, move);
  sewColumns(
    sewer,
    plan.parts.columns.map(({ places, closed, halfMm }) => ({
      places: places.map(move),
      closed,
      halfMm,
      startEnd: "square",
      endEnd: "square",
    })),
    {
      pullMm: pullMm + plan.moreMm,
      pitchMm: plan.pitchMm ?? undefined,
      leaveAt,
      clip: (x, y) => plan.room.isInside(back([x, y])),
      splitMm: CLOTHS[cloth].splitSatinMm,
      underlay: capMm < 8 ? "light" : "full",
    },
  );
}

const still = (place: Place): Place => place;

/** Room for ties: a smaller piece (a dot) is measured as it is sewn after its letter, over a short move without ties. */
const TIED_MM2 = 6;

/** A piece sewn by itself and measured. */
export function measurePiece(
  plan: PiecePlan,
  size: GlyphSize,
  mask: ShapeMask = maskOfRings(plan.rings),
): CoverMetrics {
  return measureCover(sewnAlone(plan, size), mask, { pullMm: CLOTHS[size.cloth].pullMm });
}

/** A piece sewn by itself, with what it misses; travel on top is counted where it misses nothing. */
interface Trial {
  readonly plan: PiecePlan;
  readonly metrics: CoverMetrics;
  readonly misses: readonly string[];
  readonly stray: number;
}

/** Tries a plan on the raster at hand, and where it misses by little on a finer one. */
function trialOf(
  plan: PiecePlan,
  { cloth, capMm }: GlyphSize,
  mask: ShapeMask,
  fine: () => ShapeMask,
): Trial {
  const sewn = sewnAlone(plan, { cloth, capMm });
  const { pullMm } = CLOTHS[cloth];
  let metrics = measureCover(sewn, mask, { pullMm });
  let misses = missedLimits(metrics);
  if (misses.length > 0 && metrics.cover > 0.99) {
    metrics = measureCover(sewn, fine(), { pullMm });
    misses = missedLimits(metrics);
  }
  const stray = misses.length > 0 ? 0 : strayStitches(threadRuns(sewn), mask);
  return { plan: { ...plan, misses }, metrics, misses, stray };
}

function sewnAlone(plan: PiecePlan, size: GlyphSize): Stitches {
  const sewer = new Sewer();
  const { right, bottom } = boxOfRings(plan.rings);
  sewPiece(sewer, plan, size, still, still, [right + 1, Math.max(0, bottom)]);
  const sewn = sewer.finish();
  return areaOfRings(plan.rings) < TIED_MM2 ? withoutTies(sewn) : sewn;
}

/** The stitches of a piece less the three of its tie-in and the three of its tie-off. */
function withoutTies({ kind, x, y }: Stitches): Stitches {
  const first = kind.indexOf(STITCH);
  if (first < 0 || kind.length - first < 12) return { kind, x, y };
  const last = kind.lastIndexOf(STITCH);
  const keep = (i: number): boolean => i < first || (i >= first + 3 && i <= last - 3);
  return {
    kind: kind.filter((_, i) => keep(i)),
    x: x.filter((_, i) => keep(i)),
    y: y.filter((_, i) => keep(i)),
  };
}

/** A plan whose bare spots are sewn by short columns of their own; null where there is none. */
function patchedPlan(plan: PiecePlan, size: GlyphSize, mask: ShapeMask): PiecePlan | null {
  if (plan.parts === null) return null;
  const { pullMm, smallestColumnMm } = CLOTHS[size.cloth];
  const patches = patchesOver(sewnAlone(plan, size), mask, smallestColumnMm - 2 * pullMm);
  if (patches.length === 0) return null;
  return { ...plan, parts: { ...plan.parts, columns: [...plan.parts.columns, ...patches] } };
}

/** A piece by one of `TRIES`, not measured yet; null where nothing of it can be sewn. */
export function tryPiece(
  rings: Rings,
  { cloth }: GlyphSize,
  index: number,
  room?: OutlineRays,
): PiecePlan | null {
  const { pullMm, smallestColumnMm } = CLOTHS[cloth];
  const { moreMm = 0, pitchMm = null, ...taken } = TRIES[index]!;
  const parts = columnsOf(rings, {
    smallestColumnMm: smallestColumnMm - 2 * pullMm,
    widestColumnMm: WIDEST_SATIN_MM[cloth],
    ...taken,
  });
  if (parts.columns.length + parts.thick.length + parts.thin.length === 0) return null;
  return {
    rings,
    room: moreMm === 0 && room !== undefined ? room : outlineRays(grownRings(rings, pullMm + moreMm)),
    how: "satin",
    parts,
    rowsDeg: ROWS[0][0],
    moreMm,
    pitchMm,
    tried: index,
    misses: [],
  };
}

/**
 * How a piece is best sewn at a size: the tries in turn, from `first` on where an earlier size knows which did well.
 * Where no columns hold the limits a fill is tried; where that does not either, it is refused.
 */
export function planPiece(rings: Rings, size: GlyphSize, first: number | null = null): PiecePlan {
  const { pullMm } = CLOTHS[size.cloth];
  const room = outlineRays(grownRings(rings, pullMm));
  const mask = maskOfRings(rings, coarse(size.capMm));
  let fineMask: ShapeMask | null = null;
  const fine = (): ShapeMask => (fineMask ??= maskOfRings(rings, { marginMm: 1 }));
  let good = 0;
  let patched = 0;
  let best = null as PiecePlan | null;
  let bestBadness = Infinity;
  const offer = ({ plan, metrics, misses, stray }: Trial): void => {
    const bad = badness(metrics, misses, stray);
    if (bad >= bestBadness) return;
    best = plan;
    bestBadness = bad;
  };
  const settings = size.filled === true ? [] : TRIES.keys();
  const order = first === null || first < 0 ? settings : [first, ...settings];
  const tried = new Set<string>();
  for (const index of order) {
    const plan = tryPiece(rings, size, index, room);
    if (plan === null) continue;
    // Most settings change nothing in most letters.
    const same = JSON.stringify([plan.parts, plan.moreMm, plan.pitchMm]);
    if (tried.has(same)) continue;
    tried.add(same);
    let trial = trialOf(plan, size, mask, fine);
    offer(trial);
    if (
      trial.misses.length > 0 &&
      trial.misses.every((name) => PATCHABLE.has(name)) &&
      patched < PATCHED_TRIES
    ) {
      patched++;
      const next = patchedPlan(plan, size, fine());
      if (next !== null) offer((trial = trialOf(next, size, fine(), fine)));
    }
    // Travel on top and cuts are within the limits and ugly all the same: a few more settings are tried then.
    const { metrics, misses, stray } = trial;
    const clean = stray === 0 && metrics.jumps + metrics.trims === 0;
    if (misses.length === 0 && (clean || ++good > MORE_TRIES)) break;
  }
  if (best !== null && best.misses.length === 0) return best;
  let misses: string[] = [];
  let fill: PiecePlan | null = null;
  for (const [rowsDeg, moreMm] of ROWS) {
    fill = {
      rings,
      room,
      how: "fill",
      parts: null,
      rowsDeg,
      moreMm,
      pitchMm: null,
      tried: -1,
      misses: [],
    };
    misses = missedByFill(measurePiece(fill, size, fineMask ?? maskOfRings(rings)));
    if (misses.length === 0) return fill;
  }
  return { ...(best ?? fill!), how: "refused", misses: best?.misses ?? misses };
}
