import { encode } from "jpeg-js";
import { afterAll, beforeAll, expect, it } from "vitest";
import type { Answer } from "#contract";
import { hoopBody, machineBody, placementBody, productBody, threadBody } from "#test/catalogue";
import { waveFile } from "#test/order-book";
import { testServer, type TestServer } from "#test/server";

/** Placing as a phone's page asks for it; every answer is held against its row's shape by the server itself. */

let studio: TestServer;
let job: string;
let machine: string;
beforeAll(async () => {
  studio = await testServer({ setUp: true });
  const made = async (noun: string, body: unknown) =>
    ((await studio.send("POST", `/api/${noun}`, { body })).json() as { id: string }).id;
  const thread = await made("threads", threadBody());
  const hoop = await made("hoops", hoopBody({ fieldWidthMm: 200, fieldHeightMm: 140 }));
  machine = await made("machines", machineBody({ hoopIds: [hoop] }));
  const brought = (
    await studio.send("POST", "/api/designs/files?name=wave.dst", { body: Buffer.from(waveFile()) })
  ).json() as Answer<"bringInDesigns">;
  const { designId, versionId } = brought.brought[0]!;
  await studio.send("PUT", `/api/design-versions/${versionId}/threads`, {
    body: { threadIds: [thread, thread] },
  });
  const productId = await made(
    "products",
    productBody({ placements: [placementBody({ hoopId: hoop, designId })] }),
  );
  const order = await studio.send("POST", "/api/orders", {
    body: {
      reference: "1",
      placedOn: "2026-11-20",
      promiseDate: "2026-12-04",
      lines: [{ productId, quantity: 1 }],
    },
  });
  const { pieces } = (
    await studio.send("GET", `/api/orders/${(order.json() as { id: string }).id}`)
  ).json() as Answer<"readOrder">;
  job = pieces[0]!.jobs[0]!.id;
});
afterAll(() => studio.close());

const byTape = (own: Record<string, unknown> = {}) => ({
  kind: "first",
  machineId: machine,
  seen: { way: "tape", spreadMm: 0.5 },
  touches: [
    { kind: "place", readings: [{ from: "left", alongMm: 70, distanceMm: 104 }] },
    {
      kind: "centre line",
      readings: [
        { from: "left", alongMm: 5, distanceMm: 101 },
        { from: "left", alongMm: 135, distanceMm: 97 },
      ],
    },
  ],
  ...own,
});

it("a page gets all it needs for a run, with what must be touched and its cautions", async () => {
  const answer = await studio.send("GET", `/api/jobs/${job}/placing`);
  expect(answer.statusCode).toBe(200);
  const known = answer.json() as Answer<"knownForPlacing">;
  expect(known.rule).toMatchObject({ rule: { rule: "at place" }, areOwn: false });
  expect(known.rule.touch.map((one) => one.oneOf[0])).toEqual(["place", "centre line"]);
  expect(known.design.outline.length).toBeGreaterThan(3);
  expect(known.design.findable.length).toBeGreaterThan(3);
  expect(known.cautions.join(" ")).toMatch(/implanted medical devices.*Power off and hands clear/);
  expect(known.machines).toMatchObject([{ id: machine, steps: { angleStepDeg: 1 } }]);
  expect((await studio.send("GET", "/api/jobs/jb_none/placing")).statusCode).toBe(404);
});

it("a placing that is sent twice with one key is kept once", async () => {
  const headers = { "idempotency-key": "place-once-0001" };
  const first = await studio.send("POST", `/api/jobs/${job}/placing`, { body: byTape(), headers });
  const again = await studio.send("POST", `/api/jobs/${job}/placing`, { body: byTape(), headers });
  expect(first.statusCode).toBe(200);
  expect(first.headers["spoolwright-change"]).toBeTruthy();
  expect((again.json() as Answer<"keepPlacing">).id).toBe((first.json() as Answer<"keepPlacing">).id);
  const { placings } = (
    await studio.send("GET", `/api/jobs/${job}/placing`)
  ).json() as Answer<"knownForPlacing">;
  expect(placings).toHaveLength(1);
  const { items } = (await studio.send("GET", "/api/placing/runs")).json() as Answer<"placedRuns">;
  expect(items).toMatchObject([{ jobId: job, placingId: placings[0]!.id, give: "file" }]);
  expect(items[0]!.words).toMatch(/^placed: turned \+1\.8°$/);
});

it("what is not known well enough is a problem that names both numbers, what helps, and where the marks are", async () => {
  studio.program.clock.nowMs += 60_000;
  const body = byTape({ seen: { way: "tape", spreadMm: 8 } });
  const answer = await studio.send("POST", `/api/jobs/${job}/placing`, { body });
  expect(answer.statusCode).toBe(422);
  const problem = answer.json() as { code: string; detail: string; errors: unknown[] };
  expect(problem.code).toBe("placing-not-sure-enough");
  expect(problem.detail).toMatch(/±[\d.]+ mm and ±[\d.]+°; this product allows ±3 mm and ±1\.5°/);
  expect(problem.errors).toHaveLength(2);
  const { placings } = (
    await studio.send("GET", `/api/jobs/${job}/placing`)
  ).json() as Answer<"knownForPlacing">;
  expect(placings[0]).toMatchObject({ state: "unsure" });
  // The one that was sure before still counts.
  expect(placings[1]).toMatchObject({ state: "kept", inForce: true });
});

it("closed bodies and absurd numbers are refused by name", async () => {
  for (const body of [
    { ...byTape(), shape: 1 },
    { ...byTape(), seen: { way: "tape", spreadMm: 1e9 } },
    { ...byTape(), seen: { way: "sonar" } },
    { ...byTape(), touches: Array.from({ length: 13 }, () => ({ kind: "place", readings: [] })) },
    { ...byTape(), touches: [{ kind: "place", readings: [{ from: "left", alongMm: "70", distanceMm: 1 }] }] },
  ])
    expect((await studio.send("POST", `/api/jobs/${job}/placing`, { body })).statusCode).toBe(422);
  const off = byTape({
    touches: [{ kind: "place", readings: [{ from: "left", alongMm: 70, distanceMm: 1900 }] }],
  });
  const answer = await studio.send("POST", `/api/jobs/${job}/placing/preview`, { body: off });
  expect(answer.statusCode).toBe(422);
  expect((answer.json() as { code: string }).code).toBe("placing-value-invalid");
  const slanted = {
    printed: { measuredMm: 60 },
    photos: [{ photo: { widthPx: 4000, heightPx: 3000 }, markers: [] }],
  };
  expect((await studio.send("POST", "/api/placing/phones/ph_none/lens", { body: slanted })).statusCode).toBe(
    422,
  );
});

it("a photo goes in and out as bytes, too large a one is cut off, and a placing is withdrawn by its version", async () => {
  const { placings } = (
    await studio.send("GET", `/api/jobs/${job}/placing`)
  ).json() as Answer<"knownForPlacing">;
  const { id } = placings.find((one) => one.state === "kept")!;
  const jpeg = Buffer.from(
    encode({ width: 320, height: 240, data: new Uint8Array(320 * 240 * 4).fill(90) }, 60).data,
  );
  const put = await studio.send("PUT", `/api/placings/${id}/photo`, { body: jpeg });
  expect(put.json()).toMatchObject({ photo: { widthPx: 320, heightPx: 240 } });
  const photo = await studio.send("GET", `/api/placings/${id}/photo.jpg`);
  expect(photo.headers["content-type"]).toBe("image/jpeg");
  expect(photo.rawPayload.subarray(0, 2)).toEqual(Buffer.from([0xff, 0xd8]));
  const huge = await studio.send("PUT", `/api/placings/${id}/photo`, { body: Buffer.alloc(3_000_000, 1) });
  expect(huge.statusCode).toBe(413);
  expect((await studio.send("DELETE", `/api/placings/${id}`)).statusCode).toBe(428);
  expect((await studio.send("DELETE", `/api/placings/${id}`, { ifMatch: 9 })).statusCode).toBe(412);
  expect((await studio.send("DELETE", `/api/placings/${id}`, { ifMatch: 1 })).json()).toMatchObject({
    state: "withdrawn",
  });
  expect((await studio.send("GET", "/api/placing/runs")).json()).toEqual({ items: [] });
});
