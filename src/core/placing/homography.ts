/**
 * Planes to planes: the normalised direct linear transform (R. Hartley, A. Zisserman, Multiple View Geometry, 2nd ed.
 * (2004) §4.1, §4.4, Algorithm 4.2), refined by Levenberg–Marquardt on the error where the points are seen (§4.5,
 * Algorithm 4.3). Refused are points in one line and views that no camera can have: w must keep its sign over the
 * points, or some of them lie behind the camera (§21.1, cheirality).
 */
import { determinant3, inverse3, type Matrix, product, singular } from "./algebra";
import { leastSquares } from "./least-squares";
import { refusePlacing } from "./refusals";

/** A place in a plane, whatever its unit. */
export type Place = readonly [x: number, y: number];

/** 3 × 3; (x, y, 1) goes to (X, Y, w), the place (X/w, Y/w). */
export type Homography = Matrix;

export function weightAt(h: Homography, [x, y]: Place): number {
  return h[2]![0]! * x + h[2]![1]! * y + h[2]![2]!;
}

export function mapped(h: Homography, at: Place): Place {
  const [x, y] = at;
  const w = weightAt(h, at);
  return [(h[0]![0]! * x + h[0]![1]! * y + h[0]![2]!) / w, (h[1]![0]! * x + h[1]![1]! * y + h[1]![2]!) / w];
}

/** The way back, with its last entry 1 where it has one. */
export function inverseHomography(h: Homography): Homography {
  const back = inverse3(h);
  if (back === null)
    throw refusePlacing(
      "placing-marks-in-line",
      "The view cannot be turned round: it squeezes the plane into a line.",
    );
  return scaledHomography(back);
}

export function scaledHomography(h: Homography): Homography {
  const last = h[2]![2]!;
  return Math.abs(last) < 1e-300 ? h : h.map((row) => row.map((value) => value / last));
}

/** Middle at nought and mean distance √2 (Hartley's normalisation), as a homography; null for one place only. */
function normaliser(points: readonly Place[]): Homography | null {
  const mean = (axis: 0 | 1): number => points.reduce((all, point) => all + point[axis], 0) / points.length;
  const [cx, cy] = [mean(0), mean(1)];
  const distance = points.reduce((all, [x, y]) => all + Math.hypot(x - cx, y - cy), 0) / points.length;
  if (!(distance > 0)) return null;
  const s = Math.SQRT2 / distance;
  return [
    [s, 0, -s * cx],
    [0, s, -s * cy],
    [0, 0, 1],
  ];
}

/**
 * The homography that takes `from` to `to` with the least algebraic error in normalised coordinates; its last entry 1.
 * @throws Refusal placing-too-few-marks, placing-marks-in-line, placing-no-such-view.
 */
export function directHomography(from: readonly Place[], to: readonly Place[]): Homography {
  if (from.length < 4 || from.length !== to.length)
    throw refusePlacing(
      "placing-too-few-marks",
      `A view needs 4 marks seen and known; here are ${Math.min(from.length, to.length)}.`,
    );
  const [before, after] = [normaliser(from), normaliser(to)];
  if (before === null || after === null)
    throw refusePlacing("placing-marks-in-line", "All marks lie at one place.");
  const rows: number[][] = [];
  from.forEach((one, i) => {
    const [x, y] = mapped(before, one);
    const [u, v] = mapped(after, to[i]!);
    rows.push([0, 0, 0, -x, -y, -1, v * x, v * y, v], [x, y, 1, 0, 0, 0, -u * x, -u * y, -u]);
  });
  const { values, right } = singular(rows);
  // One dimension of freedom must be left, not two: the next singular value is nought where marks lie in line.
  if (values[7]! < 1e-7 * values[0]!)
    throw refusePlacing(
      "placing-marks-in-line",
      "Too many of the marks lie in one line to tell the view from them.",
    );
  const h = right[8]!;
  const normalised = [h.slice(0, 3), h.slice(3, 6), h.slice(6, 9)];
  if (Math.abs(determinant3(normalised)) < 1e-7)
    throw refusePlacing("placing-marks-in-line", "The marks lie in one line on the hoop or in the photo.");
  const found = scaledHomography(product(product(inverse3(after)!, normalised), before));
  mustBeSeen(found, from);
  return found;
}

/** All of the points lie on one side of the line that goes to infinity, so a camera can see them. */
export function isSeen(h: Homography, points: readonly Place[]): boolean {
  const signs = points.map((point) => Math.sign(weightAt(h, point)));
  return signs.every((sign) => sign !== 0 && sign === signs[0]);
}

function mustBeSeen(h: Homography, points: readonly Place[]): void {
  if (isSeen(h, points)) return;
  const behind = points.filter((point) => weightAt(h, point) * weightAt(h, points[0]!) <= 0).length;
  throw refusePlacing(
    "placing-no-such-view",
    `${behind} of ${points.length} marks would have to lie behind the camera; they were taken for one another or touched at the wrong place.`,
  );
}

/**
 * The homography with the least sum of squared distances in the second plane (errors in one image).
 * @throws as directHomography.
 */
export function fitHomography(from: readonly Place[], to: readonly Place[]): Homography {
  const start = directHomography(from, to);
  if (from.length === 4) return start;
  const [before, after] = [normaliser(from)!, normaliser(to)!];
  const normalised = scaledHomography(product(product(after, start), inverse3(before)!));
  const places = from.map((one) => mapped(before, one));
  const seen = to.map((one) => mapped(after, one));
  // Which entry is held at 1 is free; the largest cannot pass through nought.
  const entries = normalised.flat();
  const held = entries.reduce((best, value, i) => (Math.abs(value) > Math.abs(entries[best]!) ? i : best), 0);
  const free = entries.map((_, i) => i).filter((i) => i !== held);
  const whole = (at: readonly number[]): Homography => {
    const all = new Array<number>(9).fill(1);
    free.forEach((place, i) => (all[place] = at[i]!));
    return [all.slice(0, 3), all.slice(3, 6), all.slice(6, 9)];
  };
  const fit = leastSquares({
    start: free.map((i) => entries[i]! / entries[held]!),
    scale: free.map(() => 1),
    residuals: (at) => {
      const h = whole(at);
      return places.flatMap((one, i) => {
        const [x, y] = mapped(h, one);
        return [x - seen[i]![0], y - seen[i]![1]];
      });
    },
  });
  const found =
    fit === null ? start : scaledHomography(product(product(inverse3(after)!, whole(fit.at)), before));
  mustBeSeen(found, from);
  return found;
}
