/**
 * A phone's camera over a hoop. Hoop axes as in points.ts with z up, towards the camera; camera axes x right, y down,
 * z forward (R. Hartley, A. Zisserman, Multiple View Geometry, 2nd ed. (2004) §6.1). A hoop place X is at R X + t before
 * the camera, mm. Turns are small rotation vectors applied to a kept rotation (O. Rodrigues 1840), so that no choice of
 * angles ever locks.
 */
import { type Matrix, product, transposed, type Vector } from "./algebra";
import type { Homography } from "./homography";
import { bentRadius, type Lens, reachOf, straightRadius } from "./lens";

/** A place before the camera or on the hoop with its height. */
export type Space = readonly [x: number, y: number, z: number];

export interface CameraPose {
  /** Hoop axes to camera axes, 3 × 3. */
  readonly rotation: Matrix;
  /** The hoop's origin in camera axes, mm. */
  readonly at: Space;
}

/** exp of the vector's cross product: the turn about it by its length, radians. */
export function turnMatrix([x, y, z]: Space): Matrix {
  const angle = Math.hypot(x, y, z);
  const a = angle < 1e-9 ? 1 : Math.sin(angle) / angle;
  const b = angle < 1e-9 ? 0.5 : (1 - Math.cos(angle)) / (angle * angle);
  return [
    [1 - b * (y * y + z * z), b * x * y - a * z, b * x * z + a * y],
    [b * x * y + a * z, 1 - b * (x * x + z * z), b * y * z - a * x],
    [b * x * z - a * y, b * y * z + a * x, 1 - b * (x * x + y * y)],
  ];
}

export const turnedPose = (pose: CameraPose, [rx, ry, rz, tx, ty, tz]: Vector): CameraPose => ({
  rotation: product(turnMatrix([rx!, ry!, rz!]), pose.rotation),
  at: [pose.at[0] + tx!, pose.at[1] + ty!, pose.at[2] + tz!],
});

/** Where the lens shows a hoop place, px; null behind the camera or beyond the lens model's reach. */
export function projected(
  { rotation: r, at }: CameraPose,
  lens: Lens,
  [x, y, z]: Space,
): readonly [number, number] | null {
  const depth = r[2]![0]! * x + r[2]![1]! * y + r[2]![2]! * z + at[2];
  if (!(depth > 0)) return null;
  const u = (r[0]![0]! * x + r[0]![1]! * y + r[0]![2]! * z + at[0]) / depth;
  const v = (r[1]![0]! * x + r[1]![1]! * y + r[1]![2]! * z + at[1]) / depth;
  const radius = Math.hypot(u, v);
  if (radius >= reachOf(lens)) return null;
  const bent = radius === 0 ? 1 : bentRadius(radius, lens.k1, lens.k2) / radius;
  return [lens.centreXPx + lens.focalPx * bent * u, lens.centreYPx + lens.focalPx * bent * v];
}

type Pair = readonly [number, number];

/** The same for many places of the hoop's plane: x and y one after the other; null where one of them is not seen. */
export function projectedPlane(
  { rotation, at }: CameraPose,
  lens: Lens,
  places: readonly (readonly [x: number, y: number])[],
): number[] | null {
  const [[a, b], [c, d], [e, f]] = rotation as unknown as readonly [Pair, Pair, Pair];
  const reach = reachOf(lens) ** 2;
  const out = new Array<number>(2 * places.length);
  for (let i = 0; i < places.length; i++) {
    const [x, y] = places[i]!;
    const depth = e * x + f * y + at[2];
    if (!(depth > 0)) return null;
    const u = (a * x + b * y + at[0]) / depth;
    const v = (c * x + d * y + at[1]) / depth;
    const square = u * u + v * v;
    if (square >= reach) return null;
    const bent = lens.focalPx * (1 + square * (lens.k1 + lens.k2 * square));
    out[2 * i] = lens.centreXPx + bent * u;
    out[2 * i + 1] = lens.centreYPx + bent * v;
  }
  return out;
}

/** Where the sight through a photo place meets the plane at `heightMm` over the hoop's plane; null where it does not. */
export function sighted(
  { rotation: r, at }: CameraPose,
  lens: Lens,
  [px, py]: readonly [number, number],
  heightMm: number,
): readonly [number, number] | null {
  const du = (px - lens.centreXPx) / lens.focalPx;
  const dv = (py - lens.centreYPx) / lens.focalPx;
  const bent = Math.hypot(du, dv);
  const straight = straightRadius(bent, lens);
  if (straight === null) return null;
  const factor = bent === 0 ? 1 : straight / bent;
  const ray = [du * factor, dv * factor, 1];
  const back = (vector: Vector): Space => {
    const across = (column: number) =>
      r[0]![column]! * vector[0]! + r[1]![column]! * vector[1]! + r[2]![column]! * vector[2]!;
    return [across(0), across(1), across(2)];
  };
  const way = back(ray);
  const eye = back(at);
  const length = (heightMm + eye[2]) / way[2];
  return length > 0 ? [length * way[0] - eye[0], length * way[1] - eye[1]] : null;
}

/** The camera's place over the hoop, mm, and how far its sight is from straight down on the hoop, radians. */
export function cameraPlace({ rotation, at }: CameraPose): {
  readonly place: Space;
  readonly tiltRad: number;
} {
  const [x, y, z] = transposed(rotation).map((row) => -(row[0]! * at[0] + row[1]! * at[1] + row[2]! * at[2]));
  return { place: [x!, y!, z!], tiltRad: Math.acos(Math.min(1, Math.max(-1, -rotation[2]![2]!))) };
}

/**
 * The pose that a homography from hoop mm to straight px shows (Z. Zhang, IEEE TPAMI 22 (2000) 1330–1334, §3.1); null
 * where the hoop would be seen from below, which is a mirrored reading.
 */
export function poseFromHomography(h: Homography, lens: Lens): CameraPose | null {
  const columns = transposed(h).map(([a, b, c]) => [
    (a! - lens.centreXPx * c!) / lens.focalPx,
    (b! - lens.centreYPx * c!) / lens.focalPx,
    c!,
  ]);
  const size = (Math.hypot(...columns[0]!) + Math.hypot(...columns[1]!)) / 2;
  const sign = columns[2]![2]! < 0 ? -1 : 1;
  const [one, two, at] = columns.map((column) => column.map((value) => (sign * value) / size)) as unknown as [
    Space,
    Space,
    Space,
  ];
  // The nearest two right-angled unit vectors: their sum and difference are made right-angled and equally long.
  const unit = (v: Space): Space => {
    const length = Math.hypot(...v);
    return [v[0] / length, v[1] / length, v[2] / length];
  };
  const [a, b] = [unit(one), unit(two)];
  const plus = unit([a[0] + b[0], a[1] + b[1], a[2] + b[2]]);
  const minus = unit([a[0] - b[0], a[1] - b[1], a[2] - b[2]]);
  const half = Math.SQRT1_2;
  const first: Space = [0, 1, 2].map((i) => half * (plus[i]! + minus[i]!)) as unknown as Space;
  const second: Space = [0, 1, 2].map((i) => half * (plus[i]! - minus[i]!)) as unknown as Space;
  const third = crossed(first, second);
  const pose: CameraPose = { rotation: transposed([first, second, third]), at };
  return cameraPlace(pose).place[2] > 0 ? pose : null;
}

export const crossed = (a: Space, b: Space): Space => [
  a[1] * b[2] - a[2] * b[1],
  a[2] * b[0] - a[0] * b[2],
  a[0] * b[1] - a[1] * b[0],
];

/**
 * The other pose that looks nearly alike: the hoop tilted the opposite way about the line of sight to its origin
 * (D. Oberkampf, D. F. DeMenthon, L. S. Davis, Computer Vision and Image Understanding 63 (1996) 495–511; from memory).
 */
export function oppositePose(pose: CameraPose): CameraPose {
  const distance = Math.hypot(...pose.at);
  const sight: Space = [pose.at[0] / distance, pose.at[1] / distance, pose.at[2] / distance];
  const normal = pose.rotation.map((row) => row[2]!) as unknown as Space;
  const along = sight[0] * normal[0] + sight[1] * normal[1] + sight[2] * normal[2];
  const axis = crossed(normal, sight);
  const size = Math.hypot(...axis);
  if (size < 1e-9) return pose;
  // The normal looks back at the camera: turned twice its angle to the sight, it stands mirrored on the other side.
  const angle = 2 * Math.atan2(size, -along);
  const turn = turnMatrix([(-axis[0] / size) * angle, (-axis[1] / size) * angle, (-axis[2] / size) * angle]);
  return { rotation: product(turn, pose.rotation), at: pose.at };
}
