import { expect, it } from "vitest";
import { greyOf, rectify, rectifiedSize, type RgbaPicture } from "#core/placing/picture";
import { fromPicture, fromPixel, inWholePixels, toPicture, toPixel } from "./geometry";

/** A photo of 5 px a mm seen straight on, with one light dot where `at` is: mm → px with pixel centres whole. */
function dotted(at: { readonly xMm: number; readonly yMm: number }): {
  photo: RgbaPicture;
  homography: Float64Array;
} {
  const [widthPx, heightPx] = [450, 350];
  const data = new Uint8ClampedArray(4 * widthPx * heightPx).fill(255);
  const [x, y] = [225 + 5 * at.xMm, 175 - 5 * at.yMm];
  for (let row = 0; row < heightPx; row++)
    for (let column = 0; column < widthPx; column++)
      data.fill(Math.hypot(column - x, row - y) < 8 ? 250 : 5, 4 * (row * widthPx + column), 4 * (row * widthPx + column) + 3); // prettier-ignore
  return {
    photo: { widthPx, heightPx, data },
    homography: Float64Array.of(5, 0, 225, 0, -5, 175, 0, 0, 1),
  };
}

it("a place touched on the cloth's picture is where the core laid it flat, to a twentieth of a mm", () => {
  const at = { xMm: 7.3, yMm: -11.9 };
  const pxPerMm = 3.7;
  const areaMm = inWholePixels({ leftMm: -40, rightMm: 40, bottomMm: -30, topMm: 30 }, pxPerMm);
  const flat = rectify(dotted(at).photo, { homography: dotted(at).homography, lens: null, areaMm, pxPerMm });
  const grey = greyOf(flat);
  let [sum, x, y] = [0, 0, 0];
  grey.data.forEach((light, i) => {
    if (light < 60) return;
    sum += light;
    x += light * (i % grey.widthPx);
    y += light * Math.floor(i / grey.widthPx);
  });
  const scale = { areaMm, pxPerMm };
  const seen = { xPx: x / sum, yPx: y / sum };
  const found = fromPixel(scale, seen);
  expect(Math.hypot(found.xMm - at.xMm, found.yMm - at.yMm)).toBeLessThan(0.05);
  expect(Math.hypot(toPixel(scale, at).xPx - seen.xPx, toPixel(scale, at).yPx - seen.yPx)).toBeLessThan(0.2);
  // Half a pixel between the two ways of counting, and nothing lost on the way back.
  expect(toPicture(scale, at).x - toPixel(scale, at).xPx).toBe(0.5);
  expect(fromPicture(scale, toPicture(scale, at).x, toPicture(scale, at).y).yMm).toBeCloseTo(at.yMm, 12);
});

it("the picture has whole pixels, so that it stands in its frame without being stretched", () => {
  const areaMm = inWholePixels({ leftMm: -142, rightMm: 142, bottomMm: -112, topMm: 112 }, 1800 / 284);
  const { widthPx, heightPx } = rectifiedSize({ areaMm, pxPerMm: 1800 / 284 });
  expect((areaMm.rightMm - areaMm.leftMm) * (1800 / 284)).toBeCloseTo(widthPx, 9);
  expect((areaMm.topMm - areaMm.bottomMm) * (1800 / 284)).toBeCloseTo(heightPx, 9);
  expect(areaMm.bottomMm).toBeLessThanOrEqual(-112);
});
