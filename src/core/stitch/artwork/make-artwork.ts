import type { Finding } from "#core/base";
import { labFromHex } from "#core/thread";
import { type Cloth, CLOTHS } from "../cloth";
import type { ColumnStroke } from "../columns";
import { type Making, type MakingObject, type MakingPart, sewMaking, splitMmOn } from "../making/making";
import { columnsOf } from "../medial/columns-of";
import { maskOfRings, measureStitches, type ShapeMask, type StitchMetrics } from "../metrics";
import { refuseStitches } from "../refusals";
import {
  areaOfRings,
  boxOfRings,
  commonRings,
  cutRings,
  grownRings,
  piecesOfRings,
  ringLength,
  type Rings,
} from "../rings";
import type { Place } from "../spine";
import type { Stitches } from "../stitches";
import type { Artwork } from "./artwork";
import { artworkBadness, missedByArtwork } from "./limits";
import { fewerColours, type Layer, layersAt, paintedBox, partsOf, seenLayers } from "./layers";

export interface ArtworkOptions {
  readonly widthMm: number;
  readonly cloth?: Cloth;
  /** At most so many colours; 12 when left out. */
  readonly mostColours?: number;
  /** Rows at this angle, in degrees; each part its own when left out. */
  readonly angleDeg?: number;
  readonly fill?: "rows" | "along the edge";
  /** A picture's ground, or a white rectangle under all of a drawing, is cloth and not thread. `keep` sews it. */
  readonly ground?: "leave out" | "keep";
}

export interface MadeArtwork {
  readonly making: Making;
  readonly stitches: Stitches;
  readonly heightMm: number;
  readonly findings: readonly Finding[];
}

const NARROWEST_MM = 4;
/** As light as paper. */
const WHITE_L = 92;
const WIDEST_MM = 500;
/** Rows of neighbouring parts at angles apart, so that they are told from each other by their light. */
const ANGLES = [20, 110, 65, 155, 0, 90, 45, 135];

/**
 * Makes artwork into a design `widthMm` wide, about its own middle: what is seen of each colour, in as few parts as
 * lying over one another allows; wide areas filled with rows, thin ones satin along their middle, hairlines run.
 * @throws `artwork-not-possible` for a width out of reach or artwork with nothing to sew
 */
export function makeArtwork(artwork: Artwork, options: ArtworkOptions): MadeArtwork {
  const { widthMm, cloth = "woven", mostColours = 12, ground = "leave out" } = options;
  if (!(NARROWEST_MM <= widthMm && widthMm <= WIDEST_MM))
    throw refuseStitches("artwork-not-possible", `A width of ${widthMm} mm cannot be sewn.`, [
      { field: "width", found: `${widthMm} mm`, expected: `${NARROWEST_MM} to ${WIDEST_MM} mm` },
    ]);
  const box = paintedBox(artwork);
  if (box === null)
    throw refuseStitches("artwork-not-possible", "There is nothing painted in the artwork.", [
      { field: "artwork", found: "no filled or stroked shape", expected: "at least one" },
    ]);
  const findings: Finding[] = [...artwork.findings];
  let { painted } = artwork;
  if (ground === "leave out" && painted.length > 1 && isGround(artwork, box)) {
    const kept = painted.slice(1);
    const inner = paintedBox({ ...artwork, painted: kept });
    if (inner) {
      findings.push({ code: "ground-left-out", level: "note", message: `The ground (${painted[0]!.colour}) is taken for the cloth and not sewn.`, advice: "Keep the ground to have it sewn." }); // prettier-ignore
      painted = kept;
      Object.assign(box, inner);
    }
  }
  const factor = widthMm / (box.right - box.left);
  const middle: Place = [(box.left + box.right) / 2, (box.bottom + box.top) / 2];
  const { layers, merged } = fewerColours(layersAt(painted, factor, middle), mostColours);
  if (merged > 0)
    findings.push({ code: "colours-joined", level: "note", message: `${merged} ${merged === 1 ? "colour is" : "colours are"} sewn with the nearest other one.` }); // prettier-ignore
  const seen = seenLayers(layers);
  const parts = partsOf(seen).map((part, index): MakingPart => {
    const angleDeg = options.angleDeg ?? ANGLES[index % ANGLES.length]!;
    const objects = part.flatMap((layer) => objectsOf(layer, { cloth, angleDeg, fill: options.fill ?? "rows" }, findings)); // prettier-ignore
    return { colour: part[0]!.colour, objects: nearestFirst(objects) };
  });
  const making: Making = { cloth, parts: parts.filter((part) => part.objects.length > 0) };
  if (making.parts.length === 0)
    throw refuseStitches(
      "artwork-not-possible",
      `At ${widthMm} mm everything in the artwork is too small to sew.`,
      [{ field: "width", found: `${widthMm} mm`, expected: "a larger width" }],
    );
  return {
    making,
    stitches: sewMaking(making),
    heightMm: (box.top - box.bottom) * factor,
    findings: joined(findings),
  };
}

/** Whether the lowest thing is a picture's ground, or a white rectangle that reaches as far as all. */
function isGround({ painted, hasGround }: Artwork, box: ReturnType<typeof boxOfRings>): boolean {
  const first = painted[0]!;
  if (first.kind !== "area") return false;
  if (hasGround) return true;
  if ((labFromHex(first.colour)?.l ?? 0) < WHITE_L) return false;
  const own = boxOfRings(first.rings);
  const slack = 0.01 * Math.max(box.right - box.left, box.top - box.bottom);
  const reaches =
    own.left <= box.left + slack && own.right >= box.right - slack && own.bottom <= box.bottom + slack && own.top >= box.top - slack; // prettier-ignore
  return reaches && areaOfRings(first.rings) > 0.97 * (own.right - own.left) * (own.top - own.bottom);
}

interface ObjectOptions {
  readonly cloth: Cloth;
  readonly angleDeg: number;
  readonly fill: "rows" | "along the edge";
}

function objectsOf(layer: Layer, options: ObjectOptions, findings: Finding[]): MakingObject[] {
  const { cloth } = options;
  const { smallestColumnMm, pullMm } = CLOTHS[cloth];
  const widest = splitMmOn(cloth);
  const { line } = layer;
  if (line && line.widthMm <= widest) {
    if (line.widthMm < smallestColumnMm - 2 * pullMm)
      return [
        { sew: "run", lines: line.lines, passes: line.widthMm > 0.45 ? 3 : line.widthMm > 0.2 ? 2 : 1 },
      ];
    const end = line.cap === "round" ? "round" : "square";
    const strokes = line.lines.flatMap(({ places, closed }) =>
      cutAtCorners(places, closed).map((piece): ColumnStroke => ({
        ...piece,
        halfMm: Math.max(line.widthMm, smallestColumnMm - pullMm) / 2,
        startEnd: end,
        endEnd: end,
      })),
    );
    return strokes.length > 0 ? [{ sew: "satin", strokes }] : [];
  }
  return piecesOfRings(layer.rings).flatMap((piece) => pieceObjects(piece, options, findings));
}

/**
 * One piece: with satin where it is thin, else all filled. Both are measured as sewn where the first misses a limit,
 * and the better one is taken.
 */
function pieceObjects(
  piece: Rings,
  { cloth, angleDeg, fill }: ObjectOptions,
  findings: Finding[],
): MakingObject[] {
  const filled = (rings: Rings): MakingObject => ({ sew: "fill", rings, lines: fill, angleDeg });
  const plain = [filled(piece)];
  const { arms, whole } = armsOf(piece, splitMmOn(cloth));
  if (arms.length === 0) return plain;
  const mask = maskOfRings(piece, { pixelMm: MEASURED_AT_MM });
  const sewn = arms.map((arm) => ({ arm, satin: satinOf(arm.grown, cloth, whole ? mask : null) }));
  const kept = sewn.filter(({ satin }) => satin.good || whole);
  if (kept.length === 0) return plain;
  const body = whole
    ? []
    : piecesOfRings(
        cutRings(
          piece,
          kept.flatMap(({ arm }) => arm.own),
        ),
      );
  const mixed = [...body.map(filled), ...kept.flatMap(({ satin }) => satin.objects)];
  const told = kept.flatMap(({ satin }) => satin.findings);
  const measured = whole ? kept[0]!.satin.metrics : measure(mixed, mask, cloth);
  // Hairlines are narrower than thread, and a fill cannot sew them.
  const isHairline = whole && mixed.every(({ sew }) => sew === "run");
  if (isHairline || (measured !== null && missedByArtwork(measured).length === 0)) {
    findings.push(...told);
    return mixed;
  }
  let [best, least] = [mixed, measured === null ? Infinity : artworkBadness(measured)];
  for (const turn of [0, 45, 90]) {
    const rows = [{ ...filled(piece), angleDeg: angleDeg + turn }];
    const sewnRows = measure(rows, mask, cloth);
    if (artworkBadness(sewnRows) < least) [best, least] = [rows, artworkBadness(sewnRows)];
    if (missedByArtwork(sewnRows).length === 0) return rows;
  }
  if (best === mixed) findings.push(...told);
  findings.push({
    code: "ragged-detail",
    level: "warning",
    message: `A detail of ${Math.round(areaOfRings(piece))} mm² does not sew cleanly at this size.`,
    advice: "Make the design larger, or draw the detail simpler.",
  });
  return best;
}

const measure = (objects: readonly MakingObject[], mask: ShapeMask, cloth: Cloth): StitchMetrics =>
  measureStitches(sewMaking({ cloth, parts: [{ colour: "#000000", objects }] }), mask, {
    pullMm: CLOTHS[cloth].pullMm,
  });

/** What is tried in turn where satin does not come out well the first time. */
const SATIN_TRIES = [
  {},
  { smoothing: 0.8 },
  { throughDeg: 38 },
  { cornerDeg: 90, smoothing: 0.35 },
  { residual: 2, protrusion: 0.5, smoothing: 0.8 },
];
const SATIN_HOPELESS = 0.93;
const MEASURED_AT_MM = 0.1;

interface Satin {
  readonly objects: MakingObject[];
  readonly findings: readonly Finding[];
  readonly metrics: StitchMetrics | null;
  /** Holds the limits. */
  readonly good: boolean;
}

/** A thin shape as satin and runs: the first try that holds the limits as sewn, else the best of them. */
function satinOf(shape: Rings, cloth: Cloth, given: ShapeMask | null): Satin {
  const { smallestColumnMm, pullMm } = CLOTHS[cloth];
  const mask = given ?? maskOfRings(shape, { pixelMm: MEASURED_AT_MM });
  let best: Satin | null = null;
  let least = Infinity;
  for (const how of SATIN_TRIES) {
    const found = columnsOf(shape, {
      smallestColumnMm: Math.max(0.6, smallestColumnMm - 2 * pullMm),
      widestColumnMm: 4 * splitMmOn(cloth),
      ...how,
    });
    const objects: MakingObject[] = [];
    if (found.thin.length > 0)
      objects.push({
        sew: "run",
        lines: found.thin,
        passes: Math.max(...found.thin.map(({ passes }) => passes)),
      });
    if (found.columns.length > 0)
      objects.push({
        sew: "satin",
        strokes: found.columns.map(({ places, closed, halfMm }) => ({ places, closed, halfMm })),
        clip: shape,
      });
    const { findings } = found;
    if (found.columns.length === 0) return { objects, findings, metrics: null, good: true };
    const metrics = measure(objects, mask, cloth);
    if (missedByArtwork(metrics).length === 0) return { objects, findings, metrics, good: true };
    const bad = artworkBadness(metrics);
    if (bad < least) [best, least] = [{ objects, findings, metrics, good: false }, bad];
    // What is far off has a shape satin is not for: no other try will do.
    if (metrics.cover < SATIN_HOPELESS) break;
  }
  return best!;
}

/** A column may be wider than satin is without splits by this factor, where the whole piece is long. */
const SPLIT_WIDER = 1.4;
const LONG = 3;
/** An arm is at least so large, and at most so round (4π · area / edge², 1 for a circle). */
const ARM_MM2 = 12;
const ARM_ROUND = 0.6;
const ARM_OVERLAP_MM = 0.5;

/**
 * A piece taken apart for satin and fill. Thin pieces are satin whole; of a wide one only what stands out as a clear
 * arm is, as a patchwork of both looks worse than one plain fill.
 */
function armsOf(piece: Rings, widestMm: number): { arms: { own: Rings; grown: Rings }[]; whole: boolean } {
  const all = { arms: [{ own: piece, grown: piece }], whole: true };
  const core = grownRings(piece, -widestMm / 2);
  if (core.length === 0) return all;
  const wide = SPLIT_WIDER * widestMm;
  if (grownRings(piece, -wide / 2).length === 0)
    return areaOfRings(piece) > LONG * wide * wide ? all : { arms: [], whole: false };
  const opened = grownRings(core, widestMm / 2 + 0.02);
  const arms = piecesOfRings(cutRings(piece, opened)).filter((part) => {
    const area = areaOfRings(part);
    const edge = part.reduce((sum, ring) => sum + ringLength(ring), 0);
    return (
      area > ARM_MM2 && (4 * Math.PI * area) / (edge * edge) < ARM_ROUND && grownRings(part, -0.6).length > 0
    );
  });
  // An arm reaches into the body a little, so that no gap shows.
  return {
    whole: false,
    arms: arms.map((own) => ({ own, grown: commonRings(grownRings(own, ARM_OVERLAP_MM), piece) })),
  };
}

const CORNER_DEGREES = 38;

/** A line cut where it turns sharply; a closed one without corners stays closed. */
function cutAtCorners(
  places: readonly Place[],
  closed: boolean,
): { places: readonly Place[]; closed: boolean }[] {
  const ring = closed ? [...places, places[0]!].filter((place, i, all) => i === 0 || place[0] !== all[i - 1]![0] || place[1] !== all[i - 1]![1]) : [...places]; // prettier-ignore
  if (ring.length < 2) return [];
  const turn = (a: Place, b: Place, c: Place): number => {
    const angle = Math.atan2(c[1] - b[1], c[0] - b[0]) - Math.atan2(b[1] - a[1], b[0] - a[0]);
    return Math.abs((Math.atan2(Math.sin(angle), Math.cos(angle)) * 180) / Math.PI);
  };
  const corners: number[] = [];
  for (let i = 1; i < ring.length - 1; i++)
    if (turn(ring[i - 1]!, ring[i]!, ring[i + 1]!) > CORNER_DEGREES) corners.push(i);
  const seam = closed && turn(ring.at(-2)!, ring[0]!, ring[1]!) > CORNER_DEGREES;
  if (closed && corners.length === 0 && !seam) return [{ places: ring, closed: true }];
  let line = ring;
  if (closed && !seam && corners.length > 0) {
    // Begin at a corner, so that the seam is no cut.
    const first = corners[0]!;
    line = [...ring.slice(first, -1), ...ring.slice(0, first + 1)];
    const shifted = corners.slice(1).map((corner) => corner - first);
    corners.splice(0, corners.length, ...shifted);
  }
  const cuts = [0, ...corners, line.length - 1];
  return cuts.slice(1).map((to, i) => ({ places: line.slice(cuts[i], to + 1), closed: false }));
}

/** Objects in an order of short ways: from each to the nearest one not yet sewn; fills before the satin on them. */
function nearestFirst(objects: readonly MakingObject[]): MakingObject[] {
  const left = objects.map((object) => ({ object, at: centreOf(object) }));
  const order: MakingObject[] = [];
  for (const sew of ["fill", "run", "satin"] as const) {
    const own = left.filter(({ object }) => object.sew === sew);
    let here = order.length > 0 ? centreOf(order.at(-1)!) : ([0, 0] as Place);
    while (own.length > 0) {
      let best = 0;
      own.forEach(({ at }, i) => {
        const far = (place: Place): number => Math.hypot(place[0] - here[0], place[1] - here[1]);
        if (far(at) < far(own[best]!.at)) best = i;
      });
      const [next] = own.splice(best, 1);
      order.push(next!.object);
      here = next!.at;
    }
  }
  return order;
}

function centreOf(object: MakingObject): Place {
  const lines = object.sew === "fill" ? object.rings : object.sew === "run" ? object.lines.map(({ places }) => places) : object.strokes.map(({ places }) => places); // prettier-ignore
  const box = boxOfRings(lines);
  return [(box.left + box.right) / 2, (box.bottom + box.top) / 2];
}

/** Findings of one kind told once, with how many there are. */
function joined(findings: readonly Finding[]): Finding[] {
  const byCode = new Map<string, { finding: Finding; times: number }>();
  for (const finding of findings) {
    const known = byCode.get(finding.code);
    if (known) known.times++;
    else byCode.set(finding.code, { finding, times: 1 });
  }
  return [...byCode.values()].map(({ finding, times }) =>
    times === 1 ? finding : { ...finding, message: `${finding.message} (and ${times - 1} more)` },
  );
}
