/**
 * What is printed: stickers for hoops and the grid sheet a hoop is taught on, as plain geometry in mm. Ids below
 * `SHEET_FIRST_ID` are for hoops, the rest for sheets, so that one photo can show both.
 */
import type { PointMm } from "../points";
import { CORNER_CELLS, MARGIN_CELLS, MARKER_CELLS, MARKER_COUNT } from "./marker-code";

/** The first id kept for grid sheets: 36 fill one, and the 128 before it are enough for sixteen hoops of eight markers. */
export const SHEET_FIRST_ID = 128;

/** The usual side of a hoop sticker's dark ring, mm: seven cells and margins still fit a 22 mm rim. */
export const HOOP_MARKER_SIDE_MM = 18;

/** A marker where it lies: middle, side of the dark ring's outer edge, turn counter-clockwise (0: upright). */
export interface LaidMarker {
  readonly id: number;
  readonly centre: PointMm;
  readonly sideMm: number;
  readonly angleRad: number;
}

/** The corners a photo names: of the dark ring's middle line; top left, top right, bottom right, bottom left. */
export function markerCornersMm(marker: LaidMarker): readonly [PointMm, PointMm, PointMm, PointMm] {
  const half = (marker.sideMm * CORNER_CELLS) / MARKER_CELLS / 2;
  const cos = Math.cos(marker.angleRad) * half;
  const sin = Math.sin(marker.angleRad) * half;
  const corner = (x: number, y: number): PointMm => ({
    xMm: marker.centre.xMm + cos * x - sin * y,
    yMm: marker.centre.yMm + sin * x + cos * y,
  });
  return [corner(-1, 1), corner(1, 1), corner(1, -1), corner(-1, -1)];
}

/** The side of the paper a marker needs, margin included, mm. */
export const stickerSideMm = (sideMm: number): number =>
  (sideMm * (MARKER_CELLS + 2 * MARGIN_CELLS)) / MARKER_CELLS;

export interface GridSheet {
  readonly widthMm: number;
  readonly heightMm: number;
  /** Middles in mm from the paper's middle, x right, y up the paper. */
  readonly markers: readonly LaidMarker[];
  /** Lines of exact length to check the printer with: one each way. */
  readonly rulers: readonly { readonly from: PointMm; readonly to: PointMm; readonly lengthMm: number }[];
  /** Distance between neighbouring markers' middles. */
  readonly pitchMm: number;
}

export interface GridSheetAsk {
  /** The paper. */
  readonly widthMm: number;
  readonly heightMm: number;
  /** What the printer leaves free at the paper's edge. */
  readonly freeMm: number;
  readonly firstId: number;
  /** Ids to use, at most. */
  readonly count: number;
}

const RULER_ROOM_MM = 9;

/**
 * A sheet full of upright markers on a square grid, as close as the ids allow; the dark ring takes half the pitch.
 * Rulers run along the bottom and the left, each a whole number of 10 mm. A4 with 36 ids: 5 × 7 markers.
 */
export function gridSheet(ask: GridSheetAsk): GridSheet {
  const roomX = ask.widthMm - 2 * ask.freeMm - RULER_ROOM_MM;
  const roomY = ask.heightMm - 2 * ask.freeMm - RULER_ROOM_MM;
  const ids = Math.min(ask.count, MARKER_COUNT - ask.firstId);
  if (!(roomX > 40 && roomY > 40 && ids >= 4))
    throw new RangeError("A grid sheet needs 40 mm each way and four ids.");
  // The closest grid that the ids still fill.
  let pitchMm = Math.floor(Math.min(roomX, roomY) / 2);
  for (let tried = pitchMm; tried >= 8; tried -= 0.5) {
    if (Math.floor(roomX / tried) * Math.floor(roomY / tried) > ids) break;
    pitchMm = tried;
  }
  const columns = Math.floor(roomX / pitchMm);
  const rows = Math.floor(roomY / pitchMm);
  const left = RULER_ROOM_MM / 2 - ((columns - 1) / 2) * pitchMm;
  const top = RULER_ROOM_MM / 2 + ((rows - 1) / 2) * pitchMm;
  const markers = Array.from({ length: rows * columns }, (_, at) => ({
    id: ask.firstId + at,
    centre: { xMm: left + (at % columns) * pitchMm, yMm: top - Math.floor(at / columns) * pitchMm },
    sideMm: pitchMm / 2,
    angleRad: 0,
  }));
  return { widthMm: ask.widthMm, heightMm: ask.heightMm, markers, rulers: rulersOf(ask), pitchMm };
}

function rulersOf(ask: GridSheetAsk): GridSheet["rulers"] {
  const x = -ask.widthMm / 2 + ask.freeMm + 2;
  const y = -ask.heightMm / 2 + ask.freeMm + 2;
  const across = Math.floor((ask.widthMm - 2 * ask.freeMm - RULER_ROOM_MM) / 10) * 10;
  const up = Math.floor((ask.heightMm - 2 * ask.freeMm - RULER_ROOM_MM) / 10) * 10;
  const from = { xMm: x + RULER_ROOM_MM / 2, yMm: y };
  const start = { xMm: x, yMm: y + RULER_ROOM_MM / 2 };
  return [
    { from, to: { xMm: from.xMm + across, yMm: y }, lengthMm: across },
    { from: start, to: { xMm: x, yMm: start.yMm + up }, lengthMm: up },
  ];
}
