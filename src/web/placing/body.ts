import type { HoopView, PointMm, PointPx } from "#core/placing";
import {
  type By,
  type Give,
  inPhoto,
  isComplete,
  isTouched,
  type Known,
  type Mark,
  type MarkKind,
  type Marks,
  type Side,
} from "./marks";
import type { OpenedPhoto } from "./photo-messages";
import { pairsInBoth, type SecondBody, type SecondPhoto } from "./second-photo";

/** The request that a placing makes of what was seen and touched; null while something is missing. */

/** A distance by tape as far as it was read; null until a number was typed. */
export interface TapeReading {
  readonly from: Side;
  readonly alongMm: number | null;
  readonly distanceMm: number | null;
}

type WholeReading = TapeReading & { readonly alongMm: number; readonly distanceMm: number };

export const isRead = (reading: TapeReading): reading is WholeReading =>
  reading.alongMm !== null && reading.distanceMm !== null;

export type Way = "markers" | "lines" | "tape";
export type ClothTop = "away" | "near" | "left" | "right";
export type EdgesPx = Readonly<Record<Side, readonly PointPx[]>>;

/** A place of the sewn part: where it is in the design, and where it was touched on the cloth. */
export interface AgainTouch {
  readonly design: PointMm;
  readonly at: PointMm | null;
  /** What was read by tape, where there is no photo. */
  readonly tape: SewnByTape | null;
}

/** A place of the sewn part by two distances, each from an inner side of the hoop; null until it was read. */
export interface SewnByTape {
  readonly across: "left" | "right";
  readonly acrossMm: number | null;
  readonly up: "near" | "far";
  readonly upMm: number | null;
}

/** The last good stitch: its number, touched in the photo, or touched on the drawn design (by tape). */
export type Restart =
  { readonly stitch: number } | { readonly at: PointMm } | { readonly design: PointMm } | null;

export interface Seen {
  readonly way: Way;
  readonly opened: OpenedPhoto | null;
  readonly view: HoopView | null;
  /** A photo more from another side, that tells how deep the cloth lies; null without one. */
  readonly second: SecondPhoto | null;
  readonly phoneId: string | null;
  readonly taughtHoopId: string | null;
  readonly edges: EdgesPx | null;
  readonly clothBelowMm: number;
  /** How exactly a tape was read: standard deviation, mm. */
  readonly tapeMm: number;
  readonly inner: { readonly widthMm: number; readonly heightMm: number } | null;
}

export interface Told {
  readonly machineId: string;
  readonly personId: string | null;
  readonly aid: string | null;
  readonly give: Give;
}

export interface Nudge {
  readonly xMm: number;
  readonly yMm: number;
  readonly deg: number;
}

export const NO_NUDGE: Nudge = { xMm: 0, yMm: 0, deg: 0 };

export function seenBody(seen: Seen): Marks["seen"] | null {
  if (seen.way === "tape") return { way: "tape", inner: seen.inner, spreadMm: seen.tapeMm };
  const { opened, view, phoneId } = seen;
  if (!opened || !view) return null;
  const photo = { phoneId, photo: opened.size, focal35Mm: opened.focal35Mm };
  if (seen.way === "lines")
    return seen.edges === null
      ? null
      : {
          way: "lines",
          ...photo,
          edges: { ...copied(seen.edges) },
          inner: seen.inner,
          clothBelowMm: seen.clothBelowMm,
        };
  if (seen.taughtHoopId === null) return null;
  const second = seen.second && secondOf(view, seen.second);
  return { way: "markers", ...photo, taughtHoopId: seen.taughtHoopId, markers: markersOf(opened), second };
}

const markersOf = ({ markers }: OpenedPhoto) =>
  unique(markers.map(({ id, cornersPx }) => ({ id, cornersPx: [...cornersPx] })));

/** Null while no place was touched in the second photo. */
function secondOf(view: HoopView, second: SecondPhoto): SecondBody | null {
  const { size: photo, focal35Mm } = second.opened;
  const places = pairsInBoth(view, second);
  return places.length === 0 ? null : { photo, focal35Mm, markers: markersOf(second.opened), places };
}

const copied = (edges: EdgesPx) => ({
  left: [...edges.left],
  right: [...edges.right],
  near: [...edges.near],
  far: [...edges.far],
});

/** A marker that lies in the photo twice (a sheet of stickers beside the hoop) tells nothing: both are left out. */
export function unique<T extends { readonly id: number }>(markers: readonly T[]): T[] {
  return markers.filter((one) => markers.filter((other) => other.id === one.id).length === 1);
}

/**
 * What a line is called that the design is to be straight by: one that runs up the cloth counts as a centre line, for
 * a stripe, hem or edge is taken to run across. Kinds that a rule measures from stay as they are.
 */
export function straightKind({ asked, kind, points }: Mark, top: ClothTop): MarkKind {
  const [from, to] = [points[0], points.at(-1)];
  if (!from || !to || !asked.oneOf.includes("centre line") || kind === "collar seam") return kind;
  const [x, y] = [Math.abs(to.xMm - from.xMm), Math.abs(to.yMm - from.yMm)];
  const runsUp = top === "away" || top === "near" ? y > x : x > y;
  return runsUp ? "centre line" : kind === "centre line" && asked.oneOf.length > 1 ? "edge" : kind;
}

export function firstBody(
  told: Told,
  seen: Seen,
  on: {
    readonly marks: readonly Mark[];
    readonly readings: readonly (readonly TapeReading[])[];
    readonly top: ClothTop;
    readonly nudge: Nudge;
    readonly by: By;
  },
): Marks | null {
  const how = seenBody(seen);
  if (!how) return null;
  const { top, by, nudge } = on;
  const common = { kind: "first" as const, ...told, seen: how, by, top, nudge: { ...nudge } };
  if (seen.way === "tape") {
    const touches = on.marks.flatMap(({ kind }, at) => {
      const readings = (on.readings[at] ?? []).filter(isRead);
      return readings.length === 0 ? [] : [{ kind, points: [], readings: [...readings], found: null }];
    });
    const enough = on.marks.every(
      ({ asked }, at) => asked.optional || (on.readings[at] ?? []).filter(isRead).length >= asked.leastPoints,
    );
    return enough ? { ...common, touches } : null;
  }
  if (!isComplete(on.marks)) return null;
  const view = seen.view!;
  return {
    ...common,
    touches: on.marks.filter(isTouched).map((mark) => ({
      kind: straightKind(mark, on.top),
      points: inPhoto(view, mark.points),
      readings: [],
      found: mark.found,
    })),
  };
}

/** Fewer touches fit without a check on any of them. */
export const LEAST_AGAIN = 3;

export function againBody(
  told: Told,
  seen: Seen,
  on: { readonly touches: readonly AgainTouch[]; readonly restart: Restart },
): Marks | null {
  const how = seenBody(seen);
  const done = on.touches.filter((one): one is AgainTouch & { at: PointMm } => one.at !== null);
  if (!how || done.length < LEAST_AGAIN) return null;
  const { restart } = on;
  const common = { kind: "again" as const, ...told, seen: how };
  if (seen.way === "tape")
    return {
      ...common,
      touches: done.map(({ design, tape }) => ({ design, points: [], readings: readingsOf(tape) })),
      restart: restart !== null && "at" in restart ? null : restart,
    };
  if (!seen.view) return null;
  const view = seen.view;
  return {
    ...common,
    touches: done.map(({ design, at }) => ({ design, points: inPhoto(view, [at]), readings: [] })),
    restart: restart !== null && "at" in restart ? { point: inPhoto(view, [restart.at])[0]! } : restart,
  };
}

/** Two distances from sides next to each other meet in one place; where along a side they were taken does not matter. */
const readingsOf = (tape: SewnByTape | null): WholeReading[] =>
  tape === null || tape.acrossMm === null || tape.upMm === null
    ? []
    : [
        { from: tape.across, alongMm: 0, distanceMm: tape.acrossMm },
        { from: tape.up, alongMm: 0, distanceMm: tape.upMm },
      ];

/** The taught hoop with most of its markers in the photo; null where none has any. */
export function hoopInPhoto(
  taught: Known["taughtHoops"],
  markers: readonly { readonly id: number }[],
): { readonly id: string; readonly seen: number; readonly of: number } | null {
  const ids = new Set(markers.map(({ id }) => id));
  const found = taught
    .filter((one) => one.taught !== null)
    .map((one) => ({
      id: one.id,
      seen: one.markerIds.filter((id) => ids.has(id)).length,
      of: one.markerIds.length,
    }))
    .sort((one, other) => other.seen - one.seen)[0];
  return found && found.seen > 0 ? found : null;
}
