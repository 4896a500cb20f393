import { addDays, localTime } from "#core/shop";
import { readMachineFile } from "#core/stitch";
import { type TestProgram, TEST_NOW_MS, testProgram } from "#test/program";
import { createHash } from "node:crypto";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { demoCalendar } from "./calendar";
import { makeDemo } from "./index";

const timeZone = "Europe/Dublin";
const tablesTold = [
  "studio",
  "people",
  "machines",
  "hoops",
  "threads",
  "stock",
  "products",
  "designs",
  "design_versions",
  "orders",
  "order_lines",
  "pieces",
  "jobs",
  "floor_events",
] as const;

async function digest(program: TestProgram): Promise<string> {
  const hash = createHash("sha256");
  for (const table of tablesTold)
    hash.update(
      JSON.stringify(
        await program.context.store.db
          .selectFrom(table as "people")
          .selectAll()
          .orderBy("id")
          .execute(),
      ),
    );
  return hash.digest("hex");
}

let program: TestProgram;
const told: { share: number; doing: string }[] = [];
beforeAll(async () => {
  program = await testProgram();
  await makeDemo(program.context, {
    timeZone,
    onProgress: (share, doing) => void told.push({ share, doing }),
  });
}, 240_000);
afterAll(() => program.close());

describe("Ninepenny Quay", () => {
  test("has the machines, hoops, people, threads, products and pictures it is known for", async () => {
    const machines = (await program.ask("machines.list")).items;
    const embroider = machines.filter((one) => one.kind === "multi-needle");
    expect(embroider.map((one) => one.needles.length).sort((a, b) => a - b)).toEqual([6, 10, 10]);
    expect(new Set(embroider.map((one) => one.stitchesPerMinute)).size).toBe(3);
    expect(machines.filter((one) => one.kind === "straight-stitch")).toHaveLength(2);
    const hoops = (await program.ask("hoops.list")).items;
    expect(hoops.map((hoop) => [hoop.kind, hoop.count]).sort()).toEqual([
      ["magnetic", 6],
      ["screw", 6],
    ]);
    for (const machine of embroider) expect(machine.hoopIds).toHaveLength(2);
    expect((await program.ask("people.list")).total).toBe(3);
    expect((await program.ask("threads.list")).total).toBe(30);
    expect((await program.ask("products.list")).total).toBe(12);
    expect((await program.ask("readStudio")).name).toBe("Ninepenny Quay");
  });

  test("its pictures are real machine files with a thread for every part and nothing that stops the sewing", async () => {
    const { items, total } = await program.ask("listDesigns", { query: { kind: "picture" } });
    expect(total).toBe(12);
    for (const { name, latest } of items) {
      expect(latest.source).toBe("machine-file");
      expect(
        latest.parts.every((part) => part.threadId !== null),
        name,
      ).toBe(true);
      expect(
        latest.findings.filter((finding) => finding.level === "stop"),
        name,
      ).toEqual([]);
      const row = await program.context.store.db
        .selectFrom("design_versions")
        .select("file_hash")
        .where("id", "=", latest.id)
        .executeTakeFirstOrThrow();
      expect(readMachineFile(await program.context.store.files.get(row.file_hash)).findings).toEqual([]);
    }
  });

  test("sixty orders are open round today: a few late, some waiting, one held, one pulled first", async () => {
    const today = localTime(timeZone, TEST_NOW_MS).date;
    const { items, open, late } = await program.ask("listOrders", { query: { show: "open", limit: 200 } });
    expect(open).toBeGreaterThanOrEqual(55);
    expect(open).toBeLessThanOrEqual(60);
    expect(late).toBeGreaterThan(0);
    expect(late).toBeLessThanOrEqual(4);
    for (const order of items)
      expect(order.shipBy <= addDays(today, 9) && addDays(today, -6) <= order.shipBy).toBe(true);
    const pieces = (await program.ask("listPieces", { query: { limit: 500 } })).items;
    expect(pieces.filter((piece) => piece.urgency === "held")).toHaveLength(1);
    expect(pieces.filter((piece) => piece.urgency === "first")).toHaveLength(1);
    expect(
      new Set(pieces.filter((piece) => piece.state === "waiting").map((piece) => piece.waitingFor)),
    ).toEqual(new Set(["stock", "artwork", "approval"]));
    // What is ready can be sewn: no design is missing by mistake.
    expect(pieces.filter((piece) => piece.jobs.some((job) => job.trouble !== null))).toEqual([]);
  });

  test("a season lies behind it: about six orders a working day, sewn, shipped, some spoiled and remade, in the order of time", async () => {
    const { total } = await program.ask("listOrders", { query: { show: "shipped", limit: 1 } });
    expect(total).toBeGreaterThan(280);
    expect(total).toBeLessThan(440);
    const { db } = program.context.store;
    const events = await db.selectFrom("floor_events").select(["at_ms", "kind"]).orderBy("seq").execute();
    expect(events.length).toBeGreaterThan(1500);
    expect(events.every((event) => event.at_ms <= TEST_NOW_MS)).toBe(true);
    const days = new Set(events.map((event) => localTime(timeZone, event.at_ms).date));
    expect(days.size).toBeGreaterThanOrEqual(60);
    const spoiled = await db.selectFrom("pieces").select("id").where("state", "=", "spoiled").execute();
    const remakes = await db
      .selectFrom("pieces")
      .select("state")
      .where("remake_of", "is not", null)
      .execute();
    expect(spoiled.length).toBeGreaterThan(3);
    expect(remakes.map((piece) => piece.state)).toEqual(spoiled.map(() => "shipped"));
  });

  test("some of what was sewn was placed: Ness hoops large ones turned to the left, and a board helps her", async () => {
    const { groups, aids, placings } = await program.ask("placingHabits");
    expect(placings).toBeGreaterThan(40);
    const plain = groups.filter((group) => group.plain.length > 0);
    expect(plain.flatMap((group) => group.plain.map((one) => one.short)).join()).toMatch(
      /\d\.\d° to the left/,
    );
    expect(plain.some((group) => group.productId === null)).toBe(true);
    expect(aids[0]).toMatchObject({ aid: "board" });
    expect(aids[0]!.lowDeg).toBeGreaterThan(0);
  });

  test("progress rises from nothing to all", () => {
    expect(told.map((one) => one.share)).toEqual([...told.map((one) => one.share)].sort((a, b) => a - b));
    expect(told.at(-1)!.share).toBe(1);
  });

  test("the same seed and clock make the same studio, another seed another", async () => {
    const [again, other] = [await testProgram(), await testProgram()];
    await makeDemo(again.context, { timeZone });
    await makeDemo(other.context, { timeZone, seed: 10 });
    expect(await digest(again)).toBe(await digest(program));
    expect(await digest(other)).not.toBe(await digest(program));
    await again.close();
    await other.close();
  }, 240_000);
});

describe("the demo's days", () => {
  const at = (text: string) => demoCalendar(timeZone, Date.parse(text));
  test("a working day's hours go by", () => {
    expect(at("2026-11-25T07:00:00Z")).toMatchObject({ base: "2026-11-25", gone: 0 });
    expect(at("2026-11-25T12:15:00Z")).toMatchObject({ base: "2026-11-25", gone: 0.5 });
  });
  test("after hours and at weekends the next working day is the demo's today", () => {
    expect(at("2026-11-25T19:00:00Z")).toMatchObject({ today: "2026-11-25", base: "2026-11-26", gone: 0 });
    expect(at("2026-11-28T11:00:00Z")).toMatchObject({ today: "2026-11-28", base: "2026-11-30", gone: 0 });
  });
  test("working days skip weekends both ways, and a promise date leads back to its ship-by date", () => {
    const calendar = at("2026-11-25T09:00:00Z");
    expect([-3, -1, 0, 2, 3].map((offset) => calendar.workday(offset))).toEqual([
      "2026-11-20",
      "2026-11-24",
      "2026-11-25",
      "2026-11-27",
      "2026-11-30",
    ]);
    expect(calendar.promiseFor("2026-11-27", 1)).toBe("2026-11-28");
  });
});
