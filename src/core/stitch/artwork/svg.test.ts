import fc from "fast-check";
import svgpath from "svgpath";
import { describe, expect, it } from "vitest";
import { insideArea } from "./artwork";
import { readSvg } from "./svg";
import { outlinesOf, type PathSegment, readPathData } from "./svg-path";
import { readTransform } from "./svg-transform";

const areas = (body: string) =>
  readSvg(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 600 400">${body}</svg>`).painted;

describe("path data of SVG 2", () => {
  // W3C SVG 1.1 / SVG 2 path grammar and W3C test paths-data-20-f; segments as a general library reads them.
  const cases: readonly [string, readonly PathSegment[]][] = [
    ["M600,350l50-25a25,25-30 0,1 50,-25", [["M", 600, 350], ["l", 50, -25], ["a", 25, 25, -30, 0, 1, 50, -25]]],
    ["M0 0a25 25 -30 1150 -20", [["M", 0, 0], ["a", 25, 25, -30, 1, 1, 50, -20]]],
    ["m1 2 4 3 1 1Z", [["M", 1, 2], ["l", 4, 3], ["l", 1, 1], ["Z"]]],
    ["M1,2 3,4", [["M", 1, 2], ["L", 3, 4]]],
    ["M.5.5.5.6-1-2", [["M", 0.5, 0.5], ["L", 0.5, 0.6], ["L", -1, -2]]],
    ["M1e2-1e-1L10-20", [["M", 100, -0.1], ["L", 10, -20]]],
    ["M10,10zm5,5l1,1", [["M", 10, 10], ["z"], ["m", 5, 5], ["l", 1, 1]]],
    ["M0 0 h10 20 v-5-5", [["M", 0, 0], ["h", 10], ["h", 20], ["v", -5], ["v", -5]]],
    ["M0,0 q1,1 2,0 t2,0 2,0", [["M", 0, 0], ["q", 1, 1, 2, 0], ["t", 2, 0], ["t", 2, 0]]],
    ["M0 0a-5-5 0 01 10 0", [["M", 0, 0], ["a", -5, -5, 0, 0, 1, 10, 0]]],
    ["M100,100 h25 a25,25 0 1 0 -25,25 z", [["M", 100, 100], ["h", 25], ["a", 25, 25, 0, 1, 0, -25, 25], ["z"]]],
  ]; // prettier-ignore
  it.each(cases)("%s", (data, segments) => {
    expect(readPathData(data)).toEqual({ segments, errorAt: null });
  });

  // The same sources: what comes before an error is drawn.
  const damaged: readonly [string, readonly PathSegment[]][] = [
    ["M280,120 h25 a25,25 0 6 0 -25,25 z", [["M", 280, 120], ["h", 25]]],
    ["M360,120 h-25 a25,25 0 1 -1 25,25 z", [["M", 360, 120], ["h", -25]]],
    ["L 10 10", []],
    ["M10 10 20", [["M", 10, 10]]],
    ["M0 0,,L1 1", [["M", 0, 0]]],
  ]; // prettier-ignore
  it.each(damaged)("up to the error: %s", (data, segments) => {
    const reading = readPathData(data);
    expect(reading.segments).toEqual(segments);
    expect(reading.errorAt).not.toBeNull();
  });

  it("after a closing the next place counts from where the outline began", () => {
    expect(outlinesOf(readPathData("M10,10 l3 0 0 3zm5,5l1,1").segments)[1]!.start).toEqual([15, 15]);
  });

  it("agrees with a general library (svgpath) on any path, arcs included", () => {
    const number = fc.integer({ min: -500, max: 500 }).map((n) => n / 10);
    const radius = fc.integer({ min: 1, max: 300 }).map((n) => n / 10);
    const flag = fc.constantFrom(0, 1);
    const segment = fc.oneof(
      fc.tuple(fc.constantFrom("l", "L", "t", "T", "m", "M"), number, number),
      fc.tuple(fc.constantFrom("h", "H", "v", "V"), number),
      fc.tuple(fc.constantFrom("c", "C"), number, number, number, number, number, number),
      fc.tuple(fc.constantFrom("s", "S", "q", "Q"), number, number, number, number),
      fc.tuple(fc.constantFrom("a", "A"), radius, radius, number, flag, flag, number, number),
      fc.tuple(fc.constantFrom("z")),
    );
    fc.assert(
      fc.property(fc.array(segment, { minLength: 1, maxLength: 12 }), (list) => {
        const data = ["M3 4", ...list.map(([letter, ...values]) => letter + values.join(" "))].join("");
        const theirs: number[][] = [];
        svgpath(data)
          .abs()
          .unshort()
          .unarc()
          .iterate(([letter, ...values], _, x, y) => {
            if (letter === "M" || letter === "Z" || letter === "z") return;
            if (letter === "H") theirs.push([values[0] as number, y]);
            else if (letter === "V") theirs.push([x, values[0] as number]);
            else theirs.push(values.slice(-2) as number[]);
          });
        const ours = outlinesOf(readPathData(data).segments).flatMap(({ curves }) =>
          curves.map(({ to }) => to),
        );
        // Arcs of no length are left out by both; pieces of arcs may be cut elsewhere, ends of segments may not.
        const last = theirs.at(-1);
        if (!last) return;
        expect(ours.at(-1)![0]).toBeCloseTo(last[0]!, 3);
        expect(ours.at(-1)![1]).toBeCloseTo(last[1]!, 3);
      }),
    );
  });
});

describe("a drawing", () => {
  it("keeps its fill rule: the star of SVG 2's figures is full by nonzero and hollow by even-odd", () => {
    const d = "M 250,75 L 323,301 131,161 369,161 177,301 z";
    const [nonzero, evenodd] = areas(`<path d="${d}"/><path d="${d}" fill-rule="evenodd"/>`);
    if (nonzero?.kind !== "area" || evenodd?.kind !== "area") throw new Error("two areas");
    expect(insideArea(nonzero, [250, -190])).toBe(true);
    expect(insideArea(evenodd, [250, -190])).toBe(false);
    expect(insideArea(nonzero, [250, -90])).toBe(true);
    expect(insideArea(evenodd, [250, -90])).toBe(true);
  });

  it("knows groups, transforms, use, symbols and style sheets", () => {
    const painted = areas(`
      <style>.sea { fill: teal } #top { fill: rgb(100% 0% 0%) }</style>
      <defs><rect id="r" width="10" height="10"/></defs>
      <symbol id="s" viewBox="0 0 2 2"><circle cx="1" cy="1" r="1"/></symbol>
      <g class="sea" transform="translate(100 50) scale(2)"><use href="#r" x="5"/></g>
      <use href="#s" width="20" height="20" fill="#abc"/>
      <g fill="lime"><rect id="top" width="4" height="4"/><rect width="4" height="4" style="fill: hsl(240 100% 50%)"/></g>`);
    expect(painted.map((one) => one.colour)).toEqual(["#008080", "#aabbcc", "#ff0000", "#0000ff"]);
    const [rectangle, circle] = painted;
    if (rectangle?.kind !== "area" || circle?.kind !== "area") throw new Error("two areas");
    const xs = rectangle.rings[0]!.map(([x]) => x);
    expect([Math.min(...xs), Math.max(...xs)]).toEqual([110, 130]);
    const reach = circle.rings[0]!.map(([x, y]) => Math.hypot(x - 10, y + 10));
    for (const radius of reach) expect(radius).toBeCloseTo(10, 1);
  });

  it("gives strokes their width as they are scaled, and leaves out what is not painted", () => {
    const painted = areas(
      `<g stroke="navy" fill="none" transform="scale(3)"><path d="M0 0L10 0" stroke-width="2"/></g>
       <rect width="5" height="5" display="none"/><rect width="5" height="5" visibility="hidden"/><rect width="5" height="5" fill="none"/>`,
    );
    expect(painted).toHaveLength(1);
    expect(painted[0]).toMatchObject({ kind: "line", width: 6, colour: "#000080", cap: "butt" });
  });

  it("tells what thread cannot follow", () => {
    const { findings, painted } = readSvg(
      `<svg xmlns="http://www.w3.org/2000/svg" width="50mm" height="20mm" viewBox="0 0 50 20">
         <linearGradient id="g"><stop stop-color="#000"/><stop offset="1" stop-color="#fff"/></linearGradient>
         <rect width="9" height="9" fill="url(#g)"/><text x="1" y="9">Tide</text><rect width="9" height="9" opacity=".5"/>
         <path d="M0 0L9 9 9"/><use href="#nothing"/></svg>`,
    );
    expect(findings.map(({ code }) => code)).toEqual([
      "gradient-flattened",
      "text-left-out",
      "see-through",
      "path-damaged",
      "use-unknown",
    ]);
    expect(painted[0]!.colour).toBe("#808080");
  });

  it("knows its size in mm where it says so", () => {
    const { naturalMm } = readSvg(`<svg xmlns="http://www.w3.org/2000/svg" width="2in" height="1cm"/>`);
    expect(naturalMm!.width).toBeCloseTo(50.8, 9);
    expect(naturalMm!.height).toBeCloseTo(10, 9);
  });

  it("ends when it uses itself", () => {
    const { findings } = readSvg(
      `<svg xmlns="http://www.w3.org/2000/svg"><g id="a"><use href="#a"/><rect width="3" height="3"/></g></svg>`,
    );
    expect(findings.some(({ code }) => code === "use-unknown")).toBe(true);
  });

  it("reads what drawing programs write: entities, prefixes, byte order marks", () => {
    const { painted } = readSvg(
      `\ufeff<?xml version="1.0"?><!DOCTYPE svg [<!ENTITY ns_x "http://x.example/"><!ENTITY sea "#008080">]>
       <svg:svg xmlns:svg="http://www.w3.org/2000/svg" xmlns:x="&ns_x;"><x:view/><svg:rect width="3" height="3" fill="&sea;"/></svg:svg>`,
    );
    expect(painted).toMatchObject([{ kind: "area", colour: "#008080" }]);
  });

  it.each([
    ["no XML at all", "GIF89a", /XML/],
    ["another document", "<html><body/></html>", /<html>/],
    ["a broken one", "<svg><g></svg>", /1:/],
  ])("refuses %s, saying where", (_, text, words) => {
    expect(() => readSvg(text)).toThrow(words);
  });

  it("reads every transform of the standard", () => {
    expect(readTransform("rotate(90 10 0)")!.map((n) => Math.round(n * 1e6) / 1e6 + 0)).toEqual([0, 1, -1, 0, 10, -10]); // prettier-ignore
    expect(readTransform("matrix(1 2 3 4 5 6), translate(1,1)")).toEqual([1, 2, 3, 4, 9, 12]);
    expect(readTransform("skewX(45)")![2]).toBeCloseTo(1, 12);
    expect(readTransform("turn(3)")).toBeNull();
  });
});
