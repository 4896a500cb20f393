import type { Finding } from "#core/base";
import { areaOfRings, cutRings, grownRings, piecesOfRings, type Rings, unitedRings } from "../rings";
import type { Place } from "../spine";
import { sampleBoundary } from "./boundary";
import { type AxisLine, cut, directionOf, distance, reversedLine } from "./line";
import type { MedialColumn, MedialOptions, MedialParts, ThinLine } from "./medial";
import { outlineRays, type OutlineRays } from "./outline-rays";
import { lengthOf, mergeJunctions, pruneTwigs } from "./prune";
import { skeletonOf } from "./skeleton";
import { type AxisStroke, type StrokeEnding, strokesOf } from "./strokes";
import { measured } from "./widths";

/** What `columnsOf` takes when nothing else is asked for. */
export const MEDIAL_DEFAULTS = {
  sampleMm: 0.14,
  residual: 1.75,
  protrusion: 0.35,
  throughDeg: 50,
  cornerDeg: 68,
  buttDeg: 105,
  smoothing: 0.5,
} as const;

/** A column narrower than wanted by up to this on each side is widened; a narrower one is a line. */
const WIDEN_MM = 0.12;
const LEAST_TWIG_MM = 0.35;
const OVERLAP_MM = 0.4;
/** Share of the widest column by which a part stands out of an area that is filled. */
const STANDS_OUT = 0.6;

/**
 * Takes a shape apart for sewing: satin columns along its medial axis, areas too wide for satin, lines too narrow
 * for it (docs/models/stitches.md). Rings may touch and cross; by the nonzero rule unless they are simple.
 */
export function columnsOf(rings: Rings, options: MedialOptions): MedialParts {
  const columns: MedialColumn[] = [];
  const thick: Rings[] = [];
  const thin: ThinLine[] = [];
  const findings: Finding[] = [];
  for (const piece of piecesOfRings(unitedRings(rings))) {
    const { wide, rest } = withoutWide(piece, options.widestColumnMm);
    thick.push(...wide);
    const whole = wide.length > 0 && rest.length > 0 ? outlineRays(piece) : null;
    for (const part of rest) {
      const found = columnsOfPiece(part, options, whole);
      columns.push(...found.columns);
      thin.push(...found.thin);
      if (found.columns.length + found.thin.length === 0) {
        findings.push({
          code: "detail-too-small",
          level: "warning",
          message: `A detail of ${areaOfRings(part).toFixed(2)} mm² is too small to sew and was left out.`,
        });
      }
    }
  }
  return { columns, thick, thin, findings };
}

/** Cuts out what circles wider than satin fit in (a morphological opening); slivers beside it go with it. */
function withoutWide(piece: Place[][], widestMm: number): { wide: Place[][][]; rest: Place[][][] } {
  const core = grownRings(piece, -widestMm / 2);
  if (core.length === 0) return { wide: [], rest: [piece] };
  const opened = grownRings(core, widestMm / 2 + 0.02);
  const left = piecesOfRings(cutRings(piece, opened));
  // What is left in corners is filled with the area; only what stands well out of it stays a part.
  const near = grownRings(opened, STANDS_OUT * widestMm);
  const parts = left.filter((part) => cutRings(part, near).length > 0);
  if (parts.length === 0) return { wide: [piece], rest: [] };
  const wide = piecesOfRings(cutRings(piece, parts.flat()));
  return { wide, rest: parts };
}

function columnsOfPiece(
  piece: Rings,
  options: MedialOptions,
  whole: OutlineRays | null,
): { readonly columns: MedialColumn[]; readonly thin: ThinLine[] } {
  const {
    smallestColumnMm,
    sampleMm = MEDIAL_DEFAULTS.sampleMm,
    residual = MEDIAL_DEFAULTS.residual,
    protrusion = MEDIAL_DEFAULTS.protrusion,
    throughDeg = MEDIAL_DEFAULTS.throughDeg,
    cornerDeg = MEDIAL_DEFAULTS.cornerDeg,
    buttDeg = MEDIAL_DEFAULTS.buttDeg,
    smoothing = MEDIAL_DEFAULTS.smoothing,
  } = options;
  const boundary = sampleBoundary(piece, sampleMm);
  const skeleton = skeletonOf(boundary, residual);
  if (skeleton.branches.size === 0) return dotOf(piece, smallestColumnMm);
  pruneTwigs(skeleton, protrusion, LEAST_TWIG_MM);
  mergeJunctions(skeleton, 1);
  pruneTwigs(skeleton, protrusion, LEAST_TWIG_MM);
  const rays = outlineRays(piece);
  const strokes = strokesOf(skeleton, boundary, { throughDeg, cornerDeg, buttDeg, isInside: rays.isInside });
  const lines = strokes.map((stroke) => measured(stroke, stroke.closed, rays, smoothing));
  const hosts = new Map<number, number>();
  strokes.forEach((stroke, i) => stroke.through.forEach((knot) => hosts.set(knot, i)));
  const columns: MedialColumn[] = [];
  const thin: ThinLine[] = [];
  strokes.forEach((stroke, i) => {
    const ended = withEnds(stroke, lines[i]!, (knot) => lines[hosts.get(knot)!] ?? null, rays, whole);
    const widths = [...lines[i]!.radii].sort((a, b) => a - b);
    const usual = 2 * widths[Math.floor(widths.length * 0.7)]!;
    if (usual < smallestColumnMm - 2 * WIDEN_MM) {
      if (lengthOf(ended.places) > 0.6) thin.push(thinLine(ended.places, stroke.closed, usual));
      return;
    }
    const onItself = [stroke.start, stroke.end].some(
      (ending) => ending.kind === "host" && hosts.get(ending.knot) === i,
    );
    const ends = [stroke.start, stroke.end].map(({ kind }) => (kind === "free" ? "free" : "joint"));
    const halves = onItself ? cutLoop(ended, stroke.start.kind === "host") : [ended];
    halves.forEach((line, n) =>
      columns.push({
        places: line.places,
        closed: stroke.closed,
        halfMm: line.radii.map((half) => (half < 0.03 ? half : Math.max(half, smallestColumnMm / 2))),
        start: n === 0 ? ends[0]! : "free",
        end: n === halves.length - 1 ? ends[1]! : "free",
      }),
    );
  });
  return { columns, thin };
}

/** Two halves of a line that ends on itself: what is a body and what ends on it are columns of their own. */
function cutLoop(line: AxisLine, atStart: boolean): AxisLine[] {
  const given = atStart ? reversedLine(line) : line;
  const total = lengthOf(given.places);
  const half = given.radii.at(-1)!;
  const end = given.places.at(-1)!;
  const body = withoutNear(given, end);
  const meets = body.places.reduce((a, b) => (distance(b, end) < distance(a, end) ? b : a));
  const from = lengthOf(given.places.slice(0, given.places.indexOf(meets) + 1));
  if (total - from < 6 * half) return [line];
  const middle = (from + total) / 2;
  const first = cut(given, 0, middle + OVERLAP_MM / 2 + 0.25 * half);
  const second = cut(given, middle - OVERLAP_MM / 2 - 0.25 * half, total);
  // Ends that are narrow to nothing are not carried on: the halves overlap so far and no more.
  const closedOff = ({ places, radii }: AxisLine, last: boolean): AxisLine => {
    const out = [...radii];
    out[last ? out.length - 1 : 0] = 0.02;
    return { places, radii: out };
  };
  const parts = [closedOff(first, true), closedOff(second, false)];
  return atStart ? parts.reverse().map(reversedLine) : parts;
}

/** A shape with no axis to speak of is a dot: one short column through its middle, the longer way. */
function dotOf(piece: Rings, smallestColumnMm: number): { columns: MedialColumn[]; thin: ThinLine[] } {
  const rays = outlineRays(piece);
  const ring = piece[0]!;
  let [sum, cx, cy] = [0, 0, 0];
  ring.forEach((a, i) => {
    const b = ring[(i + 1) % ring.length]!;
    const cross = a[0] * b[1] - b[0] * a[1];
    sum += cross;
    cx += (a[0] + b[0]) * cross;
    cy += (a[1] + b[1]) * cross;
  });
  if (Math.abs(sum) < 1e-6) return { columns: [], thin: [] };
  const middle: Place = [cx / (3 * sum), cy / (3 * sum)];
  const across = (angle: number): number => {
    const d: Place = [Math.cos(angle), Math.sin(angle)];
    return rays.reach(middle, d, 50) + rays.reach(middle, [-d[0], -d[1]], 50);
  };
  const angles = Array.from({ length: 12 }, (_, i) => (i * Math.PI) / 12);
  // Round dots lie flat: the longest way wins only when it is clearly longer.
  const longest = angles.reduce((a, b) => (across(b) > across(a) * 1.03 ? b : a), 0);
  const length = across(longest);
  const half = across(longest + Math.PI / 2) / 2;
  if (2 * half < smallestColumnMm - 2 * WIDEN_MM || length < 0.6) return { columns: [], thin: [] };
  const d: Place = [Math.cos(longest), Math.sin(longest)];
  const reach = length / 2 + 0.2;
  const count = Math.max(4, Math.round((2 * reach) / 0.1));
  const places = Array.from({ length: count + 1 }, (_, i): Place => {
    const t = -reach + (2 * reach * i) / count;
    return [middle[0] + t * d[0], middle[1] + t * d[1]];
  });
  const width = Math.max(half, smallestColumnMm / 2);
  return {
    columns: [{ places, closed: false, halfMm: places.map(() => width), start: "free", end: "free" }],
    thin: [],
  };
}

function thinLine(places: readonly Place[], closed: boolean, widthMm: number): ThinLine {
  // One thread is 0.4 mm wide; passes beside each other make it bolder.
  const passes = widthMm > 0.45 ? 3 : widthMm > 0.25 ? 2 : 1;
  return { places, closed, widthMm, passes };
}

/** The line with its ends brought to what they end on. */
function withEnds(
  stroke: AxisStroke,
  line: AxisLine,
  hostOf: (knot: number) => AxisLine | null,
  rays: OutlineRays,
  whole: OutlineRays | null,
): AxisLine {
  if (stroke.closed) return line;
  const atEnd = (given: AxisLine, ending: StrokeEnding): AxisLine => {
    if (ending.kind === "knot") return given;
    const host = ending.kind === "host" ? hostOf(ending.knot) : null;
    if (host === null) return toOutline(given, rays, whole);
    return toHost(given, host === line ? withoutNear(line, given.places.at(-1)!) : host);
  };
  return reversedLine(atEnd(reversedLine(atEnd(line, stroke.end)), stroke.start));
}

/** A line that ends on itself ends on a place further along it, not on its own end. */
function withoutNear(line: AxisLine, end: Place): AxisLine {
  const atStart = distance(end, line.places[0]!) < distance(end, line.places.at(-1)!);
  const half = atStart ? line.radii[0]! : line.radii.at(-1)!;
  const skip = Math.min(Math.round((4 * half) / 0.1), Math.floor(line.places.length / 2));
  const [from, to] = atStart ? [skip, line.places.length] : [0, line.places.length - skip];
  return { places: line.places.slice(from, to), radii: line.radii.slice(from, to) };
}

/**
 * A free end goes on straight to the outline, its width held, as far as what can be seen straight back along it, and
 * then narrows to nothing: whatever lies beyond belongs to another stroke.
 */
function toOutline(line: AxisLine, rays: OutlineRays, whole: OutlineRays | null): AxisLine {
  const length = lengthOf(line.places);
  const half = steadyHalf(line, length);
  const from = line.places.at(-1)!;
  const direction = directionOf(line, Math.max(0, length - Math.max(0.5, 1.2 * half)), length);
  const most = 3 * half + 0.4;
  let reach = 0;
  for (const side of [-0.85, -0.45, 0, 0.45, 0.85]) {
    const place: Place = [from[0] - direction[1] * side * half, from[1] + direction[0] * side * half];
    if (!rays.isInside(place)) continue;
    const way = rays.reach(place, direction, most);
    if (way < most) reach = Math.max(reach, way);
  }
  const tip: Place = [from[0] + (reach + 0.1) * direction[0], from[1] + (reach + 0.1) * direction[1]];
  // Where an area to be filled was cut off, the column reaches into it.
  const more = whole?.isInside(tip) === true ? OVERLAP_MM : 0.05;
  const out = extended(line, direction, reach + more, half);
  const [x, y] = out.places.at(-1)!;
  return {
    places: [...out.places, [x + 0.02 * direction[0], y + 0.02 * direction[1]]],
    radii: [...out.radii, 0.02],
  };
}

/** The half width near an end, before what the end itself does to it. */
function steadyHalf({ places, radii }: AxisLine, length: number): number {
  const last = radii.length - 1;
  const step = length / Math.max(1, places.length - 1) || 0.1;
  const back = Math.max(0, last - Math.round(Math.max(0.3, 0.5 * radii[last]!) / step));
  return Math.min(Math.max(radii[back]!, radii[last]!), 1.3 * radii[last]! + 0.1);
}

function extended(line: AxisLine, direction: Place, byMm: number, half: number): AxisLine {
  const from = line.places.at(-1)!;
  const count = Math.max(1, Math.ceil(byMm / 0.1));
  const places = Array.from({ length: count }, (_, i): Place => {
    const t = (byMm * (i + 1)) / count;
    return [from[0] + t * direction[0], from[1] + t * direction[1]];
  });
  return { places: [...line.places, ...places], radii: [...line.radii, ...places.map(() => half)] };
}

/** An end on another stroke: cut back to where its own direction is clear, then straight on to that stroke's middle. */
function toHost(line: AxisLine, host: AxisLine): AxisLine {
  const length = lengthOf(line.places);
  const half = steadyHalf(line, length);
  const back = Math.min(0.9 * half, 0.5 * length);
  const kept = cut(line, 0, length - back);
  const keptLength = length - back;
  const direction = directionOf(kept, Math.max(0, keptLength - Math.max(0.3, 0.8 * half)), keptLength);
  const from = kept.places.at(-1)!;
  let best = Infinity;
  for (let i = 1; i < host.places.length; i++) {
    const [a, b] = [host.places[i - 1]!, host.places[i]!];
    const [ex, ey] = [b[0] - a[0], b[1] - a[1]];
    const across = direction[0] * ey - direction[1] * ex;
    if (Math.abs(across) < 1e-9) continue;
    const t = ((a[0] - from[0]) * ey - (a[1] - from[1]) * ex) / across;
    const u = ((a[0] - from[0]) * direction[1] - (a[1] - from[1]) * direction[0]) / across;
    if (t > -0.5 && u >= 0 && u <= 1 && Math.abs(t) < Math.abs(best)) best = t;
  }
  const end = line.places.at(-1)!;
  const limit = 2.2 * back + 1.2 * half + 0.5;
  if (best > 0 && best < limit) return extended(kept, direction, best, half);
  // It runs beside the host: straight to the host's nearest place.
  const nearest = host.places.reduce((a, b) => (distance(b, end) < distance(a, end) ? b : a));
  const way = distance(from, nearest);
  if (way < 1e-3) return kept;
  return extended(kept, [(nearest[0] - from[0]) / way, (nearest[1] - from[1]) / way], way, half);
}
