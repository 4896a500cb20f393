import { describe, expect, it } from "vitest";
import { threadConsumption } from "./consumption";
import {
  denierFromTex,
  FORTY_WEIGHT_TEX,
  metricCountFromTex,
  texFromCottonCount,
  texFromDenier,
  texFromMetricCount,
  threadDiameterMm,
} from "./count";

describe("linear density", () => {
  it("converts by the definitions of ISO 1144 and the printed examples", () => {
    expect(texFromDenier(120)).toBeCloseTo(13.333, 3);
    expect(texFromDenier(150) * 10).toBeCloseTo(166.67, 2);
    expect(texFromMetricCount(40)).toBe(25);
    expect(denierFromTex(texFromMetricCount(40))).toBe(225);
    // A knitting handbook's conversion page prints 148 dtex for cotton count 40.
    expect(Math.round(texFromCottonCount(40) * 10)).toBe(148);
    expect(texFromCottonCount(30)).toBeCloseTo(19.685, 3);
  });

  it("takes 40 weight as 26.7 tex, resultant metric count 37.5 (common practice, no source)", () => {
    expect(FORTY_WEIGHT_TEX).toBeCloseTo(26.67, 2);
    expect(metricCountFromTex(FORTY_WEIGHT_TEX)).toBeCloseTo(37.5, 9);
    expect(threadDiameterMm(FORTY_WEIGHT_TEX)).toBeGreaterThan(0.18);
    expect(threadDiameterMm(FORTY_WEIGHT_TEX)).toBeLessThan(0.25);
  });
});

describe("thread used", () => {
  it("is 4 to 6 m of top thread in 1,000 stitches of 3 to 5 mm (common practice, no source)", () => {
    for (const lengthMm of [3, 4, 5]) {
      const { topM, bobbinM } = threadConsumption({ pathMm: lengthMm * 1000, stitches: 1000, ends: 0 });
      expect(topM).toBeGreaterThanOrEqual(4);
      expect(topM).toBeLessThanOrEqual(6);
      expect(bobbinM / topM).toBeGreaterThanOrEqual(1 / 3);
      expect(bobbinM / topM).toBeLessThanOrEqual(1 / 2);
    }
  });
  it("adds a tail for every start and cut", () => {
    const none = threadConsumption({ pathMm: 0, stitches: 0, ends: 0 });
    expect(none).toEqual({ topM: 0, bobbinM: 0 });
    expect(threadConsumption({ pathMm: 0, stitches: 0, ends: 5 }).topM).toBeCloseTo(0.2, 9);
  });
});
