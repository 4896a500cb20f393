import { freeHoop, handSteps, hoopKindOf } from "#core/floor";
import { checkPlan, type Plan, type Problem } from "#core/planning";
import { recountFloor } from "#app";
import { machineBody, needleBody, personBody } from "#test/catalogue";
import { FloorDay, seenFloor } from "#test/floor-day";
import { lineOf, type OrderBook, orderBook } from "#test/order-book";
import { execFileSync } from "node:child_process";
import { existsSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import ICAL from "ical.js";
import { afterEach, beforeEach, describe, expect, test } from "vitest";

let book: OrderBook;
let day: FloorDay;
let orderId: string;
let second: string;
beforeEach(async () => {
  book = await orderBook({ planning: { threads: 1, byItself: true } });
  const { program } = book;
  for (const name of ["Mara", "Ivor"]) await program.ask("people.create", { body: personBody({ name }) });
  second = (
    await program.ask("machines.create", {
      body: machineBody({
        name: "Gannet",
        hoopIds: [book.hoop],
        needles: [needleBody(1), needleBody(2), needleBody(3)],
      }),
    })
  ).id;
  orderId = (
    await book.order({
      lines: [
        lineOf(book.robe, { quantity: 4, personalText: "Maren" }),
        lineOf(book.towel, { quantity: 4, personalText: "Jory" }),
        lineOf(book.napkin, { quantity: 6 }),
      ],
    })
  ).id;
  day = new FloorDay(program, "day");
  await program.ask("makePlan", { body: { seconds: 0.3 } });
  await settled();
});
afterEach(() => book.program.close());

/** Waits until the program has followed what changed. */
async function settled(): Promise<void> {
  for (let tries = 0; tries < 400; tries++) {
    await new Promise((resolve) => setTimeout(resolve, 25));
    const { plan, run } = await book.program.ask("currentPlan");
    if (plan && run.state !== "running" && !plan.stale) return;
  }
  throw new Error("The plan did not follow.");
}

async function isSound(): Promise<void> {
  const { plan } = await book.program.ask("currentPlan");
  const problem = (await book.program.ask("planProblem", { params: { id: plan!.planId } })) as Problem;
  const document = (await book.program.ask("planDocument", { params: { id: plan!.planId } })) as Plan;
  expect(checkPlan(problem, document).findings).toEqual([]);
  const referee = path.resolve("../shared/referee/plan_referee.py");
  if (existsSync(referee)) expect(refereed(referee, problem, document)).toMatchObject({ ok: true });
}

/** What the independent referee says of a plan. */
function refereed(referee: string, problem: Problem, plan: Plan): { readonly ok: boolean } {
  const folder = mkdtempSync(path.join(tmpdir(), "referee-"));
  const [asked, made] = [path.join(folder, "problem.json"), path.join(folder, "plan.json")];
  writeFileSync(asked, JSON.stringify(problem));
  writeFileSync(made, JSON.stringify(plan));
  try {
    return JSON.parse(execFileSync("python3", [referee, asked, made], { encoding: "utf8" })) as {
      ok: boolean;
    };
  } finally {
    rmSync(folder, { recursive: true });
  }
}

const states = async () => (await book.pieces(orderId)).map((piece) => piece.state);

async function workUntil(done: () => Promise<boolean>): Promise<void> {
  let idle = 0;
  for (let ticks = 0; ticks < 600; ticks++) {
    idle = (await day.tick(idle > 8 ? 20 : 2)) === 0 ? idle + 1 : 0;
    if (await done()) return;
    if (idle > 100) break;
  }
  throw new Error(`The work stands still: ${(await states()).join(", ")}`);
}

/** What follows from the day: where the minutes went, what was learned, what care counts. */
async function looksBack(): Promise<void> {
  const { program } = book;
  const history = await program.ask("floorHistory", { query: { from: "2026-11-25", to: "2026-11-27" } });
  // 14 pieces of the first order less six napkins, and the rush order's.
  expect(history.totals).toMatchObject({ pieces: 9, spoiled: 1, breaks: 0 });
  const sewnS = history.runs.reduce((sum, run) => sum + run.sewedS, 0);
  expect(Math.abs(history.totals.seconds.sewing - sewnS)).toBeLessThan(10);
  for (const day of history.days)
    for (const { spans } of day.machines)
      spans.forEach(
        (span, at) => at === 0 || expect(span.fromMs).toBeGreaterThanOrEqual(spans[at - 1]!.toMs),
      );
  expect(history.totals.seconds.down).toBeGreaterThan(0);
  expect(history.runs.every((run) => run.plannedStartMs !== null)).toBe(true);
  // Each person's hours are told apart, none twice, and what the plan had of theirs stands beside.
  const hands = history.days.flatMap((day) => day.people);
  expect(hands.some((one) => one.seconds.finishing > 0 && one.seconds.hooping > 0)).toBe(true);
  expect(hands.some((one) => one.planned.some((task) => task.doneBy === one.personId))).toBe(true);
  for (const { spans, seconds } of hands) {
    spans.forEach(
      (span, at) => at === 0 || expect(span.fromMs).toBeGreaterThanOrEqual(spans[at - 1]!.toMs - 1),
    );
    const all = spans.reduce((sum, span) => sum + (span.toMs - span.fromMs) / 1000, 0);
    expect(Math.abs(Object.values(seconds).reduce((sum, one) => sum + one, 0) - all)).toBeLessThan(15);
  }
  expect(history.days.some((day) => day.nobodys > 0)).toBe(true);
  expect(history.waiting?.sentence).toMatch(/chance/);

  const { machines } = await program.ask("careNow");
  const counted = machines.reduce((sum, machine) => sum + machine.meter.countedHours, 0);
  expect(counted * 3600).toBeCloseTo(sewnS, -1);
  const services = machines.flatMap((machine) => machine.standings).filter((one) => one.ruleId === "service");
  expect(services.some((one) => one.used > 0)).toBe(true);

  const feed = await program.answers.careCalendar({ params: {}, query: {}, body: undefined }, program.call());
  const events = new ICAL.Component(ICAL.parse(Buffer.from(feed.bytes).toString()) as [])
    .getAllSubcomponents("vevent")
    .map((one) => new ICAL.Event(one));
  expect(events.map((event) => event.summary)).toContain("Heron: Clean the bobbin area");
  expect(events.every((event) => event.startDate.isDate)).toBe(true);

  // What was measured is believed from the next morning on.
  program.clock.nowMs += 86_400_000;
  const { times } = await program.ask("learnedTimes");
  const speeds = times.filter((one) => one.quantity === "sewing-speed");
  expect(speeds.map((one) => one.source)).toEqual(["learned", "learned"]);
  expect(speeds.reduce((sum, one) => sum + one.observations, 0)).toBe(9);
  const speed = speeds[0]!;
  const fixed = await program.ask("fixLearned", {
    body: { quantity: "sewing-speed", subjectId: speed.subjectId, value: 650 },
  });
  expect(fixed).toMatchObject({ source: "fixed", estimate: 650, fixed: 650 });
  const record = await program.ask("machineRecord", { params: { id: speed.subjectId } });
  expect(record.sentences.join(" ")).toContain("hour meter");
  const sheet = await program.answers.machineRecordSheet(
    { params: { id: speed.subjectId }, query: { paper: "" }, body: undefined },
    program.call(),
  );
  expect(Buffer.from(sheet.bytes.slice(0, 5)).toString()).toBe("%PDF-");
}

describe("a day on the floor", () => {
  test("is worked off to the last piece packed, with a machine down, a spoiled piece and a rush order", async () => {
    await workUntil(async () => (await states()).filter((state) => state === "packed").length >= 2);
    const { floor } = (await seenFloor(book.program))!;

    // A machine goes down for an hour: nothing new goes on it.
    const machine = floor.plan.runs.find((run) => !floor.runs.has(run.job))!.machine;
    await day.tell({
      kind: "machine-down",
      machineId: machine,
      untilMs: book.program.clock.nowMs + 3600_000,
      why: "belt",
    });
    await settled();
    await isSound();
    const after = (await seenFloor(book.program))!;
    const starts = after.floor.plan.runs
      .filter((run) => run.machine === machine && !after.floor.runs.has(run.job))
      .map((run) => after.floor.startsAtMs + run.stretches[0]!.start * 1000);
    expect(starts.every((at) => at >= book.program.clock.nowMs + 59 * 60_000)).toBe(true);

    // A piece that sews is spoiled and made again.
    await workUntil(async () => (await states()).includes("sewing"));
    const sewing = (await book.pieces(orderId)).find((piece) => piece.state === "sewing")!;
    await day.tell({
      kind: "spoiled", pieceId: sewing.id, jobId: sewing.jobs[0]!.id, machineId: null, why: "tore", remake: true,
    }); // prettier-ignore
    await settled();
    await isSound();
    expect(
      (await seenFloor(book.program))!.plan.jobs.some((job) => job.pieceCode === `${sewing.code}R`),
    ).toBe(true);

    // A rush order comes in.
    await book.order({
      reference: "1006",
      promiseDate: "2026-11-27",
      lines: [lineOf(book.towel, { personalText: "Wren" })],
    });
    await settled();
    await isSound();
    expect((await seenFloor(book.program))!.plan.jobs.some((job) => job.title === "Wren")).toBe(true);

    await workUntil(async () => {
      const all = await states();
      const { toPack } = await book.program.ask("floorNow");
      const open = await book.program.ask("listPieces", { query: { limit: 50 } });
      return (
        toPack.length === 0 &&
        all.every((state) => state === "packed" || state === "spoiled") &&
        open.items.every((piece) => ["packed", "spoiled"].includes(piece.state))
      );
    });
    const all = await states();
    expect(all.filter((state) => state === "spoiled")).toHaveLength(1);
    expect(all.filter((state) => state === "packed")).toHaveLength(14);
    const recounted = await recountFloor(book.program.context, "no");
    expect(recounted.differences).toEqual([]);
    await looksBack();
    // Nothing twice: every piece was packed once, every run sewn once.
    for (const kind of ["packed", "sewn"] as const) {
      const told = day.told.filter((event) => event.kind === kind).map((event) => ("jobId" in event ? event.jobId : "pieceId" in event ? event.pieceId : "")); // prettier-ignore
      expect(
        told.filter((id, at) => told.indexOf(id) !== at),
        kind,
      ).toEqual([]);
    }
  }, 120_000);

  test("what is sewn and not finished stays in new plans with its promise, and its hoop is taken until told", async () => {
    // Everybody works but nobody finishes.
    const piece = async () => (await book.pieces(orderId)).find((one) => one.state === "finishing");
    for (let ticks = 0; ticks < 200 && !(await piece()); ticks++) await day.tick(2, ["finish"]);
    const sewn = (await piece())!;
    const jobId = sewn.jobs[0]!.id;
    await book.order({ reference: "1006", lines: [lineOf(book.towel, { personalText: "Wren" })] });
    await settled();
    await isSound();
    const { floor, plan, now } = (await seenFloor(book.program))!;
    expect(plan.jobs.some((job) => job.title === "Wren")).toBe(true);
    expect(floor.plan.runs.some((run) => run.job === jobId)).toBe(false);
    const task = floor.plan.tasks.find((one) => one.do === "finish" && one.job === jobId)!;
    expect(task.end - task.start).toBeGreaterThan(0);
    expect(plan.jobs.find((job) => job.jobId === jobId)).toMatchObject({ state: "finishing" });
    const problem = (await book.program.ask("planProblem", { params: { id: plan.planId } })) as Problem;
    const other = problem.jobs.find((job) => job.id !== jobId && job.dueAt !== null)!;
    expect(problem.chores.find((chore) => chore.id === `finish/${jobId}`)!.dueAt).toBe(other.dueAt);
    expect(now.toFinish.map((one) => one.jobId)).toContain(jobId);

    // With one hoop of the kind, whoever is to hoop the next waits for it, until it is told free.
    const [held] = floor.runs.has(jobId) ? [floor.runs.get(jobId)!] : [];
    expect(held).toMatchObject({ stage: "sewn" });
    const kind = hoopKindOf(floor, jobId)!;
    const next = floor.plan.runs.find((run) => run.hoop?.startsWith(`${kind}/`) && !floor.runs.has(run.job))!;
    const single = { ...floor, hoops: new Map([[kind, 1]]), runs: new Map([[jobId, held!]]) };
    expect(freeHoop(single, next.job)).toEqual({ free: false, heldBy: [jobId] });
    const hand = floor.plan.tasks.find((one) => one.do === "hoop" && one.job === next.job)!.hand;
    const steps = handSteps(single, hand, () => []);
    expect(steps.find((step) => step.do === "hoop" && step.jobId === next.job)).toMatchObject({
      waitsFor: "hoop",
      heldBy: [jobId],
    });
    expect(steps.find((step) => step.do === "load" && step.jobId === next.job)?.waitsFor ?? "hooping").toBe(
      "hooping",
    );
    await day.tell({ kind: "unhooped", pieceId: sewn.id, jobId });
    const after = (await seenFloor(book.program))!.floor;
    expect(freeHoop({ ...single, runs: new Map([[jobId, after.runs.get(jobId)!]]) }, next.job)).toEqual({
      free: true,
    });
    await day.tell({ kind: "finished", pieceId: sewn.id, jobId });
    expect((await book.pieces(orderId)).find((one) => one.id === sewn.id)!.state).toBe("done");
    await settled();
    await isSound();
    expect((await recountFloor(book.program.context, "no")).differences).toEqual([]);
  }, 60_000);

  test("a person gone has nothing to do till back, and a board left alone stays as it is", async () => {
    const before = (await seenFloor(book.program))!;
    const person = before.plan.hands[0]!.id;
    await day.tell({
      kind: "person-away",
      awayId: person,
      untilMs: book.program.clock.nowMs + 2 * 3600_000,
      why: "",
    });
    await settled();
    await isSound();
    const after = (await seenFloor(book.program))!;
    const tasks = after.plan.plan.tasks.filter((task) => task.hand === person);
    expect(
      tasks.every(
        (task) =>
          after.plan.startsAtMs + task.start * 1000 >= book.program.clock.nowMs + 2 * 3600_000 - 60_000,
      ),
    ).toBe(true);
    await day.tell({ kind: "person-back", awayId: person });
    await settled();

    await day.tell({ kind: "board-left", untilMs: book.program.clock.nowMs + 3600_000 });
    const known = (await seenFloor(book.program))!.plan.planId;
    await day.tell({ kind: "thread-out", threadId: book.gold });
    await new Promise((resolve) => setTimeout(resolve, 300));
    const left = (await book.program.ask("currentPlan")).plan!;
    expect(left).toMatchObject({ planId: known, stale: true });
    await day.tell({ kind: "board-left", untilMs: 0 });
    await settled();
    const followed = (await book.program.ask("currentPlan")).plan!;
    expect(followed.planId).not.toBe(known);
    expect(followed.leftOut.some((one) => one.why === "thread G2 is used up")).toBe(true);
  }, 60_000);

  test("what is put off comes later, and a machine that keeps its pieces gets no other", async () => {
    const before = (await seenFloor(book.program))!;
    const run = [...before.floor.plan.runs].sort((a, b) => a.stretches[0]!.start - b.stretches[0]!.start)[0]!;
    const untilMs = book.program.clock.nowMs + 3600_000;
    const job = before.plan.jobs.find((one) => one.jobId === run.job)!;
    await day.tell({ kind: "skipped", jobId: job.jobId, pieceId: job.pieceId, machineId: null, untilMs });
    await settled();
    await isSound();
    const after = (await seenFloor(book.program))!;
    const put = after.floor.plan.runs.find((one) => one.job === run.job)!;
    expect(after.floor.startsAtMs + put.stretches[0]!.start * 1000).toBeGreaterThanOrEqual(untilMs);

    const own = after.floor.plan.runs.filter((one) => one.machine === second).map((one) => one.job);
    await day.tell({
      kind: "machine-locked",
      machineId: second,
      untilMs: book.program.clock.nowMs + 8 * 3600_000,
    });
    await book.order({
      reference: "1007",
      lines: [lineOf(book.towel, { quantity: 2, personalText: "Ulla" })],
    });
    await settled();
    const locked = (await seenFloor(book.program))!;
    expect(
      new Set(locked.floor.plan.runs.filter((one) => one.machine === second).map((one) => one.job)),
    ).toEqual(new Set(own));
  }, 60_000);
});
