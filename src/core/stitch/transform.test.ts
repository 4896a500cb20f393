import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { letterText } from "./lettering/letter-text";
import { demoMotif } from "./motifs";
import { machineFileName } from "./names";
import { countStitches, EMPTY_STITCHES, STITCH, type Stitches, stitchExtents, STOP } from "./stitches";
import {
  centreStitches,
  composeStitches,
  mirrorStitches,
  restartStitches,
  rotateStitches,
  scaleStitches,
  shiftStitches,
  splitAtStops,
} from "./transform";

const name = letterText("Ida", { heightMm: 14 }).stitches;
const boat = demoMotif("sail-boat", { widthMm: 60 }).stitches;

const penetrations = (design: Stitches): string[] =>
  Array.from(design.kind, (kind, i) => (kind === STITCH ? `${design.x[i]} ${design.y[i]}` : "")).filter(
    (text) => text !== "",
  );

describe("moving a design", () => {
  it("gives the design back after four quarter turns, or two mirrorings", () => {
    let turned = boat;
    for (let i = 0; i < 4; i++) turned = rotateStitches(turned, 90);
    expect(turned).toEqual(boat);
    for (const axis of ["x", "y"] as const)
      expect(mirrorStitches(mirrorStitches(boat, axis), axis)).toEqual(boat);
  });

  it("keeps every stitch's length within rounding at any angle", () => {
    fc.assert(
      fc.property(fc.double({ min: -720, max: 720, noNaN: true }), (degrees) => {
        const turned = rotateStitches(name, degrees);
        for (let i = 1; i < name.kind.length; i++) {
          const before = Math.hypot(name.x[i]! - name.x[i - 1]!, name.y[i]! - name.y[i - 1]!);
          const after = Math.hypot(turned.x[i]! - turned.x[i - 1]!, turned.y[i]! - turned.y[i - 1]!);
          // Two ends, each off by half a tenth on each axis at most.
          expect(Math.abs(after - before)).toBeLessThanOrEqual(Math.SQRT2 + 1e-9);
        }
      }),
      { numRuns: 30, seed: 2 },
    );
  });

  it("turns a quarter counter-clockwise: what was right comes up", () => {
    const box = stitchExtents(shiftStitches(name, 500, 0));
    const turned = stitchExtents(rotateStitches(shiftStitches(name, 500, 0), 90));
    expect([turned.bottom, turned.top]).toEqual([box.left, box.right]);
  });

  it("centres the penetrations on the start", () => {
    const box = stitchExtents(centreStitches(shiftStitches(boat, 1234, -987)));
    expect(Math.abs(box.left + box.right)).toBeLessThanOrEqual(1);
    expect(Math.abs(box.bottom + box.top)).toBeLessThanOrEqual(1);
    expect(centreStitches(EMPTY_STITCHES)).toEqual(EMPTY_STITCHES);
  });

  it("warns when a finished design is scaled by more than 10 %", () => {
    expect(scaleStitches(name, 1.1).findings).toEqual([]);
    expect(scaleStitches(name, 1.2).findings.map((finding) => finding.code)).toEqual(["scaled-too-far"]);
    expect(() => scaleStitches(name, 0)).toThrow(/number over 0/);
  });

  it("starts again from a stitch with the parts keeping their numbers", () => {
    const all = countStitches(boat);
    const from = all.parts[0]!.stitches + 11;
    const rest = restartStitches(boat, from);
    expect(countStitches(rest).stops).toBe(all.stops);
    expect(countStitches(rest).parts[0]!.stitches).toBe(0);
    expect(penetrations(rest)).toEqual(penetrations(boat).slice(from - 1));
    expect(() => restartStitches(boat, all.stitches + 1)).toThrow(`the design has ${all.stitches}`);
  });
});

describe("several designs as one", () => {
  it("keep every penetration of each, with a colour stop between", () => {
    const both = composeStitches([{ stitches: boat }, { stitches: name, xTenths: 40, yTenths: -500 }]);
    expect(penetrations(both)).toEqual([
      ...penetrations(boat),
      ...penetrations(shiftStitches(name, 40, -500)),
    ]);
    expect(countStitches(both).stops).toBe(countStitches(boat).stops + 1);
  });

  it("may go on with the thread that is in, and leave out what is empty", () => {
    const both = composeStitches([
      { stitches: name },
      { stitches: EMPTY_STITCHES },
      { stitches: name, xTenths: 600, joins: "same-part" },
    ]);
    expect(countStitches(both).stops).toBe(0);
    expect(countStitches(both).stitches).toBe(2 * countStitches(name).stitches);
    expect(composeStitches([])).toEqual(EMPTY_STITCHES);
  });

  it("come apart again at the stops", () => {
    const parts = splitAtStops(boat);
    expect(parts).toHaveLength(countStitches(boat).stops + 1);
    expect(parts.flatMap(penetrations)).toEqual(penetrations(boat));
    expect(parts.some((part) => part.kind.includes(STOP))).toBe(false);
  });
});

describe("a name a machine can show", () => {
  it("has at most 8 capital letters and digits, in running order", () => {
    expect(machineFileName(7, "Olivia")).toBe("07OLIVIA");
    expect(machineFileName(12, "Søren & Ægir")).toBe("12SORENA");
    expect(machineFileName(3, "Жанна")).toBe("03");
  });
  it("is unique in a bundle, whatever the texts are", () => {
    fc.assert(
      fc.property(fc.array(fc.string(), { minLength: 1, maxLength: 150 }), (texts) => {
        const taken = new Set<string>();
        const names = texts.map((text) => machineFileName(1, text, taken));
        expect(new Set(names).size).toBe(texts.length);
        for (const one of names) expect(one).toMatch(/^[0-9A-Z]{1,8}$/);
      }),
      { numRuns: 50, seed: 4 },
    );
  });
});
