import { unzipSync } from "fflate";
import { encode } from "jpeg-js";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from "vitest";
import { recountFloor } from "#app";
import type { Answer, Bytes } from "#contract";
import { type Chance, Refusal, seededChance } from "#core/base";
import { type DesignPose, type PointMm, posed } from "#core/placing";
import { readMachineFile, STITCH, type Stitches } from "#core/stitch";
import { personBody } from "#test/catalogue";
import { placedFiles } from "../../src/app/placing";
import { lineOf, type OrderBook, orderBook } from "#test/order-book";
import { startPostgres, type TestPostgres } from "#test/postgres";
import {
  CLOTH_BELOW_MM,
  INNER,
  MARKERS_OVER_MM,
  PHOTO,
  seenEdges,
  seenGrid,
  seenStickers,
  someShot,
  stickerCorners,
  touchedOn,
} from "#test/some-placing";

/** Placing over a whole program on a real database: photos come from a camera model with known truth (some-placing). */

let postgres: TestPostgres;
let measured: { lens: Answer<"addPhone">["lens"]; taught: Answer<"teachHoop">["taught"] } | undefined;
beforeAll(async () => {
  postgres = await startPostgres();
});
afterAll(() => postgres.stop());

const punctures = ({ kind, x, y }: Stitches): [number, number][] =>
  [...kind].flatMap((one, i) => (one === STITCH ? [[x[i]!, y[i]!] as [number, number]] : []));

const refused = async (asked: Promise<unknown>): Promise<Refusal> => {
  const reason: unknown = await asked.then(
    () => null,
    (trouble: unknown) => trouble,
  );
  if (!(reason instanceof Refusal)) throw new Error(`Not refused: ${String(reason)}`);
  return reason;
};

describe.each(["sqlite", "postgres"] as const)("a studio that places by phone, on %s", (kind) => {
  let book: OrderBook;
  let chance: Chance;
  let phone: string;
  let hoop: Answer<"teachHoop">;
  let job: string;
  let piece: string;

  beforeEach(async () => {
    book = await orderBook(kind === "postgres" ? { databaseUrl: await postgres.freshDatabase() } : {});
    chance = seededChance(7);
    const order = await book.order({ lines: [lineOf(book.robe, { personalText: "Iris" })] });
    const [first] = await book.pieces(order.id);
    [piece, job] = [first!.id, first!.jobs[0]!.id];
    phone = (await ask("addPhone", { body: { name: "Workroom phone" } })).id;
    const added = await ask("addTaughtHoop", { body: { hoopId: book.hoop, label: "Broad 1" } });
    // Measured once for all tests, by the program itself: it takes seconds.
    measured ??= await measuredBy(added);
    const { lens, taught } = measured;
    await book.program.context.store.write(
      { who: "test", what: "Lens and hoop as measured" },
      async (writing) => {
        await writing.update("phones", phone, { body: JSON.stringify({ lens }) });
        const body = JSON.stringify({ markerIds: added.markerIds, taught });
        await writing.update("taught_hoops", added.id, { body });
      },
    );
    hoop = (await ask("listTaughtHoops")).items[0]!;
    await ask("setPlacementRule", {
      params: { id: book.robe, placement: "chest" },
      body: { own: { rule: RULE, tolerance: { mm: 3, degrees: 1.5 } } },
    });
  });
  afterEach(() => book.program.close());

  const ask: OrderBook["program"]["ask"] = (name, asked, call) => book.program.ask(name, asked, call);
  type OfBytes = "machineDay" | "placedFile" | "designFile" | "placingPhoto";
  const bytesOf = async (name: OfBytes, asked: Parameters<typeof ask>[1]): Promise<Uint8Array> =>
    ((await ask(name, asked)) as unknown as Bytes).bytes;
  const RULE = {
    rule: "chest",
    side: "wearer's left",
    downMm: 60,
    offCentreMm: 20,
    anchor: "middle",
    turnDeg: 0,
  };

  const measuredBy = async (added: Answer<"addTaughtHoop">) => {
    const sheets = [0, 33, 25].map((tilt) => {
      const shot = someShot(chance, tilt, 420);
      return { photo: PHOTO, markers: seenGrid(shot, { xMm: 0, yMm: 0, turnRad: 0.1 }) };
    });
    const { lens } = await ask("measureLens", { params: { id: phone }, body: { photos: sheets } });
    const body = teaching(added.markerIds);
    return { lens, taught: (await ask("teachHoop", { params: { id: added.id }, body })).taught };
  };

  const teaching = (ids: readonly number[], own: Record<string, unknown> = {}) => ({
    phoneId: phone,
    photos: [5, 20, 30].map((tilt) => {
      const shot = someShot(chance, tilt);
      const laid = { xMm: 4, yMm: -3, turnRad: 1.5 };
      return {
        photo: PHOTO,
        markers: [...seenStickers(shot, ids), ...seenGrid(shot, laid)],
        edges: seenEdges(shot),
      };
    }),
    markersOverSheetMm: MARKERS_OVER_MM,
    edgesOverSheetMm: 0,
    clothBelowMm: CLOTH_BELOW_MM,
    clothBelowSpreadMm: 0.3,
    ...own,
  });

  /** Cloth that lies turned by so much: its centre line, and the shoulder seam's neck end. */
  const cloth = (turnRad: number, middle: PointMm) => {
    const on = (x: number, y: number): PointMm => posed({ ...middle, angleRad: turnRad }, { xMm: x, yMm: y });
    return { centre: [on(-20, -55), on(-20, 60)], neck: [on(-45, 60)], truth: on(0, 0) };
  };
  const marksOn = (turnRad: number, middle: PointMm, own: Record<string, unknown> = {}, tilt = 12) => {
    const shot = someShot(chance, tilt);
    const { centre, neck } = cloth(turnRad, middle);
    return {
      kind: "first",
      machineId: book.machine,
      seen: {
        way: "markers",
        phoneId: phone,
        photo: PHOTO,
        taughtHoopId: hoop.id,
        markers: seenStickers(shot, hoop.markerIds),
      },
      touches: [
        { kind: "centre line", points: touchedOn(shot, chance, centre) },
        { kind: "shoulder seam", points: touchedOn(shot, chance, neck) },
      ],
      ...own,
    };
  };
  /** Where the middle of the design's box comes to lie. */
  const middleOf = async (pose: { xMm: number; yMm: number; deg: number }): Promise<PointMm> => {
    const { extentsMm } = (await ask("knownForPlacing", { params: { id: job } })).design;
    const middle = {
      xMm: (extentsMm.left + extentsMm.right) / 2,
      yMm: (extentsMm.bottom + extentsMm.top) / 2,
    };
    return posed({ xMm: pose.xMm, yMm: pose.yMm, angleRad: (pose.deg * Math.PI) / 180 }, middle);
  };
  const bundled = async () => {
    const bytes = await bytesOf("machineDay", { query: { machine: book.machine } });
    const entries = unzipSync(bytes);
    const name = Object.keys(entries).find((one) => one.endsWith(".DST"))!;
    return {
      name,
      stitches: readMachineFile(entries[name]!).stitches,
      which: new TextDecoder().decode(entries["WHICH.TXT"]),
    };
  };
  const planned = async () => {
    await ask("people.create", { body: personBody() });
    await ask("makePlan", { body: { seconds: 0.2 } });
    await solved();
  };
  const solved = async () => {
    for (let tries = 0; tries < 400 && (await ask("planningRun")).state === "running"; tries++)
      await new Promise((resolve) => setTimeout(resolve, 25));
  };

  it("knows its lens and its hoop after they were taught, with how well", async () => {
    const { items } = await ask("listPhones");
    const { lens } = items[0]!;
    expect(Math.abs(lens!.lens.focalPx / 2912 - 1)).toBeLessThan(0.005);
    expect(lens!.leftPx).toBeLessThan(0.35);
    const { taught } = hoop;
    expect(Math.abs(taught!.innerWidthMm - INNER.widthMm)).toBeLessThan(0.4);
    expect(Math.abs(taught!.innerHeightMm - INNER.heightMm)).toBeLessThan(0.4);
    taught!.markers.forEach((marker, place) =>
      marker.cornersMm.forEach((corner, i) => {
        const truth = stickerCorners(place)[i]!;
        expect(Math.hypot(corner.xMm - truth.xMm, corner.yMm - truth.yMm)).toBeLessThan(0.4);
      }),
    );
  });

  it("puts the design where the rule says on crooked cloth, and states an error that holds", async () => {
    for (const [turn, x, y] of [
      [0.05, 6, -4],
      [-0.09, -8, 5],
    ] as const) {
      const result = await ask("previewPlacing", {
        params: { id: job },
        body: marksOn(turn, { xMm: x, yMm: y }),
      });
      const truth = cloth(turn, { xMm: x, yMm: y });
      const at = await middleOf(result.pose);
      expect(result.sure).toBe(true);
      expect(Math.hypot(at.xMm - truth.truth.xMm, at.yMm - truth.truth.yMm)).toBeLessThan(result.error.mm);
      expect(Math.abs(result.pose.deg - (turn * 180) / Math.PI)).toBeLessThan(result.error.degrees);
      expect(result.cloth.deg).toBeCloseTo(result.pose.deg, 9);
      expect(result.error.mm).toBeLessThan(2);
      expect(result.residuals).toEqual([]);
    }
    expect((await ask("knownForPlacing", { params: { id: job } })).placings).toEqual([]);
  });

  it("a line found in the picture is surer than fingers, and what is stated still holds", async () => {
    const [turn, middle] = [0.05, { xMm: 6, yMm: -4 }];
    const byHand = marksOn(turn, middle);
    const found = { placeMm: 0.1, turnRad: 0.0008 };
    const shot = someShot(chance, 12);
    const { centre } = cloth(turn, middle);
    const seen = { ...byHand.seen, markers: seenStickers(shot, hoop.markerIds) };
    const touches = [
      // As the picture told it: a tenth of a mm off, no more.
      { kind: "centre line", points: touchedOn(shot, chance, centre, 0.1), found },
      { kind: "shoulder seam", points: touchedOn(shot, chance, cloth(turn, middle).neck, 0.3) },
    ];
    const preview = (body: unknown) => ask("previewPlacing", { params: { id: job }, body });
    const [fingers, snapped] = [await preview(byHand), await preview({ ...byHand, seen, touches })];
    expect(snapped.error.degrees).toBeLessThan(0.7 * fingers.error.degrees);
    expect(snapped.error.mm).toBeLessThan(fingers.error.mm);
    expect(Math.abs(snapped.pose.deg - (turn * 180) / Math.PI)).toBeLessThan(snapped.error.degrees);
    // Fingers told as a line found no better than they point come to the same.
    const asFingers = { placeMm: 0.5 / Math.SQRT2, turnRad: (0.5 * Math.SQRT2) / 115 };
    const same = await preview({
      ...byHand,
      touches: [{ ...byHand.touches[0], found: asFingers }, byHand.touches[1]],
    });
    expect(Math.abs(same.error.degrees / fingers.error.degrees - 1)).toBeLessThan(0.1);
    expect(Math.abs(same.error.mm / fingers.error.mm - 1)).toBeLessThan(0.1);
  });

  it("where the rule's seams lie outside the hoop, the place itself is touched", async () => {
    const body = marksOn(0.04, { xMm: 0, yMm: 0 });
    const touches = [{ ...body.touches[1], kind: "place" }, body.touches[0]];
    const result = await ask("previewPlacing", {
      params: { id: job },
      body: { ...body, by: "place", touches },
    });
    const [at, neck] = [await middleOf(result.pose), cloth(0.04, { xMm: 0, yMm: 0 }).neck[0]!];
    expect(Math.hypot(at.xMm - neck.xMm, at.yMm - neck.yMm)).toBeLessThan(result.error.mm);
    const { rule } = await ask("knownForPlacing", { params: { id: job } });
    expect(rule.touchPlace.map((one) => one.oneOf[0])).toEqual(["place", "centre line"]);
  });

  it("a kept placing is the machine's file under the same name, until it is withdrawn or the piece is hooped again", async () => {
    await planned();
    const before = await bundled();
    const call = book.program.call();
    const placing = await ask(
      "keepPlacing",
      { params: { id: job }, body: marksOn(0.07, { xMm: 3, yMm: 2 }) },
      call,
    );
    expect(placing).toMatchObject({
      state: "kept",
      inForce: true,
      notInForceWhy: "",
      who: "Mara",
      give: "file",
    });
    const after = await bundled();
    expect(after.name).toBe(before.name);
    expect(after.which).toContain("placed: turned");
    const { pose } = placing.result;
    const turned: DesignPose = { xMm: pose.xMm, yMm: pose.yMm, angleRad: (pose.deg * Math.PI) / 180 };
    punctures(before.stitches).forEach(([x, y], i) => {
      const wanted = posed(turned, { xMm: x / 10, yMm: y / 10 });
      expect(Math.abs(punctures(after.stitches)[i]![0] - 10 * wanted.xMm)).toBeLessThanOrEqual(0.5 + 1e-6);
      expect(Math.abs(punctures(after.stitches)[i]![1] - 10 * wanted.yMm)).toBeLessThanOrEqual(0.5 + 1e-6);
    });
    const own = await bytesOf("placedFile", { params: { id: placing.id } });
    expect(punctures(readMachineFile(own).stitches)).toEqual(punctures(after.stitches));

    // The hooping may be told after the placing; a second one takes the piece out of the hoop it was placed in.
    const tell = (id: string, more: Record<string, unknown>) =>
      ask("tellFloor", {
        body: {
          events: [
            { id, atMs: book.program.clock.nowMs, pieceId: piece, jobId: job, kind: "hooped", ...more },
          ],
        },
      });
    book.program.clock.nowMs += 60_000;
    await tell("ev-hooped-1", {});
    expect((await ask("readPlacing", { params: { id: placing.id } })).inForce).toBe(true);
    book.program.clock.nowMs += 60_000;
    await tell("ev-hooped-2", {});
    expect((await ask("readPlacing", { params: { id: placing.id } })).notInForceWhy).toContain(
      "hooped again",
    );
    expect(punctures((await bundled()).stitches)).toEqual(punctures(before.stitches));
    await ask("tellFloor", {
      body: {
        events: [
          { id: "ev-taken-back", atMs: book.program.clock.nowMs, kind: "taken-back", eventId: "ev-hooped-2" },
        ],
      },
    });
    expect((await ask("readPlacing", { params: { id: placing.id } })).inForce).toBe(true);

    await ask("withdrawPlacing", { params: { id: placing.id } }, book.program.call({ ifMatch: 1 }));
    expect(punctures((await bundled()).stitches)).toEqual(punctures(before.stitches));
    expect((await recountFloor(book.program.context, "no")).differing).toBe(0);
  });

  it("taken back, a placing leaves nothing behind", async () => {
    await planned();
    const before = await bundled();
    const call = book.program.call();
    await ask("keepPlacing", { params: { id: job }, body: marksOn(0.03, { xMm: 0, yMm: 0 }) }, call);
    await ask("undoChange", { params: { id: call.notes.changeId! } });
    expect((await ask("knownForPlacing", { params: { id: job } })).placings).toEqual([]);
    expect((await bundled()).stitches).toEqual(before.stitches);
  });

  it("is refused where the place is not known well enough; the marks are kept and no file is given", async () => {
    await ask("setPlacementRule", {
      params: { id: book.robe, placement: "chest" },
      body: { own: { rule: RULE, tolerance: { mm: 0.2, degrees: 0.1 } } },
    });
    const refusal = await refused(
      ask("keepPlacing", { params: { id: job }, body: marksOn(0.03, { xMm: 0, yMm: 0 }) }),
    );
    expect(refusal.code).toBe("placing-not-sure-enough");
    expect(refusal.message).toMatch(/allows ±0\.2 mm and ±0\.1°/);
    const [kept] = (await ask("knownForPlacing", { params: { id: job } })).placings;
    expect(kept).toMatchObject({ id: refusal.extra.placingId, state: "unsure", inForce: false });
    expect((kept!.marks as { touches: unknown[] }).touches).toHaveLength(2);
    expect((await refused(ask("placedFile", { params: { id: kept!.id } }))).code).toBe(
      "placing-not-sure-enough",
    );
  });

  it("refuses what cannot be: a design outside the field, strangers, marks outside the photo, markers in one line", async () => {
    const codeOf = async (body: unknown, id = job) =>
      (await refused(ask("keepPlacing", { params: { id }, body }))).code;
    expect(await codeOf(marksOn(0, { xMm: 88, yMm: 0 }))).toBe("placing-leaves-field");
    expect(await codeOf(marksOn(0, { xMm: 0, yMm: 0 }), "jb_none")).toBe("job-unknown");
    expect(await codeOf(marksOn(0, { xMm: 0, yMm: 0 }, { machineId: "mc_none" }))).toBe("reference-wrong");
    expect(await codeOf(marksOn(0, { xMm: 0, yMm: 0 }, { personId: "pn_none" }))).toBe("reference-wrong");
    const good = marksOn(0, { xMm: 0, yMm: 0 });
    expect(await codeOf({ ...good, seen: { ...good.seen, taughtHoopId: "tf_none" } })).toBe(
      "placing-hoop-unknown",
    );
    expect(await codeOf({ ...good, seen: { ...good.seen, phoneId: "ph_none" } })).toBe(
      "placing-phone-unknown",
    );
    expect(await codeOf({ ...good, touches: [] })).toBe("placing-rule-needs-mark");
    const outside = [{ kind: "centre line", points: [{ xPx: -500, yPx: 10 }, { xPx: 50, yPx: 10 }] }]; // prettier-ignore
    expect(await codeOf({ ...good, touches: outside })).toBe("placing-marks-invalid");
    expect(await codeOf({ ...good, seen: { ...good.seen, markers: [] } })).toBe("placing-too-few-marks");
    expect(await codeOf({ ...good, give: "laser", machineId: await byEye() })).toBe(
      "placing-machine-not-able",
    );
    for (const absurd of [
      { ...good, nudge: { xMm: 1e9, yMm: 0, deg: 0 } },
      { ...good, nudge: { xMm: Number.NaN, yMm: 0, deg: 0 } },
      { ...good, seen: { ...good.seen, markers: [good.seen.markers[0], good.seen.markers[0]] } },
      { ...good, seen: { ...good.seen, photo: { widthPx: 3, heightPx: 3 } } },
      { ...good, shape: "round" },
    ])
      await expect(ask("previewPlacing", { params: { id: job }, body: absurd })).rejects.toThrow(
        /invalid|Invalid|expected|Unrecognized|once/,
      );
    expect((await ask("knownForPlacing", { params: { id: job } })).placings).toEqual([]);
  });

  const byEye = async (): Promise<string> => {
    const { machineBody } = await import("#test/catalogue");
    const body = machineBody({ name: "Petrel", hoopIds: [book.hoop], linesUpBy: "eye" });
    return (await ask("machines.create", { body })).id;
  };

  it("a machine that takes an angle and a shift is told both in its steps, and gets its own design's file", async () => {
    await planned();
    await ask("setMachineSteps", {
      params: { id: book.machine },
      body: { steps: { angleStepDeg: 1, shiftStepMm: 0.5, footMarginMm: 2, laserSpreadMm: 0.3 } },
    });
    const before = await bundled();
    const placing = await ask("keepPlacing", {
      params: { id: job },
      body: marksOn(0.06, { xMm: 2, yMm: 3 }, { give: "enter" }),
    });
    const { enter } = placing.result.ways.find((way) => way.give === "enter")!;
    expect(enter!.angleDeg).toBe(Math.round(placing.result.pose.deg));
    expect((2 * enter!.shiftXMm) % 1).toBeCloseTo(0, 9);
    const middle = await middleOf(placing.result.pose);
    expect(Math.abs(enter!.shiftXMm - middle.xMm)).toBeLessThanOrEqual(0.25 + 1e-9);
    const after = await bundled();
    expect(punctures(after.stitches)).toEqual(punctures(before.stitches));
    expect(after.which).toMatch(/enter \+3\.0°, x/);
    // Another machine has other steps: what was reckoned for the first is not given to it.
    const other = await byEye();
    const { store } = book.program.context;
    const machines = new Map([[other, { id: other, fieldWidthMm: 400, fieldHeightMm: 300 }]]) as never;
    const elsewhere = await placedFiles(store, [{ jobId: job, machineId: other }], machines);
    expect(elsewhere.get(job)).toMatchObject({
      stitches: null,
      words: expect.stringContaining("place it again"),
    });
  });

  it("places without a phone, by tape", async () => {
    const result = await ask("previewPlacing", {
      params: { id: job },
      body: {
        kind: "first",
        machineId: book.machine,
        seen: { way: "tape", inner: INNER, spreadMm: 0.7 },
        touches: [
          {
            kind: "centre line",
            readings: [
              { from: "left", alongMm: 20, distanceMm: 80 },
              { from: "left", alongMm: 120, distanceMm: 85 },
            ],
          },
          { kind: "shoulder seam", readings: [{ from: "far", alongMm: 60, distanceMm: 10 }] },
        ],
      },
    });
    // The line leans 5 mm to the right over 100 mm: 2.86° clockwise.
    expect(result.pose.deg).toBeCloseTo(-2.862, 2);
    expect(result.error.degrees).toBeGreaterThan(0.5);
    expect(result.view).toBeNull();
  });

  it("places by the hoop's four inner edges, without markers", async () => {
    const shot = someShot(chance, 15);
    const { centre, neck, truth } = cloth(0.04, { xMm: 2, yMm: 1 });
    const result = await ask("previewPlacing", {
      params: { id: job },
      body: {
        kind: "first",
        machineId: book.machine,
        seen: {
          way: "lines",
          phoneId: phone,
          photo: PHOTO,
          edges: seenEdges(shot),
          inner: INNER,
          // Edges lie on the sheet's height in this photo, the cloth a little over it.
          clothBelowMm: CLOTH_BELOW_MM - MARKERS_OVER_MM,
        },
        touches: [
          { kind: "centre line", points: touchedOn(shot, chance, centre) },
          { kind: "shoulder seam", points: touchedOn(shot, chance, neck) },
        ],
      },
    });
    const at = await middleOf(result.pose);
    expect(Math.hypot(at.xMm - truth.xMm, at.yMm - truth.yMm)).toBeLessThan(result.error.mm);
  });

  describe("back onto a piece that was taken out", () => {
    const begunAndStopped = async (): Promise<void> => {
      await planned();
      const at = { pieceId: piece, jobId: job, machineId: book.machine };
      const tell = (id: string, own: Record<string, unknown>) => {
        book.program.clock.nowMs += 30_000;
        return ask("tellFloor", {
          body: { events: [{ id, atMs: book.program.clock.nowMs, ...at, ...own }] },
        });
      };
      const { machineId: _, ...off } = at;
      await ask("tellFloor", {
        body: { events: [{ id: "ev-h-00001", atMs: book.program.clock.nowMs, ...off, kind: "hooped" }] },
      });
      await tell("ev-l-00001", { kind: "loaded" });
      await tell("ev-s-00001", { kind: "started" });
      book.program.clock.nowMs += 60_000;
      await tell("ev-x-00001", { kind: "stopped", why: "thread-broke" });
      book.program.clock.nowMs += 600_000;
    };
    const againMarks = async (
      pose: DesignPose,
      own: Record<string, unknown>,
      spoilt: number | null = null,
    ) => {
      const { findable } = (await ask("knownForPlacing", { params: { id: job } })).design;
      const shot = someShot(chance, 12);
      return {
        kind: "again",
        machineId: book.machine,
        seen: {
          way: "markers",
          phoneId: phone,
          photo: PHOTO,
          taughtHoopId: hoop.id,
          markers: seenStickers(shot, hoop.markerIds),
        },
        touches: findable.slice(0, 5).map(({ at }, i) => {
          const place = posed(pose, at);
          const off = i === spoilt ? 12 : 0;
          return { design: at, points: touchedOn(shot, chance, [{ xMm: place.xMm + off, yMm: place.yMm }]) };
        }),
        ...own,
      };
    };
    const lies: DesignPose = { xMm: 4, yMm: -6, angleRad: -0.05 };

    it("finds how it lies, and names the touch that is wrong", async () => {
      const good = await ask("previewPlacing", { params: { id: job }, body: await againMarks(lies, {}) });
      expect(Math.abs(good.pose.deg + (0.05 * 180) / Math.PI)).toBeLessThan(good.error.degrees);
      expect(Math.hypot(good.pose.xMm - 4, good.pose.yMm + 6)).toBeLessThan(good.error.mm + 0.5);
      const bad = await ask("previewPlacing", { params: { id: job }, body: await againMarks(lies, {}, 2) });
      expect(bad.residuals.filter((one) => one.wrong).map((one) => one.what)).toEqual(["Touch 3"]);
      expect(bad.findings.map((one) => one.code)).toContain("placing-touch-wrong");
    });

    it("the machine's file has what remains, with a tie-in; the plan and the log know the second run", async () => {
      await begunAndStopped();
      const whole = (await ask("knownForPlacing", { params: { id: job } })).design;
      const { stitches: all } = readMachineFile(
        await bytesOf("designFile", { params: { id: whole.versionId } }),
      );
      const firstParts = whole.parts[0]!.stitches;
      const good = firstParts + Math.floor(whole.parts[1]!.stitches / 2);
      const placing = await ask("keepPlacing", {
        params: { id: job },
        body: await againMarks(lies, { restart: { stitch: good } }),
      });
      const { remains } = placing.result;
      expect(remains).toMatchObject({ lastGoodStitch: good, firstPart: 1 });
      expect(remains!.fromStitch).toBeLessThanOrEqual(good);
      expect(remains!.parts.map((one) => one.part)).toEqual(whole.parts.slice(1).map((_, i) => i + 1));

      await ask("makePlan", { body: { seconds: 0.2 } });
      await solved();
      const { plan } = await ask("currentPlan");
      const plannedJob = plan!.jobs.find((one) => one.jobId === job)!;
      expect(plannedJob.placement).toContain(`second run from stitch ${remains!.fromStitch}`);
      expect(plannedJob.parts.map((part) => part.stitches)).toEqual(
        remains!.parts.map((part) => part.stitches),
      );
      expect(plannedJob.designVersionId).toBe(whole.versionId);
      const run = plan!.plan.runs.find((one) => one.job === job)!;
      expect(run.needles).toHaveLength(remains!.parts.length);

      const { stitches, which } = await bundled();
      const rest = punctures(all).slice(remains!.fromStitch - 1);
      const sewn = punctures(stitches).slice(-rest.length);
      const { pose } = placing.result;
      rest.forEach(([x, y], i) => {
        const at = posed(
          { xMm: pose.xMm, yMm: pose.yMm, angleRad: (pose.deg * Math.PI) / 180 },
          { xMm: x / 10, yMm: y / 10 },
        );
        expect(Math.hypot(sewn[i]![0] - 10 * at.xMm, sewn[i]![1] - 10 * at.yMm)).toBeLessThan(0.8);
      });
      expect(punctures(stitches).length).toBeGreaterThan(rest.length);
      expect(which).toContain("second run");

      // Sewn on, the run is one run with all its stitches, and nothing remains to plan.
      const at = { pieceId: piece, jobId: job, machineId: book.machine, atMs: 0 };
      for (const [id, own] of [
        ["ev-l-00002", { kind: "loaded" }],
        ["ev-s-00002", { kind: "started", needles: run.needles }],
        ["ev-e-00002", { kind: "sewn" }],
      ] as const) {
        book.program.clock.nowMs += 120_000;
        const { outcomes } = await ask("tellFloor", {
          body: { events: [{ ...at, id, atMs: book.program.clock.nowMs, ...own }] },
        });
        expect(outcomes[0]!.outcome).toBe("kept");
      }
      const now = await ask("floorNow");
      const told = now.runs.find((one) => one.jobId === job)!;
      expect(told.facts!.stitches).toBe(whole.stitches);
      expect(told.stage).toBe("sewn");
      expect((await ask("readPlacing", { params: { id: placing.id } })).notInForceWhy).toContain("sewn");
      const late = await ask("previewPlacing", {
        params: { id: job },
        body: await againMarks(lies, { restart: { stitch: good } }),
      });
      expect(late.findings.map((one) => one.code)).toContain("placing-run-told-sewn");

      // Placed all the same, it counts as soon as "sewn" is taken back, and not before.
      book.program.clock.nowMs += 60_000;
      const body = await againMarks(lies, { restart: { stitch: good } });
      const early = await ask("keepPlacing", { params: { id: job }, body });
      expect(early).toMatchObject({ state: "kept", inForce: false, notInForceWhy: "the run is sewn" });
      const takenBack = { id: "ev-t-00001", kind: "taken-back", eventId: "ev-e-00002" };
      await ask("tellFloor", { body: { events: [{ ...takenBack, atMs: book.program.clock.nowMs }] } });
      expect((await ask("readPlacing", { params: { id: early.id } })).inForce).toBe(true);
      await ask("makePlan", { body: { seconds: 0.2 } });
      await solved();
      const later = (await ask("currentPlan")).plan!.jobs.find((one) => one.jobId === job)!;
      expect(later.placement).toContain("second run from stitch");
      expect((await recountFloor(book.program.context, "no")).differing).toBe(0);
    });

    it("a touched last stitch is the nearest of the design, and a stitch that is not there is refused", async () => {
      const whole = (await ask("knownForPlacing", { params: { id: job } })).design;
      const { stitches: all } = readMachineFile(
        await bytesOf("designFile", { params: { id: whole.versionId } }),
      );
      const [x, y] = punctures(all)[40]!;
      const result = await ask("previewPlacing", {
        params: { id: job },
        body: await againMarks(lies, { restart: { design: { xMm: x / 10, yMm: y / 10 } } }),
      });
      const meant = [result.remains!.lastGoodStitch, ...result.remains!.orMeant.map((one) => one.stitch)];
      expect(
        meant.some(
          (stitch) =>
            Math.hypot(punctures(all)[stitch - 1]![0] - x, punctures(all)[stitch - 1]![1] - y) <= 10,
        ),
      ).toBe(true);
      const refusal = await refused(
        ask("previewPlacing", {
          params: { id: job },
          body: await againMarks(lies, { restart: { stitch: 9_999_999 } }),
        }),
      );
      expect(refusal.code).toBe("placing-stitch-unknown");
    });
  });

  it("photos are kept small and without notes, can be left out, and deleted are gone from the disk", async () => {
    const placing = await ask("keepPlacing", {
      params: { id: job },
      body: marksOn(0.02, { xMm: 0, yMm: 0 }),
    });
    const { data } = encode({ width: 640, height: 480, data: new Uint8Array(640 * 480 * 4).fill(140) }, 70);
    const plain = new Uint8Array(data);
    // APP1 as cameras write it (Exif 2.32, 4.7.2), here with a place in it.
    const note = new TextEncoder().encode("Exif\0\0GPS 53.3N 6.2W");
    const noted = Uint8Array.from([
      ...plain.subarray(0, 2),
      0xff,
      0xe1,
      0,
      note.length + 2,
      ...note,
      ...plain.subarray(2),
    ]);
    const put = (bytes: Uint8Array) => ask("keepPlacingPhoto", { params: { id: placing.id }, body: bytes });
    expect((await put(noted)).photo).toMatchObject({ widthPx: 640, heightPx: 480 });
    const kept = await bytesOf("placingPhoto", { params: { id: placing.id } });
    expect(new TextDecoder("latin1").decode(kept)).not.toContain("GPS");
    expect((await ask("placingSettings")).kept).toBe(1);

    const large = encode({ width: 1600, height: 40, data: new Uint8Array(1600 * 40 * 4) }, 50).data;
    for (const bad of [
      new Uint8Array(0),
      new TextEncoder().encode("no picture"),
      plain.subarray(0, 300),
      Uint8Array.from([0xff, 0xd8, 0xff, 0xe0, 0xff, 0xff]),
      new Uint8Array(1_200_000).fill(255),
      new Uint8Array(large),
    ])
      expect((await refused(put(bad))).code).toBe("placing-photo-unusable");

    expect((await ask("deletePlacingPhoto", { params: { id: placing.id } })).photo).toBeNull();
    expect((await refused(ask("placingPhoto", { params: { id: placing.id } }))).code).toBe(
      "placing-photo-unknown",
    );
    const { createHash } = await import("node:crypto");
    const hash = createHash("sha256").update(kept).digest("hex");
    await expect(book.program.context.store.files.get(hash)).rejects.toThrow(
      /not (there|in the data folder)/,
    );
    await ask("setPlacingSettings", { body: { photos: "left-out" } });
    expect((await refused(put(plain))).code).toBe("placing-photos-left-out");
  });

  it("a habit shows when it is plain, and the worth of an aid with it", async () => {
    const { id: person } = await ask("people.create", { body: personBody() });
    const order = await book.order({
      reference: "1006",
      lines: [lineOf(book.robe, { quantity: 16, personalText: "Iris" })],
    });
    const jobs = (await book.pieces(order.id)).map((one) => one.jobs[0]!.id);
    for (const [i, id] of jobs.entries()) {
      const turn = 0.035 + 0.01 * (chance.next() - 0.5);
      const body = marksOn(
        turn,
        { xMm: 2 * (chance.next() - 0.5), yMm: 2 * (chance.next() - 0.5) },
        { personId: person },
      );
      await ask("keepPlacing", { params: { id }, body: i < 10 ? body : { ...body, aid: "board" } });
    }
    const { groups, placings, aids } = await ask("placingHabits", { query: { person } });
    expect(placings).toBe(16);
    expect(groups[0]).toMatchObject({ personId: person, productId: book.robe, hoopId: book.hoop, n: 16 });
    const turned = groups[0]!.plain.find((one) => one.measure === "angleDeg")!;
    expect(turned.mean).toBeCloseTo(2, 0);
    expect(turned.sentence).toMatch(
      /Mara: Swim robe in Broad comes to lie turned to the left by (?:1\.9|2\.\d)° \(±0\.\d, over 10 pieces\)/,
    );
    expect(aids).toMatchObject([{ aid: "board", withAid: 6, without: 10 }]);
    expect((await ask("placingHabits", { query: { hoop: "hp_none" } })).groups).toEqual([]);
  });

  it("each hoop has markers of its own, and a hoop that is archived gives its numbers back", async () => {
    expect(hoop.markerIds).toEqual([0, 1, 2, 3]);
    const second = await ask("addTaughtHoop", { body: { hoopId: book.hoop, label: "Broad 2", markers: 6 } });
    expect(second.markerIds).toEqual([4, 5, 6, 7, 8, 9]);
    expect(
      (
        await refused(
          ask("addTaughtHoop", { body: { hoopId: book.hoop, label: "Broad 3", markerIds: [3, 20, 21] } }),
        )
      ).code,
    ).toBe("placing-markers-taken");
    await ask(
      "changeTaughtHoop",
      { params: { id: hoop.id }, body: { label: "Broad 1", archived: true } },
      book.program.call({ ifMatch: hoop.version }),
    );
    expect(
      (await ask("addTaughtHoop", { body: { hoopId: book.hoop, label: "Broad 3", markerIds: [3, 20, 21] } }))
        .markerIds,
    ).toEqual([3, 20, 21]);
    const fill = async () => {
      for (let n = 4; ; n++)
        await ask("addTaughtHoop", { body: { hoopId: book.hoop, label: `Broad ${n}`, markers: 8 } });
    };
    expect((await refused(fill())).code).toBe("placing-markers-used-up");
    const untaught = marksOn(0, { xMm: 0, yMm: 0 });
    expect(
      (
        await refused(
          ask("previewPlacing", {
            params: { id: job },
            body: { ...untaught, seen: { ...untaught.seen, taughtHoopId: second.id } },
          }),
        )
      ).code,
    ).toBe("placing-hoop-not-taught");
  });
});
