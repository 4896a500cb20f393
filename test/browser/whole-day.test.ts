import type { Browser } from "playwright-core";
import { afterAll, beforeAll, expect, it } from "vitest";
import { recountFloor } from "#app";
import { machineStep } from "#core/floor";
import { checkPlan, type Plan, type Problem } from "#core/planning";
import { seenFloor } from "#test/floor-day";
import { lineOf } from "#test/order-book";
import { type FloorPage, floorPage, known, look, read, type Sent, untilNone } from "./floor-people";
import { openBrowser, openSheet, screens, settled, type Sheet } from "./support";
import { type SmallStudio, smallStudio } from "./whole-day-studio";

// A whole day at once on three stations, two phones and the board: everybody does what the page says, to the last piece
// packed, through a network that drops, a piece that is spoiled, a machine that goes down and a rush order. Nothing is
// lost, nothing counts twice, and after each the board is right.

let studio: SmallStudio;
let browser: Browser;
let board: Sheet;
let stations: FloorPage[];
let phones: FloorPage[];
const sent: Sent = new Map();
const diary: string[] = [];

beforeAll(async () => {
  [studio, browser] = await Promise.all([smallStudio(), openBrowser()]);
  await followed();
  const opened = async (options: Parameters<typeof openSheet>[1], where: string) => {
    const sheet = await openSheet(browser, { ...options, reducedMotion: "reduce" });
    await sheet.context.clock.install({ time: studio.nowMs() });
    await sheet.page.goto(studio.address + where);
    await settled(sheet.page);
    return sheet;
  };
  board = await opened(screens.desktop, "/?view=board");
  stations = [];
  for (const { id, name } of studio.machines)
    stations.push(floorPage(await opened(screens.tablet, `/station/${id}`), name, "station", sent));
  phones = [];
  for (const { id, name } of studio.people)
    phones.push(floorPage(await opened(screens.phone, `/hands/${id}`), name, "hands", sent));
});
afterAll(async () => {
  await browser?.close();
  await studio?.close();
});

const everybody = () => [...stations, ...phones];
const seen = async () => (await seenFloor(studio.book.program))!;

/** Waits until the program has followed what changed. */
async function followed(): Promise<void> {
  await untilNone("the plan does not follow", async () => {
    const { plan, run } = await studio.book.program.ask("currentPlan");
    return plan !== null && !plan.stale ? [] : [run.state];
  });
}

/** Time passes in the whole studio: on the program's clock and on every page's. */
async function pass(minutes: number): Promise<void> {
  studio.pass(minutes * 60_000);
  await Promise.all(
    [board, ...everybody()].map(({ context }) => context.clock.fastForward(minutes * 60_000)),
  );
}

/** Everybody looks at their page in turn, and works, until `over`. */
async function workUntil(
  over: () => boolean | Promise<boolean>,
  who: () => readonly FloorPage[] = everybody,
): Promise<void> {
  let idle = 0;
  for (let round = 0; round < 300; round++) {
    let did = 0;
    for (const one of who()) {
      const what = await look(one, everybody(), sent, idle > 2 ? "early" : "in time");
      if (what !== null) diary.push(`${one.name}: ${what}`);
      did += what === null ? 0 : 1;
      if (await over()) return;
    }
    idle = did === 0 ? idle + 1 : 0;
    if (idle > 25) break;
    await pass(idle > 3 ? 10 : idle > 0 ? 4 : 2);
  }
  const pages = await Promise.all(everybody().map(async (one) => `${one.name} says ${JSON.stringify(await read(one.page))}`)); // prettier-ignore
  const open = (await pieces()).filter((piece) => piece.state !== "packed").map((piece) => `${piece.code} ${piece.personalText} is ${piece.state}`); // prettier-ignore
  throw new Error(`The work stands still after:\n${[...diary.slice(-15), ...pages, ...open].join("\n")}`);
}

const at = (name: string) => everybody().find((one) => one.name === name)!;
const machineId = (name: string) => studio.machines.find((one) => one.name === name)!.id;
const pieces = async () => (await Promise.all(studio.orderIds.map((id) => studio.book.pieces(id)))).flat();
const isSewing = async (name: string) => /^Sewing /.test((await read(at(name).page)).sentence);

/** Works on until a machine sews; gives its name. Which one it is depends on how far the plan's search came. */
async function sewingOne(): Promise<string> {
  let found: string | null = null;
  await workUntil(async () => {
    for (const name of ["Gannet", "Heron"]) if (await isSewing(name)) found = name;
    return found !== null;
  });
  return found!;
}

/** Presses a button of a page by its words, and the answers of the question behind it. */
async function answer(name: string, ...words: readonly (string | RegExp)[]): Promise<void> {
  const before = new Set(sent.keys());
  for (const one of words) await at(name).page.getByRole("button", { name: one }).click();
  diary.push(`${name}: ${words.join(", ")}`);
  await known(at(name), everybody(), sent, before);
}

/** The plan is sound by its own checker, and board and stations show what follows from it. */
async function isRight(): Promise<void> {
  await followed();
  const { plan } = await seen();
  const problem = (await studio.book.program.ask("planProblem", { params: { id: plan.planId } })) as Problem;
  const document = (await studio.book.program.ask("planDocument", { params: { id: plan.planId } })) as Plan;
  expect(checkPlan(problem, document).findings).toEqual([]);
  await untilNone("the board is not right", boardDiffers);
  await untilNone("a station is not right", stationsDiffer);
}

/** Runs of the plan that the board has not where the plan has them, and blocks that are no runs of it. */
async function boardDiffers(): Promise<string[]> {
  const { plan } = await seen();
  const blocks = await board.page
    .locator(".block[data-job]")
    .evaluateAll((all) =>
      all.map((one) => [one.getAttribute("data-job"), one.getAttribute("aria-label")] as const),
    );
  const shown = new Map(blocks);
  const name = (id: string) => studio.machines.find((one) => one.id === id)!.name;
  const planned = plan.plan.runs.map((run) => run.job);
  return [
    ...plan.plan.runs
      .filter((run) => !shown.get(run.job)?.includes(`, ${name(run.machine)}, `))
      .map((run) => `${run.job} on ${name(run.machine)}: the board has ${shown.get(run.job) ?? "nothing"}`),
    ...[...shown.keys()].filter((job) => !planned.includes(job!)).map((job) => `${job} is not planned`),
  ];
}

/** Stations that say something else than follows from the plan and from all that was told, by the program's word. */
async function stationsDiffer(): Promise<string[]> {
  const now = await seen();
  const differ: string[] = [];
  for (const station of stations.filter((one) => one.isOnline && one.name !== "Tern")) {
    const step = machineStep(now.floor, machineId(station.name), now.colours);
    const { sentence, more } = await read(station.page);
    const job = "jobId" in step ? now.plan.jobs.find((one) => one.jobId === step.jobId) : undefined;
    const chore =
      step.do === "care" ? now.plan.chores.find((one) => one.choreId === step.choreId) : undefined;
    const wanted = { down: `${station.name} is down`, idle: "Nothing to do", care: chore?.title ?? "" };
    const words = step.do in wanted ? wanted[step.do as keyof typeof wanted] : (job?.personalText ?? "");
    if (!`${sentence} ${more}`.toLowerCase().includes(words.toLowerCase()))
      differ.push(`${station.name}: ${step.do} ${words}, and it says ${sentence} · ${more}`);
  }
  return differ;
}

/** How often each thing happened by the events that stand. */
async function toldTwice(): Promise<string[]> {
  const rows = await studio.book.program.context.store.db
    .selectFrom("floor_events")
    .select(["id", "kind", "job_id", "piece_id"])
    .execute();
  const counts = new Map<string, number>();
  for (const row of rows)
    if (["packed", "sewn", "finished", "loaded", "hooped", "batch-done"].includes(row.kind) && row.piece_id)
      counts.set(`${row.kind} ${row.job_id ?? row.piece_id}`, (counts.get(`${row.kind} ${row.job_id ?? row.piece_id}`) ?? 0) + 1); // prettier-ignore
  return [...counts].filter(([, count]) => count > 1).map(([what, count]) => `${what} ${count} times`);
}

/** Ids the program keeps of what pages told; a batch is kept once as told and once for each of its pieces. */
const keptIds = async () =>
  (await studio.book.program.context.store.db.selectFrom("floor_events").select("id").execute())
    .map(({ id }) => id)
    .filter((id) => id.startsWith("ev-") && !id.includes("."))
    .sort();

const isOver = async () => (await pieces()).every((piece) => ["packed", "spoiled"].includes(piece.state));

it("works a day off to the last piece packed, through a network drop, a spoiled piece, a machine down and a rush order", async () => {
  await isRight();
  await workUntil(async () => (await isSewing("Heron")) && (await isSewing("Gannet")));
  await isRight();

  // The network of one station drops. It goes on by itself for some taps, and so does the other machine.
  const heron = at("Heron");
  heron.allow(/ERR_INTERNET_DISCONNECTED|ERR_FAILED/);
  heron.isOnline = false;
  await heron.context.setOffline(true);
  const waiting = heron.page.getByRole("button", { name: /^waiting/ });
  const count = async () => Number(/\((\d+)\)/.exec((await waiting.allInnerTexts()).join(""))?.[1] ?? 0);
  await workUntil(
    async () => (await count()) >= 3,
    () => [heron, at("Gannet")],
  );
  const unsent = await count();
  const before = new Set(await keptIds());
  await pass(5);
  const returned = studio.nowMs();
  await heron.context.setOffline(false);
  await waiting.waitFor({ state: "detached" });
  heron.isOnline = true;
  // Each came once, with the time it happened at and not that of its arrival.
  const late = (await keptIds()).filter((id) => !before.has(id));
  expect(late).toHaveLength(unsent);
  for (const id of late) expect(sent.get(id)!.event.atMs).toBeLessThan(returned - 4 * 60_000);
  await isRight();

  // A piece is spoiled under the needle and made again at once.
  await answer(await sewingOne(), /^Spoiled/, "A hole or a tear", "Spoiled, make it again");
  await isRight();
  const spoiled = (await pieces()).filter((piece) => piece.state === "spoiled");
  expect(spoiled).toHaveLength(1);
  expect((await seen()).plan.jobs.map((job) => job.pieceCode)).toContain(`${spoiled[0]!.code}R`);

  // A thread breaks, and the machine goes down for an hour: nothing begins on it before.
  const broken = await sewingOne();
  await answer(broken, /^Stop/, "Thread broke", /^1 /);
  await isRight();
  const back = studio.nowMs() + 60 * 60_000;
  await answer(broken, "Machine down …", "1 hour");
  await isRight();
  const down = await seen();
  const early = down.floor.plan.runs
    .filter((run) => run.machine === machineId(broken) && !down.floor.runs.get(run.job)?.startedAtMs)
    .filter((run) => down.floor.startsAtMs + run.stretches[0]!.start * 1000 < back);
  expect(early).toEqual([]);

  // A rush order comes in.
  const rush = await studio.book.order({
    reference: "2004",
    promiseDate: "2026-11-27",
    lines: [lineOf(studio.book.towel, { personalText: "Wren" })],
  });
  studio.orderIds.push(rush.id);
  await isRight();
  expect((await seen()).plan.jobs.map((job) => job.personalText)).toContain("Wren");

  await workUntil(isOver);
  // Nothing is lost and nothing counts twice: each event a page told is kept once, each thing was done once.
  expect((await pieces()).map((piece) => piece.state).sort()).toEqual([
    ...Array<string>(15).fill("packed"),
    "spoiled",
  ]);
  expect(await keptIds()).toEqual([...sent.keys()].sort());
  expect(await toldTwice()).toEqual([]);
  expect((await recountFloor(studio.book.program.context, "no")).differences).toEqual([]);
  await isRight();
  for (const { page } of phones) await page.getByRole("heading", { level: 1, name: /^Nothing/ }).waitFor();
  expect([board, ...everybody()].flatMap((one) => one.faults())).toEqual([]);
}, 240_000);
