import { execFileSync } from "node:child_process";
import { existsSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import type { shapes } from "#contract";
import { checkPlan, type Plan, type Problem } from "#core/planning";
import { demoMotif, writeMachineFile } from "#core/stitch";
import {
  hoopBody,
  machineBody,
  needleBody,
  personBody,
  placementBody,
  productBody,
  threadBody,
} from "#test/catalogue";
import { type TestProgram, testProgram } from "#test/program";
import { afterEach, beforeEach, describe, expect, it } from "vitest";

/** A small studio on a real database: two machines, two threads more than the first has needles, three orders. */
let studio: TestProgram;
let ids: {
  machine: string;
  small: string;
  hoop: string;
  product: string;
  design: string;
  version: string;
  threads: string[];
  person: string;
};

beforeEach(async () => {
  studio = await testProgram({ setUp: true });
  await furnish();
});
afterEach(() => studio.close());

async function furnish(): Promise<void> {
  const threads: string[] = [];
  for (let n = 1; n <= 9; n++)
    threads.push(
      (await studio.ask("threads.create", { body: threadBody({ code: `T${n}`, name: `Shade ${n}` }) })).id,
    );
  const hoop = (await studio.ask("hoops.create", { body: hoopBody() })).id;
  const machine = (
    await studio.ask("machines.create", {
      body: machineBody({
        name: "Gannet",
        hoopIds: [hoop],
        needles: Array.from({ length: 10 }, (_, n) => needleBody(n + 1, threads[n] ?? null)),
      }),
    })
  ).id;
  const small = (
    await studio.ask("machines.create", { body: machineBody({ name: "Heron", hoopIds: [hoop] }) })
  ).id;
  const person = (await studio.ask("people.create", { body: personBody() })).id;
  const motif = demoMotif("anchor", { widthMm: 60 });
  const brought = await studio.ask("bringInDesigns", {
    query: { name: "quay.dst" },
    body: writeMachineFile(motif.stitches, "QUAY"),
  });
  const { designId: design, versionId: version } = brought.brought[0]!;
  const parts = (await studio.ask("readDesign", { params: { id: design } })).versions[0]!.parts.length;
  await studio.ask("chooseThreads", {
    params: { id: version },
    body: { threadIds: Array.from({ length: parts }, (_, part) => threads[part % threads.length]!) },
  });
  const product = (
    await studio.ask("products.create", {
      body: productBody({
        placements: [
          placementBody({
            hoopId: hoop,
            backingId: null,
            toppingId: null,
            designId: design,
            lettering: null,
            machineIds: null,
          }),
        ],
      }),
    })
  ).id;
  ids = { machine, small, hoop, product, design, version, threads, person };
}

interface OrderAsked {
  readonly promiseDate?: string;
  readonly lines?: readonly { readonly productId: string; readonly quantity: number }[];
}

const order = (reference: string, own: OrderAsked = {}, quantity = 1): Promise<shapes.OrderRecord> =>
  studio.ask("createOrder", {
    body: {
      reference,
      customer: "Wren Alder",
      placedOn: "2026-11-23",
      promiseDate: "2026-11-27",
      lines: [{ productId: ids.product, quantity }],
      ...own,
    },
  });

/** Asks for a plan and waits for what open pages are told of it. */
async function planned(seconds = 0.3): Promise<shapes.PlanView> {
  const ended = new Promise<shapes.PlanningRun>((resolve) => {
    studio.context.listen(
      (event) => event.topic === "planning" && event.run.state !== "running" && resolve(event.run),
    );
  });
  await studio.ask("makePlan", { body: { seconds, seed: 1 } });
  expect(await ended).toMatchObject({ state: "done", failure: null });
  return (await studio.ask("currentPlan")).plan!;
}

const pick = <T extends object>(from: T, keys: readonly string[]): T =>
  Object.fromEntries(Object.entries(from).filter(([key]) => keys.includes(key))) as T;

const documents = async (planId: string): Promise<{ problem: Problem; plan: Plan }> => ({
  problem: (await studio.ask("planProblem", { params: { id: planId } })) as Problem,
  plan: (await studio.ask("planDocument", { params: { id: planId } })) as unknown as Plan,
});

describe("the day's plan", () => {
  it("plans every ready piece, passes the checker, and is kept", async () => {
    await order("A-1", {}, 2);
    await order("A-2");
    const view = await planned();
    expect(view.jobs).toHaveLength(3);
    expect(view.plan.runs).toHaveLength(3);
    expect(view.leftOut).toEqual([]);
    expect(view.stale).toBe(false);
    expect(view.jobs.every((job) => job.why.length > 10)).toBe(true);
    const { problem, plan } = await documents(view.planId);
    expect(checkPlan(problem, plan).findings).toEqual([]);
    expect((await studio.ask("listPlans")).items).toHaveLength(1);
  });

  it("passes the independent referee", async ({ skip }) => {
    const referee = path.resolve("../shared/referee/plan_referee.py");
    skip(!existsSync(referee), "../shared is not beside the project");
    await order("A-1", {}, 3);
    const { problem, plan } = await documents((await planned()).planId);
    const folder = mkdtempSync(path.join(tmpdir(), "referee-"));
    writeFileSync(path.join(folder, "problem.json"), JSON.stringify(problem));
    writeFileSync(path.join(folder, "plan.json"), JSON.stringify(plan));
    const said = JSON.parse(
      execFileSync("python3", [referee, path.join(folder, "problem.json"), path.join(folder, "plan.json")], {
        encoding: "utf8",
      }),
    ) as { ok: boolean };
    rmSync(folder, { recursive: true });
    expect(said.ok).toBe(true);
  });

  it("obeys a pin, a hold, and a piece pulled first", async () => {
    await order("A-1");
    await order("A-2");
    await order("A-3", { promiseDate: "2026-12-04" });
    const { items } = await studio.ask("listPieces", { query: { state: "open" } });
    const piece = (reference: string) => items.find((one) => one.orderReference === reference)!;
    const set = (reference: string, body: object) =>
      studio.ask(
        "changePiece",
        {
          params: { id: piece(reference).id },
          body: { urgency: "normal", heldWhy: "", pinnedMachineId: null, waitingFor: null, ...body },
        },
        studio.call({ ifMatch: piece(reference).version }),
      );
    await set("A-1", { pinnedMachineId: ids.small });
    await set("A-2", { urgency: "held", heldWhy: "customer rings back" });
    await set("A-3", { urgency: "first", pinnedMachineId: ids.small });
    const view = await planned();
    const runOf = (reference: string) =>
      view.plan.runs.find(
        (run) => run.job === view.jobs.find((job) => job.orderReference === reference)?.jobId,
      );
    expect(runOf("A-1")?.machine).toBe(ids.small);
    expect(runOf("A-2")).toBeUndefined();
    expect(view.leftOut).toMatchObject([{ why: "held back: customer rings back" }]);
    expect(runOf("A-3")!.stretches[0]!.start).toBeLessThan(runOf("A-1")!.stretches[0]!.start);
  });

  it("tells why a piece is left out, with both sizes", async () => {
    const hoop = await studio.ask("hoops.get", { params: { id: ids.hoop } });
    await order("A-1");
    await studio.ask(
      "hoops.change",
      { params: { id: ids.hoop }, body: hoopBody({ name: hoop.name, fieldWidthMm: 40, fieldHeightMm: 40 }) },
      studio.call({ ifMatch: hoop.version }),
    );
    await order("A-2");
    const made = studio.ask("makePlan", { body: { seconds: 0.2 } });
    await expect(made).rejects.toMatchObject({ code: "nothing-to-plan" });
  });

  it("goes stale when an order comes in, and not when work is done as planned", async () => {
    await order("A-1", {}, 2);
    const before = await planned();
    const first = before.plan.runs.reduce((a, b) => (a.stretches[0]!.start <= b.stretches[0]!.start ? a : b));
    const job = before.jobs.find((one) => one.jobId === first.job)!;
    await studio.ask("movePieces", { body: { pieceIds: [job.pieceId], state: "done" } });
    expect((await studio.ask("currentPlan")).plan).toMatchObject({ stale: false });
    expect((await studio.ask("currentPlan")).plan!.jobs.find((one) => one.jobId === job.jobId)!.state).toBe(
      "done",
    );
    await order("A-9");
    expect((await studio.ask("currentPlan")).plan).toMatchObject({
      stale: true,
      staleWhy: "A piece came in: quay",
      stalePieces: 1,
    });
  });

  it("keeps one piece with two placements out of two hoops at once", async () => {
    const product = await studio.ask("products.get", { params: { id: ids.product } });
    const placement = product.placements[0]!;
    const two = (
      await studio.ask("products.create", {
        body: productBody({
          code: "TWO",
          name: "Robe, front and back",
          placements: [placement, { ...placement, id: "back", name: "Back" }],
        }),
      })
    ).id;
    await order("B-1", { lines: [{ productId: two, quantity: 2 }] });
    const view = await planned();
    for (const pieceId of new Set(view.jobs.map((job) => job.pieceId))) {
      const spans = view.jobs
        .filter((job) => job.pieceId === pieceId)
        .map(({ jobId }) => view.plan.tasks.filter((task) => task.job === jobId && task.do !== "thread"))
        .map((tasks) => ({
          start: Math.min(...tasks.map((task) => task.start)),
          end: Math.max(...tasks.map((task) => task.end)),
        }))
        .sort((a, b) => a.start - b.start);
      expect(spans).toHaveLength(2);
      expect(spans[1]!.start).toBeGreaterThanOrEqual(spans[0]!.end);
    }
  });

  it("leaves what sews where it is, and plans the rest round it", async () => {
    await order("A-1", {}, 3);
    const before = await planned();
    // The piece planned last is begun first, on the other machine than planned.
    const last = before.plan.runs.reduce((a, b) => (a.stretches[0]!.start >= b.stretches[0]!.start ? a : b));
    const job = before.jobs.find((one) => one.jobId === last.job)!;
    const machineId = last.machine === ids.machine ? ids.small : ids.machine;
    await studio.ask("movePieces", { body: { pieceIds: [job.pieceId], state: "sewing", machineId } });
    studio.clock.nowMs += 4 * 60_000;
    const name = machineId === ids.small ? "Heron" : "Gannet";
    expect((await studio.ask("currentPlan")).plan).toMatchObject({
      stale: true,
      staleWhy: `A piece sews elsewhere: ${job.title} on ${name}`,
    });

    const view = await planned();
    const { problem, plan } = await documents(view.planId);
    expect(checkPlan(problem, plan).findings).toEqual([]);
    const run = view.plan.runs.find((one) => one.job === job.jobId)!;
    expect(run.machine).toBe(machineId);
    // It sews since four minutes, by the plan's clock; nothing else is on its machine till it is off.
    expect(run.stretches[0]!.start).toBe(-240);
    expect(run.stretches[0]!.end).toBeGreaterThanOrEqual(0);
    const own = view.plan.tasks.filter((task) => task.job === job.jobId).map((task) => task.do);
    expect(own).toEqual(["unload", "unhoop", "finish"]);
    for (const task of view.plan.tasks) {
      expect(task.end).toBeGreaterThan(0);
      expect(view.hands.map((hand) => hand.id)).toContain(task.hand);
    }
    expect(view.jobs.find((one) => one.jobId === job.jobId)!.why).toContain(`It is on ${name} now`);
    expect(view.stale).toBe(false);
    expect(view.moved).not.toBeNull();
    expect(view.moved!.jobIds).not.toContain(job.jobId);
  });

  it("keeps hooped pieces in their frames, one run of a piece under way at a time", async () => {
    await order("A-1", {}, 3);
    const before = await planned();
    const last = before.plan.runs.reduce((a, b) => (a.stretches[0]!.start >= b.stretches[0]!.start ? a : b));
    const job = before.jobs.find((one) => one.jobId === last.job)!;
    await studio.ask("movePieces", { body: { pieceIds: [job.pieceId], state: "hooped" } });
    const view = await planned();
    const run = view.plan.runs.find((one) => one.job === job.jobId)!;
    expect(run.hoop).toBe(last.hoop);
    const first = view.plan.runs
      .filter((one) => one.machine === run.machine)
      .reduce((a, b) => (a.stretches[0]!.start <= b.stretches[0]!.start ? a : b));
    expect(first.job).toBe(job.jobId);
    const hooping = view.plan.tasks.filter((task) => task.job === job.jobId && task.do === "hoop");
    expect(hooping).toEqual([]);
  });

  it("sews on after its machine was down, with what is sewn taken off", async () => {
    await order("A-1", {}, 2);
    const before = await planned();
    const first = before.plan.runs.reduce((a, b) => (a.stretches[0]!.start <= b.stretches[0]!.start ? a : b));
    const job = before.jobs.find((one) => one.jobId === first.job)!;
    await studio.ask("movePieces", {
      body: { pieceIds: [job.pieceId], state: "sewing", machineId: first.machine },
    });
    studio.clock.nowMs += 60_000;
    const machine = await studio.ask("machines.get", { params: { id: first.machine } });
    const down = {
      fromDate: "2026-11-25",
      fromMinute: 541,
      toDate: "2026-11-25",
      toMinute: 600,
      why: "belt",
    };
    await studio.ask(
      "machines.change",
      {
        params: { id: first.machine },
        body: { ...pick(machine, Object.keys(machineBody())), downTimes: [down] },
      },
      studio.call({ ifMatch: machine.version }),
    );
    const view = await planned();
    const { problem, plan } = await documents(view.planId);
    expect(checkPlan(problem, plan).findings).toEqual([]);
    const run = view.plan.runs.find((one) => one.job === job.jobId)!;
    expect(run.machine).toBe(first.machine);
    expect(run.stretches[0]!.start).toBeGreaterThanOrEqual(59 * 60);
    const whole = first.stretches[0]!.end - first.stretches[0]!.start;
    const left = run.stretches[0]!.end - run.stretches[0]!.start;
    expect(left).toBeLessThan(whole);
    expect(view.moved!.why).toMatch(/is down until 10:00$/);
  });

  it("follows a change by itself: an answer at once, then its reasons", async () => {
    await studio.close();
    studio = await testProgram({ setUp: true, planning: { threads: 1, byItself: true } });
    await furnish();
    await order("A-1", {}, 4);
    const before = await planned();
    const followed = new Promise<shapes.PlanningRun>((resolve) => {
      studio.context.listen(
        (event) =>
          event.topic === "planning" &&
          event.run.byItself &&
          event.run.state !== "running" &&
          resolve(event.run),
      );
    });
    await order("A-2", { promiseDate: "2026-11-26" });
    expect(await followed).toMatchObject({ state: "done", why: "a piece came in: quay", touches: 1 });
    const { plan: view } = await studio.ask("currentPlan");
    expect(view!.planId).not.toBe(before.planId);
    expect(view).toMatchObject({ stale: false, moved: { why: "a piece came in: quay" } });
    expect(view!.plan.runs).toHaveLength(5);
    const { problem, plan } = await documents(view!.planId);
    expect(checkPlan(problem, plan).findings).toEqual([]);
    // Nothing was in the newcomer's way that had to move.
    expect(view!.moved!.jobIds.length).toBeLessThanOrEqual(1);
    expect(plan.bounds.cost).toBeGreaterThan(0);
    const ready = view!.jobs.filter((job) => job.why !== "");
    expect(ready.some((job) => /instead: |would do as well|only machine|worth it/.test(job.why))).toBe(true);
  });

  it("refuses to plan without hands, with words on what to add", async () => {
    await order("A-1");
    const person = await studio.ask("people.get", { params: { id: ids.person } });
    await studio.ask(
      "people.archive",
      { params: { id: ids.person } },
      studio.call({ ifMatch: person.version }),
    );
    await expect(studio.ask("makePlan", { body: { seconds: 0.2 } })).rejects.toMatchObject({
      code: "no-resources",
      message: "The plan has 2 machines and 0 hands.",
    });
  });
});
