import type { HoopView } from "../view";

/**
 * The homography from the cloth's plane (mm) to straightened px that `rectify` asks for, row-major: K [r1 r2 t'], with
 * t' the hoop's origin moved down to the cloth (R. Hartley, A. Zisserman, Multiple View Geometry, 2nd ed. (2004) §8.1.1).
 */
export function clothHomography({ pose, lens, clothBelowMm }: HoopView): Float64Array {
  const [x, y, z] = pose.rotation.map((row, k) => [
    row[0]!,
    row[1]!,
    pose.at[k]! - row[2]! * clothBelowMm,
  ]) as [number[], number[], number[]];
  return Float64Array.from([
    ...x.map((one, k) => lens.focalPx * one + lens.centreXPx * z[k]!),
    ...y.map((one, k) => lens.focalPx * one + lens.centreYPx * z[k]!),
    ...z,
  ]);
}
