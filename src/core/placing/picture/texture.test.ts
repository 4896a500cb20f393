import { seededChance } from "#core/base";
import { describe, expect, it } from "vitest";
import { byteOfLinear, type GreyPicture } from "./pixels";
import { unevenness } from "./some-cloth";
import { textureDirection } from "./texture";

const SIZE = 160;
const AT = { xPx: 80, yPx: 80 };
const picture = (light: (x: number, y: number) => number, noise = 0, seed = 1): GreyPicture => {
  const chance = seededChance(seed);
  const normal = () => chance.next() + chance.next() + chance.next() + chance.next() - 2;
  const data = Uint8Array.from({ length: SIZE * SIZE }, (_, i) =>
    byteOfLinear(light(i % SIZE, Math.floor(i / SIZE)) + noise * normal()),
  );
  return { widthPx: SIZE, heightPx: SIZE, data };
};
/** A grating whose stripes run at an angle counter-clockwise from the right, y up. */
const grating = (degrees: number, period: number) => {
  const a = (degrees * Math.PI) / 180;
  return (x: number, y: number) =>
    0.4 + 0.2 * Math.sin((2 * Math.PI * (-x * Math.sin(a) - y * Math.cos(a))) / period);
};
const found = (grey: GreyPicture) => {
  const one = textureDirection(grey, AT, 60);
  if ("refused" in one) throw new Error(one.refused);
  return { ...one, degrees: (one.angleRad * 180) / Math.PI };
};

describe("the direction of a texture", () => {
  // A grating is its own truth: its gradient lies everywhere across its stripes.
  it.each([-80, -45, -12.3, 0, 3.7, 30, 45, 61, 89])("stripes at %d°", (degrees) => {
    for (const period of [7, 13.7]) {
      const one = found(picture(grating(degrees, period)));
      expect(one.kind).toBe("one way");
      expect(Math.abs(one.degrees - degrees)).toBeLessThan(0.1);
      expect(one.plainness).toBeGreaterThan(0.9);
    }
  });

  it("with noise its error is about what it states", () => {
    let squares = 0;
    let stated = 0;
    for (let seed = 0; seed < 60; seed++) {
      const one = found(picture(grating(20, 11), 0.12, seed));
      squares += (one.degrees - 20) ** 2;
      stated += ((one.errorRad * 180) / Math.PI) ** 2;
    }
    expect(Math.sqrt(stated / squares)).toBeGreaterThan(0.6);
    expect(Math.sqrt(stated / squares)).toBeLessThan(1.7);
  });

  it("uneven light does not turn it", () => {
    const one = found(picture((x, y) => grating(-8, 9)(x, y) * (0.4 + (0.9 * (x + y)) / (2 * SIZE))));
    expect(Math.abs(one.degrees + 8)).toBeLessThan(0.5);
  });

  it("checks say two ways; a soft weave, as like itself turned by 45°, is refused", () => {
    const band = (degrees: number) => (x: number, y: number) =>
      Math.max(-1, Math.min(1, 15 * (grating(degrees, 30)(x, y) - 0.4)));
    for (const degrees of [-31, 0, 12, 40]) {
      const check = (x: number, y: number) => 0.4 + 0.3 * band(degrees)(x, y) * band(degrees + 90)(x, y);
      const one = found(picture(check));
      expect(one.kind).toBe("two ways");
      expect(Math.abs(one.degrees - degrees)).toBeLessThan(0.5);
    }
    const weave = (x: number, y: number) => (grating(12, 10)(x, y) + grating(102, 10)(x, y)) / 2;
    expect(textureDirection(picture(weave), AT, 60)).toEqual({ refused: "no direction" });
  });

  it("pile, noise and one colour are refused, and windows that are too small or leave the picture", () => {
    for (let seed = 0; seed < 20; seed++)
      expect(textureDirection(picture((x, y) => 0.2 + 0.5 * unevenness(x / 4, y / 4, seed)), AT, 60)).toEqual({ refused: "no direction" }); // prettier-ignore
    expect(
      textureDirection(
        picture(() => 0.4, 0.1),
        AT,
        60,
      ),
    ).toEqual({ refused: "no direction" });
    expect(
      textureDirection(
        picture((x) => 0.3 + x / 1000),
        AT,
        60,
      ),
    ).toEqual({ refused: "even" });
    expect(textureDirection(picture(grating(0, 9)), AT, 12)).toEqual({ refused: "too small" });
    expect(textureDirection(picture(grating(0, 9)), { xPx: 30, yPx: 80 }, 60)).toEqual({
      refused: "too small",
    });
  });
});
