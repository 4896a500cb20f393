import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from "vitest";
import { startPostgres, type TestPostgres } from "#test/postgres";
import { testProgram, type TestProgram } from "#test/program";

let postgres: TestPostgres;
beforeAll(async () => {
  postgres = await startPostgres();
});
afterAll(() => postgres.stop());

const hash = (letter: string) => letter.repeat(64);

describe.each(["sqlite", "postgres"] as const)("devices on %s", (kind) => {
  let program: TestProgram;
  beforeEach(async () => {
    program = await testProgram(kind === "postgres" ? { databaseUrl: await postgres.freshDatabase() } : {});
  });
  afterEach(() => program.close());
  const names = async () => (await program.devices.list()).map((device) => device.name);

  it("are let in, found by their token's hash, renamed and turned out", async () => {
    const { devices } = program;
    const tablet = await devices.letIn({ name: "Tablet", tokenHash: hash("a") });
    program.clock.nowMs += 1;
    await devices.letIn({ name: "Phone", tokenHash: hash("b") });
    expect(await devices.ofToken(hash("a"))).toEqual(tablet);
    expect(await devices.ofToken(hash("c"))).toBeNull();
    await devices.rename(tablet.id, "Tablet at Heron");
    expect(await names()).toEqual(["Phone", "Tablet at Heron"]);
    const heard: string[] = [];
    devices.hearTurnedOut((id) => heard.push(id));
    await devices.turnOut(tablet.id);
    expect(heard).toEqual([tablet.id]);
    expect(await names()).toEqual(["Phone"]);
    expect(await devices.ofToken(hash("a"))).toMatchObject({ turnedOutAtMs: program.clock.nowMs });
    await expect(devices.turnOut(tablet.id)).rejects.toMatchObject({ code: "device-unknown" });
  });

  it("two with one token cannot be", async () => {
    await program.devices.letIn({ name: "A", tokenHash: hash("a") });
    await expect(program.devices.letIn({ name: "B", tokenHash: hash("a") })).rejects.toThrow();
    expect(await names()).toEqual(["A"]);
  });

  it("are noted as seen once in ten minutes, also by many requests at once", async () => {
    const { devices, clock } = program;
    await devices.letIn({ name: "A", tokenHash: hash("a") });
    clock.nowMs += 600_000;
    const device = (await devices.ofToken(hash("a")))!;
    expect(Array.from({ length: 20 }, () => devices.saw(device))).toContain(true);
    await devices.settle();
    expect((await devices.list())[0]!.lastSeenAtMs).toBe(clock.nowMs);
    expect(devices.saw((await devices.ofToken(hash("a")))!)).toBe(false);
    const [row] = await program.context.store.db.selectFrom("devices").selectAll().execute();
    expect(row!.last_seen_at_ms).toBe(clock.nowMs);
  });

  it("more than fifty are not let in", async () => {
    for (let n = 0; n < 50; n++)
      await program.devices.letIn({ name: "Tablet", tokenHash: String(n).padStart(64, "0") });
    await expect(program.devices.letIn({ name: "x", tokenHash: hash("f") })).rejects.toMatchObject({
      code: "devices-many",
    });
    expect(new Set(await names()).size).toBe(50);
  });

  it("the address for phones is kept, the last one chosen", async () => {
    const { devices } = program;
    expect(await devices.phoneOrigin()).toBeNull();
    for (const origin of ["http://10.0.0.7:4700", "http://quay.local:4700"])
      await devices.choosePhoneOrigin(origin);
    expect(await devices.phoneOrigin()).toBe("http://quay.local:4700");
  });
});
