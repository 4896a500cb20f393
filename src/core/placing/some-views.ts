/** Invented hoops, cameras and photos with known truth, for tests and benches; nothing here is measured. */
import type { Chance } from "#core/base";
import { type CameraPose, projected, turnMatrix } from "./camera";
import type { LensBelief } from "./fit-view";
import type { Lens } from "./lens";
import { diagonal, product } from "./algebra";
import type { PointMm, PointPx } from "./points";
import { type SeenMarker, type TaughtHoop, taughtParts } from "./view";

/** A standard normal value (G. E. P. Box, M. E. Muller, Annals of Mathematical Statistics 29 (1958) 610–611). */
export const normal = (chance: Chance): number =>
  Math.sqrt(-2 * Math.log(1 - chance.next())) * Math.cos(2 * Math.PI * chance.next());

export const between = (chance: Chance, low: number, high: number): number =>
  low + (high - low) * chance.next();

/** A phone of 12 megapixels with the view of a 26 mm lens on small-picture film. */
export const SOME_LENS: Lens = { centreXPx: 2015.5, centreYPx: 1511.5, focalPx: 2912, k1: 0.06, k2: -0.08 };

export const SIDE_MM = 18;

/** Eight markers round a field of 360 × 200 mm. */
export function someHoop(change: Partial<TaughtHoop> = {}): TaughtHoop {
  const places = [[-195, 115], [-65, 122], [65, 122], [195, 115], [195, -115], [65, -122], [-65, -122], [-195, -115]]; // prettier-ignore
  return {
    markers: places.map(([x, y], id) => ({
      id,
      spreadMm: 0.05,
      cornersMm: [[-1, 1], [1, 1], [1, -1], [-1, -1]].map(([a, b]) => ({ xMm: x! + (a! * SIDE_MM) / 2, yMm: y! + (b! * SIDE_MM) / 2 })), // prettier-ignore
    })),
    clothBelowMm: 5,
    clothBelowSpreadMm: 0.3,
    printScaleShare: 0.0005,
    ...change,
  };
}

/** A camera that looks at about the hoop's middle from so far and so tilted, from any side, upright or turned. */
export function somePose(
  chance: Chance,
  tiltDeg: number,
  distanceMm: number,
  azimuth = between(chance, 0, 2 * Math.PI),
): CameraPose {
  const tilt = (tiltDeg * Math.PI) / 180;
  const spin = between(chance, -0.35, 0.35);
  // Seen straight down: camera x is the hoop's x, y is turned over.
  const down = [
    [1, 0, 0],
    [0, -1, 0],
    [0, 0, -1],
  ];
  const tilted = product(down, turnMatrix([Math.cos(azimuth) * tilt, Math.sin(azimuth) * tilt, 0]));
  const rotation = product(turnMatrix([0, 0, spin]), tilted);
  return { rotation, at: [between(chance, -15, 15), between(chance, -15, 15), distanceMm] };
}

export const inPhoto = (pose: CameraPose, lens: Lens, at: PointMm, heightMm: number): PointPx => {
  const [xPx, yPx] = projected(pose, lens, [at.xMm, at.yMm, heightMm])!;
  return { xPx, yPx };
};

/** The hoop's markers as photographed: true places drawn from what was taught, then seen with noise. */
export function someMarkers(
  chance: Chance,
  hoop: TaughtHoop,
  camera: { readonly pose: CameraPose; readonly lens: Lens; readonly noisePx: number },
): SeenMarker[] {
  return hoop.markers.map((marker) => {
    const { wholeMm, cornerMm } = taughtParts(marker);
    const [shiftX, shiftY] = [wholeMm * normal(chance), wholeMm * normal(chance)];
    const cornersPx = marker.cornersMm.map(({ xMm, yMm }) => {
      const where = {
        xMm: xMm + shiftX + cornerMm * normal(chance),
        yMm: yMm + shiftY + cornerMm * normal(chance),
      };
      const at = inPhoto(camera.pose, camera.lens, where, 0);
      return {
        xPx: at.xPx + camera.noisePx * normal(chance),
        yPx: at.yPx + camera.noisePx * normal(chance),
      };
    });
    return { id: marker.id, cornersPx };
  });
}

/** A lens as calibrated: the true one drawn about what is believed. */
export const someBelief = (lens: Lens): LensBelief => ({
  lens,
  covariance: diagonal([0.003, 0.004, 0.008, 8, 8].map((one) => one * one)),
});

export function drawnLens(chance: Chance, { lens, covariance }: LensBelief): Lens {
  const off = covariance.map((row, i) => Math.sqrt(row[i]!) * normal(chance));
  return {
    focalPx: lens.focalPx * Math.exp(off[0]!),
    k1: lens.k1 + off[1]!,
    k2: lens.k2 + off[2]!,
    centreXPx: lens.centreXPx + off[3]!,
    centreYPx: lens.centreYPx + off[4]!,
  };
}
