import { describe, expect, it } from "vitest";
import { MARKER_COUNT } from "./marker-code";
import { gridSheet, markerCornersMm, SHEET_FIRST_ID, stickerSideMm } from "./marker-sheets";

// ISO 216: A4 is 210 × 297 mm, A3 297 × 420 mm. ANSI/ASME Y14.1: A is 8.5 × 11 inches.
const papers = [
  ["A4", 210, 297],
  ["A4 across", 297, 210],
  ["A3", 297, 420],
  ["letter", 215.9, 279.4],
] as const;

describe("the grid sheet", () => {
  it.each(papers)("fills %s, inside the printer's edge, margins apart", (_name, widthMm, heightMm) => {
    const freeMm = 8;
    const count = MARKER_COUNT - SHEET_FIRST_ID;
    const sheet = gridSheet({ widthMm, heightMm, freeMm, firstId: SHEET_FIRST_ID, count });
    expect(sheet.markers.length).toBeGreaterThan(count / 2);
    expect(sheet.markers.length).toBeLessThanOrEqual(count);
    expect(new Set(sheet.markers.map((one) => one.id)).size).toBe(sheet.markers.length);
    for (const { centre, sideMm } of sheet.markers) {
      const half = stickerSideMm(sideMm) / 2;
      expect(Math.abs(centre.xMm) + half).toBeLessThan(widthMm / 2 - freeMm);
      expect(Math.abs(centre.yMm) + half).toBeLessThan(heightMm / 2 - freeMm);
      expect(stickerSideMm(sideMm)).toBeLessThan(sheet.pitchMm);
    }
    for (const { from, to, lengthMm } of sheet.rulers) {
      expect(Math.hypot(to.xMm - from.xMm, to.yMm - from.yMm)).toBeCloseTo(lengthMm, 9);
      expect(lengthMm % 10).toBe(0);
      for (const end of [from, to]) {
        expect(Math.abs(end.xMm)).toBeLessThanOrEqual(widthMm / 2 - freeMm);
        expect(Math.abs(end.yMm)).toBeLessThanOrEqual(heightMm / 2 - freeMm);
      }
      // No ruler runs through a marker.
      for (const { centre, sideMm } of sheet.markers) {
        const half = stickerSideMm(sideMm) / 2;
        const apartX = centre.xMm - half > Math.max(from.xMm, to.xMm);
        const apartY = centre.yMm - half > Math.max(from.yMm, to.yMm);
        expect(apartX || apartY).toBe(true);
      }
    }
  });

  it("refuses paper too small for a grid", () => {
    expect(() => gridSheet({ widthMm: 60, heightMm: 60, freeMm: 10, firstId: 24, count: 36 })).toThrow(
      "40 mm",
    );
  });

  it("a turned marker's corners turn counter-clockwise with it", () => {
    const upright = { id: 3, centre: { xMm: 10, yMm: 20 }, sideMm: 18, angleRad: 0 };
    expect(markerCornersMm(upright)).toEqual([
      { xMm: 2, yMm: 28 },
      { xMm: 18, yMm: 28 },
      { xMm: 18, yMm: 12 },
      { xMm: 2, yMm: 12 },
    ]);
    const [first] = markerCornersMm({ ...upright, angleRad: Math.PI / 2 });
    expect(first.xMm).toBeCloseTo(2, 9);
    expect(first.yMm).toBeCloseTo(12, 9);
  });
});
