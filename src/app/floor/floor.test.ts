import { seededChance, shuffled } from "#core/base";
import { type OrderBook, orderBook } from "#test/order-book";
import { TEST_NOW_MS } from "#test/program";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { recountFloor } from "./recount";

let book: OrderBook;
let pieces: Awaited<ReturnType<OrderBook["pieces"]>>;
beforeEach(async () => {
  book = await orderBook();
  const order = await book.order({
    lines: [
      { productId: book.robe, quantity: 2, note: "", personalText: "Maren" },
      { productId: book.towel, quantity: 2, note: "", personalText: "Jory" },
    ],
  });
  pieces = await book.pieces(order.id);
});
afterEach(() => book.program.close());

const MINUTE = 60_000;
type Body = Record<string, unknown> & { id: string; kind: string };

const tell = async (...events: Body[]) =>
  (await book.program.ask("tellFloor", { body: { events } })).outcomes.map((one) => one.outcome);
const stateOf = async (at: number) =>
  (await book.program.ask("readPiece", { params: { id: pieces[at]!.id } })).piece.state;
const now = () => book.program.ask("floorNow");
const metres = async () => (await book.program.ask("threads.get", { params: { id: book.navy } })).metresLeft;
const needle = async (number: number) =>
  (await book.program.ask("machines.get", { params: { id: book.machine } })).needles[number - 1]!;

/** A piece's whole way over the floor, `minute` minutes from now. */
function way(at: number, minute = 0): Body[] {
  const piece = pieces[at]!;
  const of = { pieceId: piece.id, jobId: piece.jobs[0]!.id };
  const on = { ...of, machineId: book.machine };
  const t = (more: number) => TEST_NOW_MS - 3 * 3600_000 + (minute + more) * MINUTE;
  const id = (what: string) => `ev-test-${at}-${what}`;
  return [
    { id: id("thread"), atMs: t(0), kind: "threaded", machineId: book.machine, needles: [{ needle: 1, threadId: book.navy }, { needle: 2, threadId: book.gold }] }, // prettier-ignore
    { id: id("hoop"), atMs: t(1), kind: "hooped", ...of },
    { id: id("load"), atMs: t(2), kind: "loaded", ...on },
    { id: id("start"), atMs: t(3), kind: "started", needles: [1, 2, 1], ...on },
    { id: id("stop"), atMs: t(5), kind: "stopped", why: "thread-broke", needle: 2, ...on },
    { id: id("again"), atMs: t(7), kind: "started", ...on },
    { id: id("sewn"), atMs: t(9), kind: "sewn", ...on },
    { id: id("finish"), atMs: t(14), kind: "finished", ...of },
    { id: id("pack"), atMs: t(15), kind: "packed", pieceId: piece.id },
  ];
}

/** All that follows from the events, but for the order they came in. */
async function kept() {
  const { db } = book.program.context.store;
  return {
    runs: await db.selectFrom("floor_runs").selectAll().orderBy("job_id").execute(),
    standing: await db.selectFrom("floor_standing").selectAll().orderBy("kind").orderBy("subject").execute(),
    pieces: await db.selectFrom("pieces").select(["id", "state"]).orderBy("id").execute(),
    jobs: await db.selectFrom("jobs").select(["id", "sewn"]).orderBy("id").execute(),
    metres: Math.round(await metres()),
    needles: [await needle(1), await needle(2)],
  };
}

describe("the floor", () => {
  test("follows a piece from its hoop to its parcel, with hours, breaks, stitches on needles and thread used", async () => {
    const before = await metres();
    const events = way(0);
    for (const [event, state] of [
      [events[0]!, "ready"],
      [events[1]!, "hooped"],
      [events[2]!, "hooped"],
      [events[3]!, "sewing"],
      [events[4]!, "sewing"],
      [events[5]!, "sewing"],
      [events[6]!, "finishing"],
      [events[7]!, "done"],
      [events[8]!, "packed"],
    ] as const) {
      expect(await tell(event)).toEqual(["kept"]);
      expect(await stateOf(0)).toBe(state);
    }
    const run = (await now()).runs.find((one) => one.jobId === pieces[0]!.jobs[0]!.id)!;
    expect(run).toMatchObject({ stage: "finished", sewedMs: 4 * MINUTE, machineId: book.machine });
    expect(run.stops).toEqual([
      expect.objectContaining({ why: "thread-broke", needle: 2, standingMs: 2 * MINUTE }),
    ]);
    expect(run.facts!.parts.map((part) => part.needle)).toEqual([1, 2, 1]);
    expect((await needle(1)).stitchesSinceChange).toBe(
      run.facts!.parts.filter((part) => part.needle === 1).reduce((sum, part) => sum + part.stitches, 0),
    );
    const used = run.facts!.parts.filter((part) => part.threadId === book.navy).reduce((sum, part) => sum + part.threadMm, 0) / 1000; // prettier-ignore
    expect(used).toBeGreaterThan(1);
    expect(before - (await metres())).toBeCloseTo(used, 1);
  });

  test("is the same whatever the order and however often events arrive, and recounts to what is kept", async () => {
    const events = [
      ...way(0, 0),
      ...way(1, 20),
      ...way(2, 40).slice(0, 6),
      { id: "ev-test-down", atMs: TEST_NOW_MS - 30 * MINUTE, kind: "machine-down", machineId: book.machine, untilMs: TEST_NOW_MS + MINUTE, why: "belt" }, // prettier-ignore
      { id: "ev-test-up-1", atMs: TEST_NOW_MS - 20 * MINUTE, kind: "machine-up", machineId: book.machine },
      { id: "ev-test-needle", atMs: TEST_NOW_MS - 3 * 3600_000 + 18 * MINUTE, kind: "needle-changed", machineId: book.machine, needle: 1, why: "struck" }, // prettier-ignore
      { id: "ev-test-back", atMs: TEST_NOW_MS - 10 * MINUTE, kind: "taken-back", eventId: "ev-test-1-pack" },
    ];
    await tell(...events);
    const inOrder = await kept();
    expect((await recountFloor(book.program.context, "no")).differing).toBe(0);
    expect(await stateOf(1)).toBe("done");
    await tell(...events);
    expect(await kept()).toEqual(inOrder);
    for (const seed of [1, 2, 3, 4]) {
      await book.program.close();
      book = await orderBook();
      const order = await book.order({
        lines: [
          { productId: book.robe, quantity: 2, note: "", personalText: "Maren" },
          { productId: book.towel, quantity: 2, note: "", personalText: "Jory" },
        ],
      });
      pieces = await book.pieces(order.id);
      // Taking back needs what it takes back; a tablet sends both in its own order.
      const mixed = shuffled(events.slice(0, -1), seededChance(seed));
      const back = events.at(-1)!;
      const target = mixed.findIndex((one) => one.id === back["eventId"]);
      mixed.splice(target + 1, 0, back);
      for (const event of mixed) expect(await tell(event)).toEqual(["kept"]);
      expect(await kept()).toEqual(inOrder);
      expect((await recountFloor(book.program.context, "no")).differing).toBe(0);
    }
  });

  test("a tap taken back leaves everything as it was before it", async () => {
    const events = way(0);
    await tell(...events.slice(0, 6));
    const before = await kept();
    await tell(events[6]!);
    expect(await stateOf(0)).toBe("finishing");
    await tell({ id: "ev-test-back", atMs: TEST_NOW_MS, kind: "taken-back", eventId: events[6]!.id });
    expect(await kept()).toEqual(before);
    expect((await now()).lately.find((one) => one.id === events[6]!.id)?.takenBack).toBe(true);
  });

  test("a spoiled piece is remade, and not if that is taken back", async () => {
    await tell(...way(0).slice(0, 4), {
      id: "ev-test-spoiled", atMs: TEST_NOW_MS, kind: "spoiled", pieceId: pieces[0]!.id,
      jobId: pieces[0]!.jobs[0]!.id, machineId: book.machine, why: "the cloth tore", remake: true,
    }); // prettier-ignore
    const order = pieces[0]!.orderId;
    const remade = (await book.pieces(order)).find((piece) => piece.remakeOf === pieces[0]!.id)!;
    expect(remade).toMatchObject({ state: "ready", code: `${pieces[0]!.code}R` });
    expect((await now()).registers.find((one) => one.kind === "machine")?.value).toMatchObject({
      doing: "empty",
    });
    await tell({ id: "ev-test-back", atMs: TEST_NOW_MS, kind: "taken-back", eventId: "ev-test-spoiled" });
    expect(await stateOf(0)).toBe("sewing");
    expect((await book.pieces(order)).find((piece) => piece.id === remade.id)?.state).toBe("cancelled");
  });

  test("what names something that is not there is refused and told why; the rest is kept", async () => {
    const { outcomes } = await book.program.ask("tellFloor", {
      body: {
        events: [
          { id: "ev-test-none", atMs: TEST_NOW_MS, kind: "machine-up", machineId: "mc_none" },
          { id: "ev-test-ahead", atMs: TEST_NOW_MS + 3600_000, kind: "machine-up", machineId: book.machine },
          ...way(0).slice(0, 1),
        ],
      },
    });
    expect(outcomes.map((one) => one.outcome)).toEqual(["refused", "refused", "kept"]);
    expect(outcomes[0]!.why).toContain("mc_none");
    expect(outcomes[1]!.why).toContain("clock");
  });

  test("moves from a piece's page and events from stations make one life", async () => {
    await tell(...way(0).slice(0, 2));
    book.program.clock.nowMs += MINUTE;
    await book.move([pieces[0]!.id], "ready");
    expect(await stateOf(0)).toBe("ready");
    book.program.clock.nowMs += MINUTE;
    await tell({ ...way(0)[1]!, id: "ev-test-hoop2", atMs: TEST_NOW_MS + MINUTE + 1000 });
    expect(await stateOf(0)).toBe("hooped");
    const { history } = await book.program.ask("readPiece", { params: { id: pieces[0]!.id } });
    expect(history.map((line) => line.what)).toEqual(["Piece hooped", "Hooped → Ready", "Piece hooped"]);
    expect((await recountFloor(book.program.context, "no")).differing).toBe(0);
  });

  test("counts pieces moved on their pages with the time expected, marked as estimated, until a meter is read", async () => {
    const move = async (at: number, state: string, machineId?: string) => {
      const call = book.program.call();
      const body = { pieceIds: [pieces[at]!.id], state, why: "", remake: false, personId: null };
      await book.program.ask(
        "movePieces",
        { body: { ...body, machineId: machineId ?? null } } as never,
        call,
      );
      return call.notes.changeId!;
    };
    const machine = async () =>
      (await book.program.ask("careNow")).machines.find((one) => one.machineId === book.machine)!;
    const job = pieces[0]!.jobs[0]!.id;
    await move(0, "sewing", book.machine);
    const floor = await now();
    expect(floor.runs.find((run) => run.jobId === job)).toMatchObject({ stage: "sewing", estimated: true });
    expect(floor.registers).toContainEqual(
      expect.objectContaining({
        kind: "machine",
        subject: book.machine,
        value: expect.objectContaining({ jobId: job }) as unknown,
      }),
    );
    const before = [await metres(), await needle(1)];
    book.program.clock.nowMs += 5 * 3600_000;
    await move(0, "finishing");
    const sewn = (await now()).runs.find((run) => run.jobId === job)!;
    expect(sewn).toMatchObject({ stage: "sewn", estimated: true });
    expect(sewn.sewedMs).toBe(sewn.facts!.expectedS * 1000);
    expect([await metres(), await needle(1)]).toEqual(before);
    const hours = sewn.facts!.expectedS / 3600;
    expect((await machine()).meter.countedHours).toBeCloseTo(hours, 6);
    expect((await machine()).meter.estimatedHours).toBeCloseTo(hours, 6);
    const record = await book.program.ask("machineRecord", { params: { id: book.machine } });
    expect(record.sentences.join(" ")).toMatch(/estimated/);
    expect((await recountFloor(book.program.context, "no")).differences).toEqual([]);

    // Moved on without having been begun, it counts too; a station that tells of it counts before.
    const change = await move(1, "done", book.machine);
    expect((await machine()).meter.estimatedHours).toBeCloseTo(2 * hours, 6);
    await tell(...way(2));
    await move(2, "shipped");
    expect((await machine()).meter.estimatedHours).toBeCloseTo(2 * hours, 6);

    // Taken back, it counts no more; the machine's own meter, read, is believed.
    await book.program.ask("undoChange", { params: { id: change } });
    expect((await machine()).meter.estimatedHours).toBeCloseTo(hours, 6);
    await tell({
      id: "ev-meter-1",
      atMs: book.program.clock.nowMs,
      kind: "meter-read",
      machineId: book.machine,
      hours: 7,
    });
    expect((await machine()).meter).toMatchObject({ hours: 7, estimatedHours: 0 });
    expect((await recountFloor(book.program.context, "no")).differences).toEqual([]);
  });
});
