import { describe, expect, it } from "vitest";
import { straighten } from "../lens";
import { placeInPhoto, type HoopView } from "../view";
import { turnMatrix } from "../camera";
import { clothHomography } from "./cloth-map";

describe("the cloth's homography", () => {
  it("shows a place where the camera does, the lens set aside", () => {
    const view = {
      pose: { rotation: turnMatrix([Math.PI - 0.3, 0.2, 0.1]), at: [12, -8, 480] },
      lens: { centreXPx: 2000, centreYPx: 1500, focalPx: 3000, k1: -0.1, k2: 0.03 },
      clothBelowMm: 6,
    } as unknown as HoopView;
    const h = clothHomography(view);
    for (const [xMm, yMm] of [
      [0, 0],
      [90, -40],
      [-75, 66],
    ] as const) {
      const straight = straighten(view.lens, placeInPhoto(view, { xMm, yMm })!);
      const w = h[6]! * xMm + h[7]! * yMm + h[8]!;
      expect((h[0]! * xMm + h[1]! * yMm + h[2]!) / w).toBeCloseTo(straight.xPx, 6);
      expect((h[3]! * xMm + h[4]! * yMm + h[5]!) / w).toBeCloseTo(straight.yPx, 6);
    }
  });
});
