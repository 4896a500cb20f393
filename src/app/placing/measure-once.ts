import {
  type GridPoint,
  markerCornersMm,
  type MarkerMeasurement,
  markersOnSheet,
  measureLens,
  type PointMm,
  SHEET_FIRST_ID,
  teachMarkers,
} from "#core/placing";
import type { Asked, Rows } from "#contract";
import type { Finding } from "#core/base";
import { gridOf } from "../paper/placing-sheets";
import { beliefFor } from "./lens-belief";
import type { Phone, TaughtHoop } from "./records";
import { placingRefusals } from "./refusals";

/** What is measured once, from photos of the grid sheet: a phone's lens, and where a hoop's markers are. */

export type LensAsked = Asked<Rows["measureLens"]>["body"];
type TeachAsked = Asked<Rows["teachHoop"]>["body"];
type Paper = "A4" | "Letter";
type Seen = LensAsked["photos"][number]["markers"];
type Lens = NonNullable<Phone["lens"]>;
type Taught = NonNullable<TaughtHoop["taught"]>;
export interface MeasuredOnce {
  readonly lens: Lens;
  readonly hoop: Taught;
}

/** The sheet's marks found in a photo, the sheet as large as it came out of the printer. */
function gridIn(markers: Seen, paper: Paper, printed: LensAsked["printed"]): GridPoint[] {
  const scale = printed.measuredMm / printed.lineMm;
  const laid = new Map(gridOf(paper).markers.map((marker) => [marker.id, markerCornersMm(marker)]));
  return markers.flatMap(({ id, cornersPx }) =>
    (laid.get(id) ?? []).map(({ xMm, yMm }, corner) => ({
      sheet: { xMm: scale * xMm, yMm: scale * yMm },
      photo: cornersPx[corner]!,
    })),
  );
}

/**
 * @throws Refusals of core/placing (too few marks, no such view); placing-marks-invalid for photos of different sizes.
 */
export function lensFromGrids(asked: LensAsked, paper: Paper, atMs: number): Lens {
  const [first] = asked.photos as [LensAsked["photos"][number]];
  const { photo } = first;
  const other = asked.photos.find(
    (one) => one.photo.widthPx !== photo.widthPx || one.photo.heightPx !== photo.heightPx,
  );
  if (other)
    throw placingRefusals(
      "placing-marks-invalid",
      `The photos are of different sizes: ${photo.widthPx} × ${photo.heightPx} and ${other.photo.widthPx} × ${other.photo.heightPx} px. Take all with one camera, held the same way.`,
    );
  const grids = asked.photos.map((one) => gridIn(one.markers, paper, asked.printed));
  const { belief, terms, leftPx, findings } = measureLens(grids, beliefFor(null, photo, first.focal35Mm));
  return {
    lens: belief.lens,
    photo,
    covariance: belief.covariance.map((row) => [...row]),
    terms,
    leftPx,
    photos: asked.photos.length,
    atMs,
    findings: [...findings] as Lens["findings"],
  };
}

export interface TaughtAsked {
  readonly body: TeachAsked;
  readonly markerIds: readonly number[];
  readonly phone: Phone | null;
  readonly paper: Paper;
  readonly nowMs: number;
}

/** Edges travel through the sheet's view as marks of their own. */
const EDGES = { left: -1, right: -2, near: -3, far: -4 } as const;

/** @throws Refusals of core/placing; placing-touch-missing where a photo shows none of the hoop's markers. */
export function taughtFromGrids({ body, markerIds, phone, paper, nowMs }: TaughtAsked): Taught {
  const own = new Set(markerIds);
  const measured = body.photos.map((one, at) => {
    const belief = beliefFor(phone, one.photo, one.focal35Mm);
    const grid = gridIn(
      one.markers.filter(({ id }) => id >= SHEET_FIRST_ID),
      paper,
      body.printed,
    );
    const markers = one.markers.filter(({ id }) => own.has(id));
    if (markers.length === 0)
      throw placingRefusals("placing-touch-missing", `Photo ${at + 1} shows none of the hoop's markers.`);
    const edges = Object.entries(EDGES).map(([side, id]) => ({
      id,
      cornersPx: one.edges[side as keyof typeof EDGES],
    }));
    return {
      markers: markersOnSheet({ grid, markers }, belief, body.markersOverSheetMm),
      edges: markersOnSheet({ grid, markers: edges }, belief, body.edgesOverSheetMm),
    };
  });
  const centred = measured.map(({ markers, edges }) => {
    const frame = frameOf(edges);
    return { frame, markers: markers.map((one) => ({ ...one, cornersMm: one.cornersMm.map(frame.into) })) };
  });
  const { markers, findings } = teachMarkers(centred.map((one) => one.markers));
  const frames = centred.map(({ frame }) => frame);
  return {
    markers: markers.map((one) => ({ ...one, cornersMm: [...one.cornersMm] })),
    clothBelowMm: body.clothBelowMm,
    clothBelowSpreadMm: body.clothBelowSpreadMm,
    printScaleShare: body.printed.measuredSpreadMm / body.printed.lineMm,
    innerWidthMm: middleOf(frames.map((frame) => frame.widthMm)),
    innerHeightMm: middleOf(frames.map((frame) => frame.heightMm)),
    photos: body.photos.length,
    atMs: nowMs,
    findings: [...findings, ...edgeFindings(frames)] as Taught["findings"],
  };
}

/** Lines on the same edges differ by less than this from photo to photo (our own trials by rendering). */
const EDGES_AGREE_MM = 1.5;

/** Photos whose lines make another opening than the others: a line lies on a wrong edge there. */
function edgeFindings(frames: readonly HoopFrame[]): Finding[] {
  const sizes = [
    ["wide", frames.map((one) => one.widthMm)],
    ["deep", frames.map((one) => one.heightMm)],
  ] as const;
  return sizes.flatMap(([way, measured]) => {
    const usual = middleOf(measured);
    return measured.flatMap((mm, at) =>
      Math.abs(mm - usual) <= EDGES_AGREE_MM
        ? []
        : [
            {
              code: "placing-edges-disagree",
              level: "warning" as const,
              message: `By its lines in photo ${at + 1} the opening is ${mm.toFixed(1)} mm ${way}; by the other photos ${usual.toFixed(1)} mm.`,
              advice:
                "Lay the lines of that photo on the inner edges again, the straight part of each, and teach the hoop anew.",
            },
          ],
    );
  });
}

/** The median: one line on a wrong edge does not move it where there are three photos. */
const middleOf = (values: readonly number[]): number => {
  const sorted = [...values].sort((a, b) => a - b);
  const [low, high] = [sorted[(sorted.length - 1) >> 1]!, sorted[sorted.length >> 1]!];
  return (low + high) / 2;
};

const meanOf = (values: readonly number[]): number =>
  values.reduce((sum, value) => sum + value, 0) / values.length;

interface HoopFrame {
  readonly widthMm: number;
  readonly heightMm: number;
  /** From the sheet into the hoop's plane. */
  readonly into: (at: PointMm) => PointMm;
}

/**
 * The hoop's own axes by its inner edges on the sheet: x square to the mean direction of the left and right edges and
 * along the near and far ones, the middle between each pair.
 */
function frameOf(edges: readonly MarkerMeasurement[]): HoopFrame {
  const sideOf = (side: keyof typeof EDGES): readonly PointMm[] => {
    const found = edges.find((one) => one.id === EDGES[side]);
    if (!found)
      throw placingRefusals("placing-touch-missing", `The hoop's ${side} inner edge lies out of sight.`);
    return found.cornersMm;
  };
  const [left, right, near, far] = [sideOf("left"), sideOf("right"), sideOf("near"), sideOf("far")];
  // Directions turned a quarter where they run up, doubled so that an edge touched from either end counts alike.
  let [c, s] = [0, 0];
  for (const [edge, quarter] of [
    [left, 1],
    [right, 1],
    [near, 0],
    [far, 0],
  ] as const) {
    const [from, to] = [edge[0]!, edge.at(-1)!];
    const length = Math.hypot(to.xMm - from.xMm, to.yMm - from.yMm);
    const angle = Math.atan2(to.yMm - from.yMm, to.xMm - from.xMm) - (quarter * Math.PI) / 2;
    c += length * Math.cos(2 * angle);
    s += length * Math.sin(2 * angle);
  }
  const turn = Math.atan2(s, c) / 2;
  const [cos, sin] = [Math.cos(turn), Math.sin(turn)];
  const along = ({ xMm, yMm }: PointMm): PointMm => ({
    xMm: cos * xMm + sin * yMm,
    yMm: cos * yMm - sin * xMm,
  });
  const x = (edge: readonly PointMm[]) => meanOf(edge.map((at) => along(at).xMm));
  const y = (edge: readonly PointMm[]) => meanOf(edge.map((at) => along(at).yMm));
  // The sheet may lie any way under the hoop: what was touched as left is left.
  const flipX = x(right) < x(left) ? -1 : 1;
  const middle = { xMm: (x(left) + x(right)) / 2, yMm: (y(near) + y(far)) / 2 };
  if (flipX * (y(far) - y(near)) < 0)
    throw placingRefusals(
      "placing-marks-invalid",
      "The edges were touched in an order that mirrors the hoop: left, right, near and far as seen from the machine's front.",
    );
  return {
    widthMm: Math.abs(x(right) - x(left)),
    heightMm: Math.abs(y(far) - y(near)),
    into: (at) => {
      const turned = along(at);
      return { xMm: flipX * (turned.xMm - middle.xMm), yMm: flipX * (turned.yMm - middle.yMm) };
    },
  };
}
