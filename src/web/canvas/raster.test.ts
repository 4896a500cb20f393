import { describe, expect, it } from "vitest";
import { fill, layStitch, type Picture, rampOf } from "./raster";

const sheet = (width: number, height: number): Picture => {
  const picture = { width, height, pixels: new Uint32Array(width * height) };
  fill(picture, "#ffffff");
  return picture;
};
/** How much of each pixel is thread, from black thread on white cloth with a flat ramp. */
const flat = new Uint8Array(64 * 3);
const covered = (picture: Picture) => Array.from(picture.pixels, (pixel) => 1 - (pixel & 255) / 255);

describe("thread as pixels", () => {
  it("covers the area of a capsule: length × thickness + π r²", () => {
    for (const [x1, y1] of [
      [80, 20],
      [20, 90],
      [75, 70],
      [21, 20.5],
    ] as const) {
      const picture = sheet(100, 100);
      layStitch(picture, 20, 20, x1, y1, 4, flat);
      const area = covered(picture).reduce((sum, part) => sum + part, 0);
      expect(area).toBeCloseTo(Math.hypot(x1 - 20, y1 - 20) * 8 + Math.PI * 16, -1);
    }
  });

  it("agrees with a slow oracle that measures each pixel's distance to the stitch", () => {
    const picture = sheet(60, 60);
    layStitch(picture, 12.3, 40.1, 47.9, 15.2, 3, flat);
    const [dx, dy] = [47.9 - 12.3, 15.2 - 40.1];
    const got = covered(picture);
    for (let y = 0; y < 60; y++)
      for (let x = 0; x < 60; x++) {
        const t = Math.min(
          1,
          Math.max(0, ((x + 0.5 - 12.3) * dx + (y + 0.5 - 40.1) * dy) / (dx * dx + dy * dy)),
        );
        const distance = Math.hypot(x + 0.5 - 12.3 - t * dx, y + 0.5 - 40.1 - t * dy);
        const wanted = Math.min(1, Math.max(0, 3.5 - distance));
        expect(Math.abs(got[y * 60 + x]! - wanted)).toBeLessThan(0.02);
      }
  });

  it("changes nothing outside the picture and nothing when it lies beside it", () => {
    const picture = sheet(20, 20);
    layStitch(picture, -50, -50, -10, -10, 3, flat);
    layStitch(picture, 40, 5, 90, 8, 3, flat);
    expect(covered(picture).every((part) => part === 0)).toBe(true);
    layStitch(picture, -30, 10, 60, 10, 2, flat);
    expect(covered(picture).some((part) => part === 1)).toBe(true);
  });

  it("keeps a thread thinner than a pixel as light as it is thin", () => {
    const picture = sheet(100, 20);
    layStitch(picture, 10, 10.5, 90, 10.5, 0.2, flat);
    const area = covered(picture).reduce((sum, part) => sum + part, 0);
    expect(area).toBeGreaterThan(80 * 0.2);
    expect(area).toBeLessThan(80 * 0.75);
  });

  it("runs from shade to sheen and stays recognisably its own colour in between", () => {
    const ramp = rampOf("#a3231f");
    const level = (i: number) => [ramp[i * 3]!, ramp[i * 3 + 1]!, ramp[i * 3 + 2]!];
    expect(level(0)[0]).toBeLessThan(level(39)[0]!);
    expect(level(39)[0]).toBeGreaterThan(155);
    expect(level(63)[1]).toBeGreaterThan(level(39)[1]!);
  });
});
