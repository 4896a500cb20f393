import type { Place } from "../spine";

/** A line of the axis with the radius at each place, in mm. Helpers yield new lines. */
export interface AxisLine {
  readonly places: readonly Place[];
  readonly radii: readonly number[];
}

export const distance = (a: Place, b: Place): number => Math.hypot(b[0] - a[0], b[1] - a[1]);

/** The way walked up to each place, in mm. */
export function walked(places: readonly Place[]): Float64Array {
  const sums = new Float64Array(places.length);
  for (let i = 1; i < places.length; i++) sums[i] = sums[i - 1]! + distance(places[i - 1]!, places[i]!);
  return sums;
}

/** The line at even steps of about `stepMm`, both ends kept. */
export function resampled({ places, radii }: AxisLine, stepMm: number): AxisLine {
  const sums = walked(places);
  const total = sums.at(-1)!;
  const count = Math.max(2, Math.round(total / stepMm));
  const outPlaces: Place[] = [];
  const outRadii: number[] = [];
  for (let i = 0, at = 0; i <= count; i++) {
    const s = (total * i) / count;
    while (at < places.length - 2 && sums[at + 1]! < s) at++;
    const span = sums[at + 1]! - sums[at]!;
    const t = span === 0 ? 0 : Math.min(1, (s - sums[at]!) / span);
    const [a, b] = [places[at]!, places[at + 1]!];
    outPlaces.push([a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])]);
    outRadii.push(radii[at]! + t * (radii[at + 1]! - radii[at]!));
  }
  return { places: outPlaces, radii: outRadii };
}

/** The line between two ways along it, in mm; its last two places at least. */
export function cut({ places, radii }: AxisLine, fromMm: number, toMm: number): AxisLine {
  const sums = walked(places);
  const at = (s: number): { place: Place; radius: number } => {
    let i = 0;
    while (i < places.length - 2 && sums[i + 1]! < s) i++;
    const span = sums[i + 1]! - sums[i]!;
    const t = span === 0 ? 0 : Math.min(1, Math.max(0, (s - sums[i]!) / span));
    const [a, b] = [places[i]!, places[i + 1]!];
    return {
      place: [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])],
      radius: radii[i]! + t * (radii[i + 1]! - radii[i]!),
    };
  };
  const first = at(fromMm);
  const last = at(toMm);
  const inner = places.map((_, i) => i).filter((i) => sums[i]! > fromMm + 1e-6 && sums[i]! < toMm - 1e-6);
  return {
    places: [first.place, ...inner.map((i) => places[i]!), last.place],
    radii: [first.radius, ...inner.map((i) => radii[i]!), last.radius],
  };
}

export const reversedLine = ({ places, radii }: AxisLine): AxisLine => ({
  places: [...places].reverse(),
  radii: [...radii].reverse(),
});

/** The direction of a line between two ways along it, as a unit vector. */
export function directionOf(line: AxisLine, fromMm: number, toMm: number): Place {
  const { places } = cut(line, fromMm, toMm);
  const [a, b] = [places[0]!, places.at(-1)!];
  const length = distance(a, b) || 1;
  return [(b[0] - a[0]) / length, (b[1] - a[1]) / length];
}

/** The angle in degrees by which one direction turns into another, −180…180. */
export function turnBetween(a: Place, b: Place): number {
  return (Math.atan2(a[0] * b[1] - a[1] * b[0], a[0] * b[0] + a[1] * b[1]) * 180) / Math.PI;
}

/** A smooth way from `a` (leaving along `da`) to `b` (arriving along `db`), ends left out, one place about every `stepMm`. */
export function bridge(a: Place, da: Place, b: Place, db: Place, stepMm: number): Place[] {
  const span = distance(a, b);
  const count = Math.max(2, Math.ceil(span / stepMm));
  const places: Place[] = [];
  for (let i = 1; i < count; i++) {
    const t = i / count;
    const [h00, h10] = [2 * t ** 3 - 3 * t ** 2 + 1, t ** 3 - 2 * t ** 2 + t];
    const [h01, h11] = [-2 * t ** 3 + 3 * t ** 2, t ** 3 - t ** 2];
    places.push([
      h00 * a[0] + h10 * span * da[0] + h01 * b[0] + h11 * span * db[0],
      h00 * a[1] + h10 * span * da[1] + h01 * b[1] + h11 * span * db[1],
    ]);
  }
  return places;
}

/** Where two straight lines cross; null when they are all but parallel. */
export function crossing(p: Place, d: Place, q: Place, e: Place): Place | null {
  const across = d[0] * e[1] - d[1] * e[0];
  if (Math.abs(across) < 0.08) return null;
  const t = ((q[0] - p[0]) * e[1] - (q[1] - p[1]) * e[0]) / across;
  return [p[0] + t * d[0], p[1] + t * d[1]];
}
