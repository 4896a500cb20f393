/** Views for the rendered photos: a hoop with markers, seen from somewhere, in some light; all from the seed. */
import { type Chance, pick, shuffled } from "#core/base";
import type { Lens } from "../lens";
import type { PointMm } from "../points";
import { SHEET_FIRST_ID } from "./marker-sheets";
import { CLOTH_KINDS, type ClothKind, someCloth } from "./some-cloth";
import { type LightFall, type PhotoAsk, planeToPx, type Pose, type Scene, through } from "./some-photos";

/** Three phone cameras: no distortion, barrel, pincushion with a fourth-order term. */
export const LENS_KINDS = ["none", "barrel", "pincushion"] as const;
export type LensKind = (typeof LENS_KINDS)[number];

/** A lens for a photo size; 26 mm on 35 mm film, by the diagonal, is a phone's usual main camera. */
export function someLens(kind: LensKind, widthPx: number, heightPx: number): Lens {
  const focalPx = (26 / 43.27) * Math.hypot(widthPx, heightPx);
  const bend = { none: [0, 0], barrel: [-0.11, 0.03], pincushion: [0.06, -0.02] } as const;
  const centre = kind === "none" ? 0 : 0.004;
  return {
    centreXPx: (widthPx - 1) / 2 + centre * widthPx,
    centreYPx: (heightPx - 1) / 2 - centre * heightPx,
    focalPx,
    k1: bend[kind][0],
    k2: bend[kind][1],
  };
}

/** A hoop for a 360 × 200 mm field: eight markers on its rim, two of each in a side's thirds or corners. */
export function someScene(chance: Chance, clothKind: ClothKind = pick(CLOTH_KINDS, chance)): Scene {
  const inner = { xMm: 190, yMm: 110 };
  const outer = { xMm: 218, yMm: 138 };
  const places: readonly (readonly [number, number])[] = [
    [-204, 124], [0, 124], [204, 124], [204, 0], [204, -124], [0, -124], [-204, -124], [-204, 0],
  ]; // prettier-ignore
  const ids = shuffled([...Array(SHEET_FIRST_ID).keys()], chance);
  return {
    inner,
    outer,
    markers: places.map(([xMm, yMm], at) => ({
      id: ids[at]!,
      centre: { xMm: xMm + 2 * (chance.next() - 0.5), yMm: yMm + 2 * (chance.next() - 0.5) },
      sideMm: 18,
      angleRad: (Math.PI / 2) * chance.below(4) + 0.08 * (chance.next() - 0.5),
    })),
    covers: [],
    rimLight: pick([0.03, 0.3, 0.75], chance),
    cloth: someCloth(chance, clothKind),
    clothBelowMarkersMm: 2 + 5 * chance.next(),
    inkSpreadMm: 0.08 * (chance.next() - 0.25),
  };
}

const within = (pose: Pose, lens: Lens, widthPx: number, heightPx: number, scene: Scene): boolean => {
  const h = planeToPx(pose, lens, 0);
  const margin = 0.01 * widthPx;
  return scene.markers.every(({ centre, sideMm }) =>
    [-1, 1].every((sx) =>
      [-1, 1].every((sy) => {
        const [x, y] = through(h, centre.xMm + 0.65 * sx * sideMm, centre.yMm + 0.65 * sy * sideMm);
        // Barrel pulls in, pincushion pushes out by less than this much of the distance from the middle.
        const out = lens.k1 > 0 ? 1.025 : 1;
        const bx = lens.centreXPx + (x - lens.centreXPx) * out;
        const by = lens.centreYPx + (y - lens.centreYPx) * out;
        return margin < bx && bx < widthPx - margin && margin < by && by < heightPx - margin;
      }),
    ),
  );
};

/** A view from 35 to 60 cm, up to `tiltRad` off, that has all markers in the photo. */
export function somePose(
  chance: Chance,
  photo: { readonly widthPx: number; readonly heightPx: number; readonly lens: Lens },
  scene: Scene,
  tiltRad: number,
): Pose {
  for (let tries = 0; ; tries++) {
    const pose: Pose = {
      aim: { xMm: 40 * (chance.next() - 0.5), yMm: 40 * (chance.next() - 0.5) },
      distanceMm: Math.min(600, 350 + 250 * chance.next() + (tries > 200 ? 100 : 0)),
      tiltRad: tiltRad * Math.sqrt(chance.next()) * (tries > 400 ? 0.9 : 1),
      towardsRad: 2 * Math.PI * chance.next(),
      rollRad: (chance.below(2) === 0 ? 0 : Math.PI) + 0.3 * (chance.next() - 0.5),
    };
    if (tries > 5000 || within(pose, photo.lens, photo.widthPx, photo.heightPx, scene)) return pose;
  }
}

/** Window light that falls off, in half of the photos a shadow's edge, in half one to three shining spots. */
export function someLight(chance: Chance, widthPx: number, heightPx: number): LightFall {
  const shadow =
    chance.below(2) === 0
      ? null
      : {
          xPx: widthPx * chance.next(),
          yPx: heightPx * chance.next(),
          normalRad: 2 * Math.PI * chance.next(),
          softPx: widthPx * (0.006 + 0.05 * chance.next()),
          stays: 0.3 + 0.4 * chance.next(),
        };
  const spots = chance.below(2) === 0 ? 0 : 1 + chance.below(3);
  return {
    falling: 0.5 * chance.next(),
    fallingRad: 2 * Math.PI * chance.next(),
    shadow,
    glare: Array.from({ length: spots }, () => ({
      xPx: widthPx * chance.next(),
      yPx: heightPx * chance.next(),
      radiusPx: widthPx * (0.01 + 0.03 * chance.next()),
      strength: 0.2 + 0.6 * chance.next(),
    })),
  };
}

export interface ViewAsk {
  readonly widthPx: number;
  readonly heightPx: number;
  readonly lensKind: LensKind;
  readonly blurPx: number;
  readonly clothKind?: ClothKind;
  /** One marker lies under a finger. */
  readonly hidden?: "one" | "none";
  readonly tiltRad?: number;
}

/** Everything about one photo. Noise grows in dim light (some light more, some less exposed). */
export function someView(chance: Chance, ask: ViewAsk): PhotoAsk {
  const { widthPx, heightPx } = ask;
  const lens = someLens(ask.lensKind, widthPx, heightPx);
  const bare = someScene(chance, ask.clothKind);
  const pose = somePose(chance, { widthPx, heightPx, lens }, bare, ask.tiltRad ?? (40 * Math.PI) / 180);
  const finger = (at: PointMm) => ({ at: { xMm: at.xMm + 4, yMm: at.yMm - 3 }, radiusMm: 9, light: 0.35 });
  const covers = ask.hidden === "one" ? [finger(pick(bare.markers, chance).centre)] : [];
  return {
    widthPx,
    heightPx,
    lens,
    pose,
    scene: { ...bare, covers },
    light: someLight(chance, widthPx, heightPx),
    blurPx: ask.blurPx,
    motion: null,
    shot: 0.0002 + 0.0008 * chance.next(),
    read: 0.001 + 0.003 * chance.next(),
  };
}
