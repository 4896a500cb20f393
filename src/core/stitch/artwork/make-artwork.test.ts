import { describe, expect, it } from "vitest";
import { designReport } from "../report";
import { STITCH } from "../stitches";
import { readMachineFile } from "../machine-file";
import { writeMachineFile } from "../machine-writer";
import { resizedMaking, sewMaking } from "../making/making";
import { boxOfRings } from "../rings";
import type { Artwork, Painted } from "./artwork";
import { insideArea } from "./artwork";
import { makeArtwork } from "./make-artwork";
import { readPicture } from "./picture";
import { readSvg } from "./svg";

const drawing = (body: string, size = 100): Artwork =>
  readSvg(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${size} ${size}">${body}</svg>`);

const sewnLines = ({ kind, x, y }: ReturnType<typeof sewMaking>): [number, number, number, number][] => {
  const lines: [number, number, number, number][] = [];
  for (let i = 1; i < kind.length; i++)
    if (kind[i] === STITCH && kind[i - 1] === STITCH)
      lines.push([x[i - 1]! / 10, y[i - 1]! / 10, x[i]! / 10, y[i]! / 10]);
  return lines;
};

describe("artwork", () => {
  it("comes out as wide as asked, in one part a colour", () => {
    const made = makeArtwork(
      drawing(
        `<rect x="10" y="30" width="80" height="40" fill="navy"/><circle cx="50" cy="50" r="12" fill="gold"/>`,
      ),
      { widthMm: 60 },
    );
    const { extentsMm, stops } = designReport(made.stitches, []);
    // The pull of woven cloth is added at both sides.
    expect(extentsMm.right - extentsMm.left).toBeGreaterThan(59.5);
    expect(extentsMm.right - extentsMm.left).toBeLessThan(61);
    expect(stops).toBe(1);
    expect(made.making.parts.map(({ colour }) => colour)).toEqual(["#000080", "#ffd700"]);
    expect(made.heightMm).toBeCloseTo(30, 3);
  });

  it("sews what lies above later, and colours as seldom as that allows", () => {
    const made = makeArtwork(
      drawing(
        `<rect width="40" height="40" fill="red"/><circle cx="20" cy="20" r="12" fill="blue"/><rect x="60" width="40" height="40" fill="red"/>
         <circle cx="80" cy="20" r="12" fill="blue"/><circle cx="20" cy="20" r="4" fill="red"/>`,
      ),
      { widthMm: 90 },
    );
    expect(made.making.parts.map(({ colour }) => colour)).toEqual(["#ff0000", "#0000ff", "#ff0000"]);
  });

  it("cuts wide things out of what lies under them, and leaves it whole under small ones", () => {
    const made = makeArtwork(
      drawing(`<rect width="100" height="60" fill="green"/><circle cx="30" cy="30" r="20" fill="white"/><circle cx="80" cy="30" r="2" fill="white"/>`), // prettier-ignore
      { widthMm: 100 },
    );
    const ground = made.making.parts[0]!.objects[0]!;
    if (ground.sew !== "fill") throw new Error("a fill");
    const area: Painted = { kind: "area", rings: ground.rings, rule: "evenodd", colour: "" };
    if (area.kind !== "area") return;
    expect(insideArea(area, [-20, 0])).toBe(false);
    expect(insideArea(area, [30, 0])).toBe(true);
  });

  it("sews no stitch across a hole", () => {
    const middles = Array.from(
      { length: 30 },
      (_, i) => [10 + 16 * (i % 6), 14 + 18 * Math.floor(i / 6)] as const,
    );
    const holes = middles.map(([x, y]) => `M${x - 5} ${y}a5 5 0 1 0 10 0a5 5 0 1 0 -10 0z`).join("");
    const made = makeArtwork(drawing(`<path fill-rule="evenodd" d="M0 0H100V100H0z${holes}"/>`), {
      widthMm: 80,
    });
    const centres = middles.map(([x, y]) => [(x - 50) * 0.8, (50 - y) * 0.8] as const);
    for (const [ax, ay, bx, by] of sewnLines(made.stitches))
      for (const [cx, cy] of centres) {
        const t = Math.max(0, Math.min(1, ((cx - ax) * (bx - ax) + (cy - ay) * (by - ay)) / ((bx - ax) ** 2 + (by - ay) ** 2 || 1))); // prettier-ignore
        // The holes have a radius of 4 mm; rows may reach in by the pull.
        expect(Math.hypot(ax + t * (bx - ax) - cx, ay + t * (by - ay) - cy)).toBeGreaterThan(3);
      }
  });

  it("is the same at every making, and through the machine file", () => {
    const art = drawing(`<path d="M5 50C5 10 95 10 95 50S5 90 5 50" fill="teal"/><path d="M20 50H80" stroke="#fff" stroke-width="4"/>`); // prettier-ignore
    const [one, two] = [makeArtwork(art, { widthMm: 70 }), makeArtwork(art, { widthMm: 70 })];
    expect(one.stitches).toEqual(two.stitches);
    const back = readMachineFile(writeMachineFile(one.stitches, "sea")).stitches;
    expect(designReport(back, []).stitches).toBe(designReport(one.stitches, []).stitches);
    expect(designReport(back, []).extentsMm).toEqual(designReport(one.stitches, []).extentsMm);
  });

  it("made again at twice the size keeps its density", () => {
    const { making } = makeArtwork(drawing(`<circle cx="50" cy="50" r="40" fill="teal"/>`), { widthMm: 40 });
    const small = designReport(sewMaking(making), []);
    const large = designReport(sewMaking(resizedMaking(making, 2)), []);
    const thread = (report: typeof small): number =>
      report.parts.reduce((sum, { threadMm }) => sum + threadMm, 0);
    expect(thread(large) / thread(small)).toBeGreaterThan(3.5);
    expect(thread(large) / thread(small)).toBeLessThan(4.2);
    expect(large.longestMm).toBeLessThanOrEqual(7);
  });

  it("takes a ground under all of it for the cloth, and says so", () => {
    const body = `<rect width="100" height="100" fill="#fff"/><circle cx="50" cy="50" r="40" fill="teal"/>`;
    const left = makeArtwork(drawing(body), { widthMm: 50 });
    expect(left.findings.map(({ code }) => code)).toContain("ground-left-out");
    expect(left.making.parts).toHaveLength(1);
    expect(makeArtwork(drawing(body), { widthMm: 50, ground: "keep" }).making.parts).toHaveLength(2);
  });

  it("refuses what cannot be sewn, with its measure", () => {
    expect(() => makeArtwork(drawing(""), { widthMm: 50 })).toThrow(/nothing painted/);
    expect(() => makeArtwork(drawing(`<circle cx="50" cy="50" r="40"/>`), { widthMm: 2 })).toThrow(/2 mm/);
    expect(() => makeArtwork(drawing(`<circle cx="50" cy="50" r="40"/>`), { widthMm: NaN })).toThrow(/NaN/);
  });

  it.each(["woven", "knit", "pile"] as const)(
    "keeps thin things: on %s a hairline is run, a stroke is satin",
    (cloth) => {
      const made = makeArtwork(
        drawing(`<path d="M5 20H95" stroke="#000" stroke-width=".3"/><path d="M5 50H95" stroke="#000" stroke-width="3"/>`), // prettier-ignore
        { widthMm: 90, cloth },
      );
      expect(made.making.parts[0]!.objects.map(({ sew }) => sew)).toEqual(["run", "satin"]);
    },
  );
});

describe("a picture", () => {
  const picture = (width: number, height: number, dot: (x: number, y: number) => readonly number[]) => {
    const rgba = new Uint8Array(width * height * 4);
    for (let y = 0; y < height; y++) for (let x = 0; x < width; x++) rgba.set(dot(x, y), 4 * (y * width + x));
    return { width, height, rgba };
  };
  const WHITE = [255, 255, 255, 255] as const;
  const RED = [190, 40, 45, 255] as const;
  const NAVY = [30, 50, 90, 255] as const;
  const disc = (x: number, y: number, cx: number, cy: number, r: number) => Math.hypot(x - cx, y - cy) < r;

  it("becomes areas of its colours, the ground first", () => {
    const { painted, findings } = readPicture(
      picture(200, 150, (x, y) =>
        disc(x, y, 60, 75, 40) ? RED : x > 120 && x < 180 && y > 30 && y < 120 ? NAVY : WHITE,
      ),
    );
    expect(findings).toEqual([]);
    expect(painted).toHaveLength(3);
    const areas = painted.map((one) => {
      if (one.kind !== "area") throw new Error("an area");
      const box = boxOfRings(one.rings);
      return [box.right - box.left, box.top - box.bottom];
    });
    const wanted = [
      [200, 150],
      [59, 89],
      [80, 80],
    ];
    areas.forEach((area, i) =>
      area.forEach((side, k) => expect(Math.abs(side - wanted[i]![k]!)).toBeLessThan(2)),
    );
  });

  it("makes no colours of softened edges, and no areas of specks", () => {
    const soft = picture(240, 240, (x, y) => {
      const edge = Math.min(1, Math.max(0, (80 - Math.hypot(x - 120, y - 120)) / 4 + 0.5));
      if (x === 30 && y === 30) return NAVY;
      return [0, 1, 2].map((c) => WHITE[c]! + edge * (RED[c]! - WHITE[c]!)).concat(255);
    });
    const { painted } = readPicture(soft);
    expect(painted).toHaveLength(2);
    const [, red] = painted;
    if (red?.kind !== "area") throw new Error("an area");
    expect(red.rings).toHaveLength(1);
    for (const [x, y] of red.rings[0]!) expect(Math.abs(Math.hypot(x - 120, y + 120) - 80)).toBeLessThan(1.5);
  });

  it("keeps see-through dots out, and refuses a picture with nothing else", () => {
    const { painted } = readPicture(picture(50, 50, (x) => (x < 25 ? RED : [0, 0, 0, 0])));
    expect(painted).toHaveLength(1);
    expect(() => readPicture(picture(9, 9, () => [0, 0, 0, 0]))).toThrow(/see-through/);
  });

  it("is honest about photographs", () => {
    const { findings } = readPicture(
      picture(160, 120, (x, y) =>
        [x + 40 * Math.sin(y / 3), 2 * y, (x * y) % 255, 255].map((v) => Math.abs(v) % 256),
      ),
    );
    expect(findings.map(({ code }) => code)).toEqual(["looks-like-a-photograph"]);
  });
});
