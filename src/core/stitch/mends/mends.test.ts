import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { checkDesign, type CheckContext } from "../checks";
import { letterText } from "../lettering/letter-text";
import { readMachineFile } from "../machine-file";
import { writeMachineFile } from "../machine-writer";
import {
  countStitches,
  JUMP,
  STITCH,
  StitchRecorder,
  type Stitches,
  stitchExtents,
  withSplitMoves,
} from "../stitches";
import { scaleStitches, shiftStitches } from "../transform";
import { DESIGN_MENDS, mendDesign, mendsFor } from ".";

const codes = (design: Stitches, context?: CheckContext): string[] =>
  checkDesign(design, context).map(({ code }) => code);

/** Needle points as text, in sewing order. */
const points = ({ kind, x, y }: Stitches): string[] =>
  Array.from(kind).flatMap((one, i) => (one === STITCH ? [`${x[i]},${y[i]}`] : []));

function isSubsequence(few: readonly string[], many: readonly string[]): boolean {
  let at = 0;
  for (const one of many) if (few[at] === one) at++;
  return at === few.length;
}

/** Satin `widthTenths` wide along x, tied at both ends, begun at (x0, 0). */
function satin(recorder: StitchRecorder, x0: number, count: number, widthTenths: number, pitch = 4): void {
  recorder.jump(x0, 0);
  for (const x of [0, 7, 0, 7]) recorder.stitch(x0 + x, 0);
  for (let i = 0; i < count; i++) recorder.stitch(x0 + (i * pitch) / 2, i % 2 === 0 ? 0 : widthTenths);
  const end = x0 + ((count - 1) * pitch) / 2;
  for (const back of [7, 0, 7]) recorder.stitch(end - back, (count - 1) % 2 === 0 ? 0 : widthTenths);
}

/** Any design: lines of stitches of all lengths, short ones often, with jumps, cuts and stops between them. */
const anyDesign: fc.Arbitrary<Stitches> = fc
  .array(
    fc.tuple(
      fc.constantFrom("jump", "trim", "stop", "on"),
      fc.integer({ min: -90, max: 90 }),
      fc.array(fc.tuple(fc.integer({ min: -12, max: 12 }), fc.integer({ min: -90, max: 90 })), {
        minLength: 1,
        maxLength: 25,
      }),
    ),
    { minLength: 1, maxLength: 8 },
  )
  .map((lines) => {
    const recorder = new StitchRecorder();
    for (const [how, far, stitches] of lines) {
      if (how === "stop") recorder.stop();
      if (how === "trim") recorder.trim(recorder.x + far, recorder.y);
      if (how === "jump") recorder.jump(recorder.x + far, recorder.y + (far >> 1));
      // Half of them turn to and fro, as satin does.
      stitches.forEach(([dx, dy], i) =>
        recorder.stitch(recorder.x + dx, recorder.y + (i % 2 === 0 ? Math.abs(dy) : -Math.abs(dy))),
      );
    }
    return recorder.done();
  });

const context: CheckContext = { partThreads: ["a", "b", "a", "b", "c", "a", "b", "a", "c"] };

describe("every mend", () => {
  for (const mend of DESIGN_MENDS)
    it(`${mend.code} keeps extents, writes a file that reads back alike, and done twice does nothing more`, () => {
      fc.assert(
        fc.property(anyDesign, (design) => {
          const once = mendDesign(design, [mend.code], context);
          const twice = mendDesign(once.design, [mend.code], {
            partThreads: once.partsFrom.map((part) => context.partThreads![part] ?? null),
          });
          expect(twice.done[0]!.changed).toBe(0);
          expect(points(twice.design)).toEqual(points(once.design));
          const [a, b] = [stitchExtents(design), stitchExtents(once.design)];
          if (mend.code === "centre-start")
            expect([b.right - b.left, b.top - b.bottom]).toEqual([a.right - a.left, a.top - a.bottom]);
          else expect(b).toEqual(a);
          const written = readMachineFile(writeMachineFile(once.design, "X")).stitches;
          expect(written).toEqual(withSplitMoves(once.design));
          expect(once.partsFrom.length).toBe(countStitches(once.design).stops + 1);
        }),
        { numRuns: 150, seed: 4 },
      );
    });

  it("moves no needle point it does not say it moves", () => {
    fc.assert(
      fc.property(anyDesign, (design) => {
        const after = (code: string): string[] => points(mendDesign(design, [code], context).design);
        const before = points(design);
        for (const code of ["merge-short", "thin-dense"])
          expect(isSubsequence(after(code), before)).toBe(true);
        for (const code of ["split-long", "add-ties", "insert-trims"])
          expect(isSubsequence(before, after(code))).toBe(true);
        expect(after("drop-trims")).toEqual(before);
        expect(after("fewer-stops").sort()).toEqual(before.sort());
      }),
      { numRuns: 150, seed: 5 },
    );
  });

  it("leaves sound lettering as it is", () => {
    const { stitches } = letterText("Maren", { heightMm: 14 });
    const all = DESIGN_MENDS.map(({ code }) => code).filter((code) => code !== "centre-start");
    const { design, done } = mendDesign(stitches, all, { partThreads: ["a"] });
    const changed = done.filter(({ changed }) => changed > 0).map(({ code }) => code);
    expect(changed.filter((code) => code !== "merge-short" && code !== "add-ties")).toEqual([]);
    expect(stitchExtents(design)).toEqual(stitchExtents(stitches));
  });

  it("is offered only by findings that some check can tell", () => {
    expect(mendsFor("dense-spot").map(({ code }) => code)).toEqual(["merge-short", "thin-dense"]);
    expect(mendsFor("outside-field")).toEqual([]);
  });
});

describe("a mend ends its finding", () => {
  it("stitches under 0.4 mm are merged", () => {
    const small = scaleStitches(letterText("Ida", { heightMm: 8 }).stitches, 0.5).stitches;
    expect(codes(small)).toContain("stitches-too-short");
    const { design, gone } = mendDesign(small, ["merge-short"]);
    expect(gone.map(({ code }) => code)).toContain("stitches-too-short");
    expect(countStitches(design).stitches).toBeLessThan(countStitches(small).stitches);
  });

  it("satin wider than the cloth bears is split at places that wander", () => {
    const recorder = new StitchRecorder();
    satin(recorder, 0, 60, 90);
    const wide = recorder.done();
    expect(codes(wide)).toContain("column-too-wide");
    const { design, gone, done } = mendDesign(wide, ["split-long"]);
    expect(gone.map(({ code }) => code)).toContain("column-too-wide");
    expect(done[0]!.changed).toBeGreaterThanOrEqual(59);
    const heights = new Set(points(design).map((point) => point.split(",")[1]));
    expect(heights.size).toBeGreaterThan(6);
    // On pile the limit is 5 mm.
    const six = new StitchRecorder();
    satin(six, 0, 60, 60);
    expect(mendDesign(six.done(), ["split-long"]).done[0]!.changed).toBe(0);
    expect(mendDesign(six.done(), ["split-long"], { cloth: "pile" }).done[0]!.changed).toBeGreaterThan(50);
  });

  it("a bare way over 3 mm is cut and tied, one that is sewn over later is not", () => {
    const recorder = new StitchRecorder();
    satin(recorder, 0, 40, 20);
    satin(recorder, 200, 40, 20);
    const bare = recorder.done();
    expect(codes(bare)).toContain("trim-missing");
    const { design, gone } = mendDesign(bare, ["insert-trims"]);
    expect(gone.map(({ code }) => code)).toContain("trim-missing");
    expect(countStitches(design).trims).toBe(1);
    expect(codes(design)).not.toContain("tie-off-missing");
    // The same way, covered by satin along it.
    const covered = new StitchRecorder();
    covered.append(bare);
    covered.trim(30, 0);
    for (let i = 0; i < 100; i++) covered.stitch(30 + i * 2, i % 2 === 0 ? -10 : 30);
    expect(mendDesign(covered.done(), ["insert-trims"]).done[0]!.changed).toBe(0);
  });

  it("thread across finished sewing is told apart", () => {
    const recorder = new StitchRecorder();
    satin(recorder, 100, 60, 30);
    recorder.trim(60, 15);
    for (const x of [60, 67, 60, 67, 40]) recorder.stitch(x, 15);
    recorder.jump(270, 15);
    for (const x of [290, 310, 330, 323, 330, 323]) recorder.stitch(x, 15);
    expect(codes(recorder.done())).toContain("jump-across-sewing");
    expect(codes(mendDesign(recorder.done(), ["insert-trims"]).design)).not.toContain("jump-across-sewing");
  });

  it("a cut over a short gap is taken out", () => {
    const recorder = new StitchRecorder();
    satin(recorder, 0, 40, 20);
    recorder.trim(recorder.x + 15, 0);
    satin(recorder, recorder.x, 40, 20);
    const { design, gone } = mendDesign(recorder.done(), ["drop-trims"]);
    expect(gone.map(({ code }) => code)).toContain("trim-needless");
    expect(countStitches(design).trims).toBe(0);
  });

  it("a dense spot is thinned to 12 on a square mm, and nothing else", () => {
    const recorder = new StitchRecorder();
    for (let i = 0; i < 60; i++) recorder.stitch(i * 3, i % 2 === 0 ? 0 : 20);
    for (let i = 0; i < 40; i++) recorder.stitch(100 + (i % 5) * 2, i % 2 === 0 ? 10 : 15);
    for (let i = 0; i < 60; i++) recorder.stitch(120 + i * 3, i % 2 === 0 ? 0 : 20);
    const dense = recorder.done();
    expect(codes(dense)).toContain("dense-spot");
    const { design, gone, done } = mendDesign(dense, ["thin-dense"]);
    expect(gone.map(({ code }) => code)).toContain("dense-spot");
    expect(done[0]!.changed).toBeLessThan(40);
    const far = (point: string): boolean => Math.abs(Number(point.split(",")[0]) - 105) > 25;
    expect(points(design).filter(far)).toEqual(points(dense).filter(far));
  });

  it("thread ends are tied", () => {
    const recorder = new StitchRecorder();
    for (let i = 1; i <= 20; i++) recorder.stitch(i * 25, 0);
    expect(codes(recorder.done())).toContain("tie-off-missing");
    const { gone, done } = mendDesign(recorder.done(), ["add-ties"]);
    expect(gone.map(({ code }) => code)).toContain("tie-off-missing");
    expect(done[0]!.says).toBe("1 tie-in and 1 tie-off added");
  });

  it("the start is set to the middle", () => {
    const recorder = new StitchRecorder();
    satin(recorder, 0, 40, 20);
    const far = shiftStitches(recorder.done(), 400, 100);
    const { design, gone } = mendDesign(far, ["centre-start"]);
    expect(gone.map(({ code }) => code)).toEqual(["start-off-centre"]);
    const box = stitchExtents(design);
    expect(Math.abs(box.left + box.right)).toBeLessThanOrEqual(1);
    expect(design.kind[0]).toBe(JUMP);
  });
});

describe("like colours together", () => {
  /** Short lines, one a part, at these heights: equal heights lie over each other. */
  const stacked = (heights: readonly number[]): Stitches => {
    const recorder = new StitchRecorder();
    heights.forEach((height, part) => {
      if (part > 0) recorder.stop();
      recorder.jump(0, height);
      for (let i = 1; i <= 8; i++) recorder.stitch(i * 20, height);
    });
    return recorder.done();
  };
  const stopsAfter = (heights: readonly number[], partThreads: readonly (string | null)[]) =>
    mendDesign(stacked(heights), ["fewer-stops"], { partThreads });

  it("join parts that touch nothing between them", () => {
    const { design, partsFrom } = stopsAfter([0, 100, 200, 300], ["red", "blue", "red", "blue"]);
    expect(countStitches(design).stops).toBe(1);
    expect(partsFrom).toEqual([0, 1]);
    expect(countStitches(design).trims).toBe(2);
  });

  it("never pass a part they lie on", () => {
    expect(stopsAfter([0, 0, 0], ["red", "blue", "red"]).done[0]!.changed).toBe(0);
    const { design, partsFrom } = stopsAfter([0, 0, 100], ["red", "blue", "red"]);
    expect(countStitches(design).stops).toBe(1);
    expect(partsFrom).toEqual([0, 1]);
  });

  it("find the fewest stops where taking what comes first would not", () => {
    // Blue frees green, red frees nothing: red first leaves red for later again.
    const heights = [0, 100, 0, 100, 200];
    const threads = ["red", "blue", "blue", "red", "red"];
    const { design } = stopsAfter(heights, threads);
    expect(countStitches(design).stops).toBe(bruteStops(heights, threads));
  });

  it("agree with trying all orders", () => {
    fc.assert(
      fc.property(
        fc.array(fc.tuple(fc.integer({ min: 0, max: 2 }), fc.constantFrom("a", "b", "c")), {
          minLength: 2,
          maxLength: 6,
        }),
        (parts) => {
          const heights = parts.map(([height]) => height * 100);
          const threads = parts.map(([, thread]) => thread);
          const { design } = stopsAfter(heights, threads);
          expect(countStitches(design).stops).toBe(bruteStops(heights, threads));
        },
      ),
      { numRuns: 60, seed: 3 },
    );
  });

  it("leave threads that are not chosen yet", () => {
    expect(stopsAfter([0, 100, 200], [null, null, null]).done[0]!.changed).toBe(0);
  });
});

/** The fewest stops over all orders in which no part passes one at its height. */
function bruteStops(heights: readonly number[], threads: readonly string[]): number {
  let best = Infinity;
  const go = (order: readonly number[]): void => {
    if (order.length === heights.length) {
      const stops = order.filter((part, n) => n > 0 && threads[part] !== threads[order[n - 1]!]).length;
      best = Math.min(best, stops);
      return;
    }
    heights.forEach((height, part) => {
      if (order.includes(part)) return;
      const waits = heights.some((other, i) => i < part && other === height && !order.includes(i));
      if (!waits) go([...order, part]);
    });
  };
  go([]);
  return best;
}
