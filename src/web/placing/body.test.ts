import { describe, expect, it } from "vitest";
import type { HoopView } from "#core/placing";
import { againBody, hoopInPhoto, type Seen, straightKind, unique } from "./body";
import type { Known, Mark } from "./marks";

const line = (kind: Mark["kind"], to: readonly [number, number], oneOf: readonly Mark["kind"][]): Mark => ({
  asked: { oneOf: [...oneOf], leastPoints: 2, optional: false, words: "" },
  kind,
  points: [
    { xMm: 0, yMm: 0 },
    { xMm: to[0], yMm: to[1] },
  ],
  touched: null,
  found: null,
});
const straightBy = ["centre line", "stripe", "hem", "edge", "collar seam"] as const;

describe("a line the design is straight by", () => {
  it("that runs up the cloth is a centre line, whatever it was called; across it stays what it is", () => {
    expect(straightKind(line("stripe", [2, 40], straightBy), "away")).toBe("centre line");
    expect(straightKind(line("stripe", [40, 2], straightBy), "away")).toBe("stripe");
    expect(straightKind(line("stripe", [40, 2], straightBy), "left")).toBe("centre line");
    expect(straightKind(line("centre line", [40, 2], straightBy), "near")).toBe("edge");
  });
  it("is left alone where a rule measures from that very line", () => {
    expect(straightKind(line("hem", [2, 40], ["hem"]), "away")).toBe("hem");
    expect(straightKind(line("centre line", [40, 2], ["centre line"]), "away")).toBe("centre line");
  });
});

describe("what a photo shows", () => {
  const taught = [
    { id: "a", markerIds: [0, 1, 2, 3], taught: {} },
    { id: "b", markerIds: [4, 5, 6, 7], taught: {} },
    { id: "c", markerIds: [8, 9, 10], taught: null },
  ] as unknown as Known["taughtHoops"];
  const seen = (...ids: number[]) => ids.map((id) => ({ id }));
  it("is the hoop with most of its markers in it; one never taught is none", () => {
    expect(hoopInPhoto(taught, seen(1, 4, 5, 6))).toEqual({ id: "b", seen: 3, of: 4 });
    expect(hoopInPhoto(taught, seen(8, 9, 10))).toBeNull();
    expect(hoopInPhoto(taught, [])).toBeNull();
  });
  it("leaves out a marker that lies there twice", () => {
    expect(unique(seen(1, 2, 2, 3))).toEqual(seen(1, 3));
  });
});

describe("a piece that was taken out", () => {
  it("is asked about from three touches on, untouched places left out", () => {
    const view = { pose: { rotation: [[1, 0, 0], [0, -1, 0], [0, 0, -1]], at: [0, 0, 400] }, lens: { centreXPx: 500, centreYPx: 400, focalPx: 900, k1: 0, k2: 0 }, clothBelowMm: 0 } as unknown as HoopView; // prettier-ignore
    const opened = {
      size: { widthPx: 1000, heightPx: 800 },
      focal35Mm: 26,
      markers: [],
    } as unknown as Seen["opened"];
    const how: Seen = {
      way: "markers",
      opened,
      view,
      second: null,
      phoneId: null,
      taughtHoopId: "a",
      edges: null,
      clothBelowMm: 0,
      inner: null,
      tapeMm: 1,
    };
    const told = { machineId: "m", personId: null, aid: null, give: "file" as const };
    const place = (xMm: number, at: boolean) => ({
      design: { xMm, yMm: 0 },
      at: at ? { xMm, yMm: 0 } : null,
      tape: null,
    });
    const two = [place(0, true), place(10, false), place(20, true)];
    expect(againBody(told, how, { touches: two, restart: null })).toBeNull();
    const body = againBody(told, how, {
      touches: [...two, place(30, true)],
      restart: { at: { xMm: 0, yMm: 0 } },
    });
    expect(body!.touches).toHaveLength(3);
    expect(body!.touches[1]).toMatchObject({ design: { xMm: 20, yMm: 0 }, points: [{ xPx: 545, yPx: 400 }] });
    expect(body).toMatchObject({ restart: { point: { xPx: 500, yPx: 400 } } });
  });
});
