/**
 * The lens: radial distortion of a phone's camera. With normalised coordinates u = (px − centre) / focal, r² = u·u, a
 * straight (pinhole) place u lies in the photo at u · (1 + k1 r² + k2 r⁴). Source: D. C. Brown, Decentering distortion
 * of lenses, Photogrammetric Engineering 32 (1966) 444–462; R. Hartley, A. Zisserman, Multiple View Geometry, 2nd ed.
 * (2004) §7.4 (both from memory). Beyond the radius where r(1 + k1 r² + k2 r⁴) stops growing the model means nothing;
 * places there are refused.
 */
import type { PointPx } from "./points";
import { refusePlacing } from "./refusals";

/** Inner measures of one phone camera at one photo size. k1, k2 without unit; focal in px. */
export interface Lens {
  readonly centreXPx: number;
  readonly centreYPx: number;
  readonly focalPx: number;
  readonly k1: number;
  readonly k2: number;
}

/** Where a straight radius (normalised, no unit) comes to lie in the photo. */
export const bentRadius = (r: number, k1: number, k2: number): number => r * (1 + r * r * (k1 + k2 * r * r));

const slope = (r: number, k1: number, k2: number): number => 1 + r * r * (3 * k1 + 5 * k2 * r * r);

/** The straight radius at which the model stops growing; Infinity where it always grows. */
export function reachOf({ k1, k2 }: Pick<Lens, "k1" | "k2">): number {
  // The smallest positive root s = r² of 5 k2 s² + 3 k1 s + 1, without loss of digits (also for k2 → 0).
  const under = 9 * k1 * k1 - 20 * k2;
  if (under < 0) return Infinity;
  const root = Math.sqrt(under);
  const half = -3 * k1 + root;
  const roots = [half === 0 ? Infinity : 2 / half, -3 * k1 - root === 0 ? Infinity : 2 / (-3 * k1 - root)];
  const smallest = Math.min(...roots.filter((one) => one > 0), Infinity);
  return Math.sqrt(smallest);
}

/** The straight radius that the lens bends to `bent`: Newton steps kept inside a bracket; null beyond the reach. */
export function straightRadius(bent: number, { k1, k2 }: Pick<Lens, "k1" | "k2">): number | null {
  if (bent === 0) return 0;
  const reach = reachOf({ k1, k2 });
  let low = 0;
  let high = reach;
  if (!Number.isFinite(reach)) for (high = bent; bentRadius(high, k1, k2) < bent;) high *= 2;
  else if (bentRadius(reach, k1, k2) <= bent) return null;
  let r = Math.min(bent, (low + high) / 2);
  for (let step = 0; step < 100; step++) {
    const off = bentRadius(r, k1, k2) - bent;
    if (off > 0) high = r;
    else low = r;
    const next = r - off / slope(r, k1, k2);
    const kept = low < next && next < high ? next : (low + high) / 2;
    if (Math.abs(kept - r) <= 1e-15 * kept) return kept;
    r = kept;
  }
  return r;
}

function scaled(lens: Lens, at: PointPx, change: (r: number) => number | null): PointPx {
  const x = (at.xPx - lens.centreXPx) / lens.focalPx;
  const y = (at.yPx - lens.centreYPx) / lens.focalPx;
  const r = Math.hypot(x, y);
  if (r === 0) return at;
  const other = change(r);
  if (other === null)
    throw refusePlacing(
      "placing-lens-range",
      `The place ${Math.round(at.xPx)}, ${Math.round(at.yPx)} px is ${r.toFixed(2)} focal lengths off the middle; this lens is known to ${reachOf(lens).toFixed(2)}.`,
    );
  const factor = (other / r) * lens.focalPx;
  return { xPx: lens.centreXPx + x * factor, yPx: lens.centreYPx + y * factor };
}

/**
 * A place in the photo → where a camera without distortion would show it, px.
 * @throws Refusal placing-lens-range beyond the range in which the model grows.
 */
export const straighten = (lens: Lens, photo: PointPx): PointPx =>
  scaled(lens, photo, (bent) => straightRadius(bent, lens));

/**
 * A straight place, px → where this lens shows it in the photo.
 * @throws Refusal placing-lens-range beyond the range in which the model grows.
 */
export const bend = (lens: Lens, straight: PointPx): PointPx =>
  scaled(lens, straight, (r) => (r < reachOf(lens) ? bentRadius(r, lens.k1, lens.k2) : null));
