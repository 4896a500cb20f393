import type { Place } from "../spine";
import type { AxisLine } from "./line";
import { distance, resampled } from "./line";
import type { OutlineRays } from "./outline-rays";

const STEP_MM = 0.1;
/** Rays that go further than this many radii have left the stem: there the width comes from the places beside. */
const RAY_RADII = 1.45;

/** A centre-line smoothed by a bell curve half a radius wide, with the half width found by rays to both sides. */
export function measured(line: AxisLine, closed: boolean, rays: OutlineRays, smoothing = 0.5): AxisLine {
  const even = resampled(line, STEP_MM);
  const smooth = smoothed(even, closed, smoothing);
  const { places, radii } = smooth;
  const count = places.length;
  const half = new Array<number>(count).fill(NaN);
  const shift = new Array<number>(count).fill(NaN);
  const normals = normalsOf(places, closed, radii);
  for (let i = 0; i < count; i++) {
    const most = RAY_RADII * radii[i]! + 0.05;
    const [nx, ny] = normals[i]!;
    const leftMm = rays.reach(places[i]!, [nx, ny], most);
    const rightMm = rays.reach(places[i]!, [-nx, -ny], most);
    if (leftMm >= most || rightMm >= most) continue;
    half[i] = (leftMm + rightMm) / 2;
    shift[i] = (leftMm - rightMm) / 2;
  }
  const halves = evened(filled(half, radii, closed), radii, closed);
  const shifts = evened(filled(shift, radii.map(() => 0), closed), radii, closed); // prettier-ignore
  return {
    places: places.map(([x, y], i): Place => {
      const [nx, ny] = normals[i]!;
      return [x + nx * shifts[i]!, y + ny * shifts[i]!];
    }),
    radii: halves,
  };
}

/** Left normals, tangents taken over about half a radius to both sides. */
export function normalsOf(places: readonly Place[], closed: boolean, radii: readonly number[]): Place[] {
  const last = places.length - 1;
  return places.map((_, i) => {
    const reach = Math.max(1, Math.round(Math.max(0.2, 0.45 * radii[i]!) / STEP_MM));
    const a = places[closed ? (((i - reach) % last) + last) % last : Math.max(0, i - reach)]!;
    const b = places[closed ? (i + reach) % last : Math.min(last, i + reach)]!;
    const length = distance(a, b) || 1;
    return [-(b[1] - a[1]) / length, (b[0] - a[0]) / length];
  });
}

function smoothed({ places, radii }: AxisLine, closed: boolean, smoothing: number): AxisLine {
  const last = places.length - 1;
  const at = (i: number): Place => {
    if (closed) return places[((i % last) + last) % last]!;
    // Ends are reflected through themselves, so that they stay where they are.
    if (i < 0) {
      const [end, other] = [places[0]!, places[Math.min(last, -i)]!];
      return [2 * end[0] - other[0], 2 * end[1] - other[1]];
    }
    if (i > last) {
      const [end, other] = [places[last]!, places[Math.max(0, 2 * last - i)]!];
      return [2 * end[0] - other[0], 2 * end[1] - other[1]];
    }
    return places[i]!;
  };
  const out = places.map((_, i): Place => {
    const sigma = Math.max(1, (smoothing * radii[i]!) / STEP_MM);
    const reach = Math.ceil(2.5 * sigma);
    let [sx, sy, sum] = [0, 0, 0];
    for (let k = -reach; k <= reach; k++) {
      const weight = Math.exp(-(k * k) / (2 * sigma * sigma));
      const [x, y] = at(i + k);
      sx += weight * x;
      sy += weight * y;
      sum += weight;
    }
    return [sx / sum, sy / sum];
  });
  if (closed) out[last] = out[0]!;
  return { places: out, radii };
}

/** Unknown values are drawn straight between their neighbours; all unknown, `otherwise` stands. */
function filled(values: readonly number[], otherwise: readonly number[], closed: boolean): number[] {
  const known = values.map((_, i) => i).filter((i) => !Number.isNaN(values[i]!));
  if (known.length === 0) return [...otherwise];
  const count = closed ? values.length - 1 : values.length;
  let k = 0;
  return values.map((value, i) => {
    if (!Number.isNaN(value)) return value;
    while (k < known.length && known[k]! < i) k++;
    let before = known[k - 1];
    let after = known[k];
    if (before === undefined) {
      if (!closed) return values[after!]!;
      before = known.at(-1)! - count;
    }
    if (after === undefined) {
      if (!closed) return values[before]!;
      after = known[0]! + count;
    }
    const wrap = (index: number): number => ((index % count) + count) % count;
    if (after === before) return values[wrap(before)]!;
    const at = (i - before) / (after - before);
    const a = values[closed ? wrap(before) : before]!;
    const b = values[closed ? wrap(after) : after]!;
    return a + at * (b - a);
  });
}

function evened(values: readonly number[], radii: readonly number[], closed: boolean): number[] {
  const last = values.length - 1;
  return values.map((_, i) => {
    const reach = Math.max(1, Math.round(Math.max(0.15, 0.25 * radii[i]!) / STEP_MM));
    let sum = 0;
    for (let k = -reach; k <= reach; k++) {
      const index = closed ? (((i + k) % last) + last) % last : Math.min(last, Math.max(0, i + k));
      sum += values[index]!;
    }
    return sum / (2 * reach + 1);
  });
}
