import { SEWING } from "../cloth";
import { at, type Place } from "../spine";
import { type Column, halfAt, rungAt, type RungOptions } from "./column";

/** A chord of a run leaves its bend by at most this. */
const CHORD_ERROR_MM = 0.1;
const SHORTEST_RUN_STITCH_MM = 0.9;

/** Lengths along a column between `from` and `to` (both in) where a run is pierced: shorter stitches in bends. */
export function runPlaces({ spine }: Column, from: number, to: number): number[] {
  const length = Math.abs(to - from);
  if (length < 1e-6) return [to];
  let bend = 0;
  for (let i = 0; i <= 8; i++) bend = Math.max(bend, Math.abs(at(spine, from + ((to - from) * i) / 8).curvature)); // prettier-ignore
  const chord = bend > 0 ? Math.sqrt((8 * CHORD_ERROR_MM) / bend) : Infinity;
  const most = Math.min(SEWING.runStitchMm, Math.max(SHORTEST_RUN_STITCH_MM, chord));
  const steps = Math.max(1, Math.ceil(length / most));
  return Array.from({ length: steps + 1 }, (_, i) => from + ((to - from) * i) / steps);
}

/**
 * Underlay between `from` and `to` that begins and ends at `to`, where the centre run has come out: edge runs in
 * columns over 2.5 mm, one of them a wide zig-zag over 4 mm (TRADE.md). Only where the column has its whole width.
 */
export function wideUnderlay(column: Column, from: number, to: number, options: RungOptions): Place[] {
  const way = to > from ? 1 : -1;
  const width = 2 * halfAt(column, (from + to) / 2);
  if (width <= 2.5) return [];
  const whole = (s: number): boolean => {
    const rung = rungAt(column, s, options);
    const h = halfAt(column, s);
    return rung !== null && rung.lo <= -0.9 * h && rung.hi >= 0.9 * h;
  };
  let a = from;
  let b = to;
  while ((b - a) * way > 0 && !whole(a)) a += way * 0.3;
  while ((b - a) * way > 0 && !whole(b)) b -= way * 0.3;
  a += way * 0.5;
  b -= way * 0.5;
  if ((b - a) * way < 3) return [];
  const inset = 0.5;
  const place = (s: number, side: number): Place => {
    const here = at(column.spine, s);
    const offset = side * Math.max(0, halfAt(column, s) - inset);
    return [here.x + here.nx * offset, here.y + here.ny * offset];
  };
  const places = runPlaces(column, b, a).map((s) => place(s, 1));
  if (width <= 4) places.push(...runPlaces(column, a, b).map((s) => place(s, -1)));
  else {
    const steps = Math.max(2, Math.round(Math.abs(b - a) / 0.9));
    for (let i = 0; i <= steps; i++) places.push(place(a + ((b - a) * i) / steps, i % 2 === 0 ? -1 : 1));
  }
  return places;
}
