import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { catalogue, type Noun } from "#contract";
import {
  hoopBody,
  machineBody,
  needleBody,
  personBody,
  placementBody,
  productBody,
  stockBody,
  threadBody,
} from "#test/catalogue";
import { testServer, type TestServer } from "#test/server";

let studio: TestServer;
beforeEach(async () => {
  studio = await testServer({ setUp: true });
});
afterEach(() => studio.close());

const bodies: Record<Noun, object> = {
  people: personBody(),
  machines: machineBody(),
  hoops: hoopBody(),
  threads: threadBody(),
  stock: stockBody(),
  products: productBody(),
};
const added = async (noun: Noun, body: object) => {
  const answer = await studio.send("POST", `/api/${noun}`, { body });
  expect(answer.statusCode, answer.body).toBe(200);
  return answer.json<{ id: string; version: number }>();
};

describe.each(Object.keys(catalogue) as Noun[])("the list of %s", (noun) => {
  it("can be added to, read, changed, archived, taken back and undone", async () => {
    const made = await studio.send("POST", `/api/${noun}`, { body: bodies[noun] });
    expect(made.statusCode, made.body).toBe(200);
    expect(made.headers.etag).toBe('"1"');
    const { id } = made.json<{ id: string }>();
    expect((await studio.send("GET", `/api/${noun}/${id}`)).json()).toMatchObject({
      ...bodies[noun],
      id,
      version: 1,
      archived: false,
    });

    const changed = await studio.send("PUT", `/api/${noun}/${id}`, {
      body: { ...bodies[noun], name: "Another name" },
      ifMatch: 1,
    });
    expect(changed.json()).toMatchObject({ name: "Another name", version: 2 });

    const archived = await studio.send("DELETE", `/api/${noun}/${id}`, { ifMatch: 2 });
    expect(archived.json()).toMatchObject({ archived: true, version: 3 });
    expect((await studio.send("GET", `/api/${noun}`)).json()).toMatchObject({ total: 0 });
    expect((await studio.send("GET", `/api/${noun}?archived=yes`)).json()).toMatchObject({ total: 1 });

    const undone = await studio.send(
      "POST",
      `/api/changes/${String(archived.headers["spoolwright-change"])}/undo`,
    );
    expect(undone.statusCode, undone.body).toBe(200);
    expect((await studio.send("GET", `/api/${noun}/${id}`)).json()).toMatchObject({
      archived: false,
      version: 4,
    });
    const again = await studio.send(
      "POST",
      `/api/changes/${String(archived.headers["spoolwright-change"])}/undo`,
    );
    expect(again.json()).toMatchObject({ status: 409, code: "change-undone-already" });
  });

  it("refuses a change of a version that is no longer there, and shows the one that is", async () => {
    const { id } = await added(noun, bodies[noun]);
    await studio.send("PUT", `/api/${noun}/${id}`, {
      body: { ...bodies[noun], name: "From the first tab" },
      ifMatch: 1,
    });
    const late = await studio.send("PUT", `/api/${noun}/${id}`, {
      body: { ...bodies[noun], name: "From the second tab" },
      ifMatch: 1,
    });
    expect(late.statusCode).toBe(412);
    expect(late.json()).toMatchObject({
      code: "changed-by-another",
      current: { name: "From the first tab", version: 2 },
    });
    const blind = await studio.send("PUT", `/api/${noun}/${id}`, { body: bodies[noun] });
    expect(blind.statusCode).toBe(428);
  });

  it("does not take a change back when a later one stands on it, and names that one", async () => {
    const { id } = await added(noun, bodies[noun]);
    const first = await studio.send("PUT", `/api/${noun}/${id}`, {
      body: { ...bodies[noun], name: "First" },
      ifMatch: 1,
    });
    await studio.send("PUT", `/api/${noun}/${id}`, { body: { ...bodies[noun], name: "Second" }, ifMatch: 2 });
    const undone = await studio.send(
      "POST",
      `/api/changes/${String(first.headers["spoolwright-change"])}/undo`,
    );
    expect(undone.json()).toMatchObject({ status: 409, code: "changed-since" });
    expect(undone.json<{ detail: string }>().detail).toContain("Second");
  });
});

it("twenty racing changes of one version: one wins, nineteen are told", async () => {
  const { id } = await added("threads", threadBody());
  const answers = await Promise.all(
    Array.from({ length: 20 }, (_, n) =>
      studio.send("PUT", `/api/threads/${id}`, { body: threadBody({ name: `Name ${n}` }), ifMatch: 1 }),
    ),
  );
  expect(answers.map((one) => one.statusCode).sort()).toEqual([200, ...Array<number>(19).fill(412)]);
  expect((await studio.send("GET", `/api/threads/${id}`)).json()).toMatchObject({ version: 2 });
});

it("a code belongs to one thread, also in other letters' case and when archived", async () => {
  const { id } = await added("threads", threadBody({ code: "N11" }));
  const twice = await studio.send("POST", "/api/threads", {
    body: threadBody({ code: "n11", name: "Other" }),
  });
  expect(twice.json()).toMatchObject({
    status: 409,
    code: "code-taken",
    errors: [{ field: "code", found: "n11" }],
  });
  await studio.send("DELETE", `/api/threads/${id}`, { ifMatch: 1 });
  const archived = await studio.send("POST", "/api/threads", {
    body: threadBody({ code: "N11", name: "Other" }),
  });
  expect(archived.json<{ detail: string }>().detail).toContain("archived");
});

it("lists are searched by every word, sorted as people count, and paged", async () => {
  for (const [code, name] of [
    ["N11", "Harbour blue"],
    ["N2", "Sand"],
    ["N1", "Blue hour"],
    ["N3", "100% white_ish"],
  ] as const)
    await added("threads", threadBody({ code, name }));
  const codes = async (query: string) =>
    (await studio.send("GET", `/api/threads?${query}`))
      .json<{ items: { code: string }[]; total: number }>()
      .items.map((one) => one.code);
  expect(await codes("")).toEqual(["N1", "N2", "N3", "N11"]);
  expect(await codes("sort=-code")).toEqual(["N11", "N3", "N2", "N1"]);
  expect(await codes("q=blue%20hour")).toEqual(["N1"]);
  expect(await codes("q=%25")).toEqual(["N3"]);
  expect(await codes("q=_i")).toEqual(["N3"]);
  expect(await codes("offset=1&limit=2")).toEqual(["N2", "N3"]);
  expect((await studio.send("GET", "/api/threads?sort=nothing")).json()).toMatchObject({
    status: 400,
    code: "sort-unknown",
  });
});

it("a machine names only hoops and threads that are there, all faults at once", async () => {
  const wrong = await studio.send("POST", "/api/machines", {
    body: machineBody({ hoopIds: ["hp_no"], needles: [needleBody(1, "th_no")] }),
  });
  expect(wrong.json()).toMatchObject({ status: 422, code: "reference-wrong" });
  expect(wrong.json<{ errors: { field: string }[] }>().errors.map((one) => one.field)).toEqual([
    "hoopIds.0",
    "needles.0.threadId",
  ]);
  expect((await studio.send("GET", "/api/machines")).json()).toMatchObject({ total: 0 });
});

it("what is archived stays where it was named, and cannot be named anew", async () => {
  const hoop = await added("hoops", hoopBody());
  const machine = await added("machines", machineBody({ hoopIds: [hoop.id] }));
  await studio.send("DELETE", `/api/hoops/${hoop.id}`, { ifMatch: 1 });
  const kept = await studio.send("PUT", `/api/machines/${machine.id}`, {
    body: machineBody({ hoopIds: [hoop.id], note: "oiled" }),
    ifMatch: 1,
  });
  expect(kept.statusCode, kept.body).toBe(200);
  const anew = await studio.send("POST", "/api/machines", {
    body: machineBody({ name: "Egret", hoopIds: [hoop.id] }),
  });
  expect(anew.json<{ errors: { found: string }[] }>().errors[0]!.found).toContain("archived");
  expect((await studio.send("GET", `/api/hoops/${hoop.id}`)).json()).toMatchObject({ archived: true });
});

it("a product's lettering fits its hoop, and its hoop fits a machine that may sew it", async () => {
  const hoop = await added("hoops", hoopBody({ fieldWidthMm: 100 }));
  const machine = await added("machines", machineBody());
  const lettering = { heightMm: 12, maxWidthMm: 120, threadId: null, place: "alone" } as const;
  const wrong = await studio.send("POST", "/api/products", {
    body: productBody({
      placements: [placementBody({ hoopId: hoop.id, machineIds: [machine.id], lettering })],
    }),
  });
  expect(wrong.json<{ errors: { field: string }[] }>().errors.map((one) => one.field)).toEqual([
    "placements.0.lettering.maxWidthMm",
    "placements.0.hoopId",
  ]);
  const blank = await added("stock", stockBody({ kind: "backing" }));
  const kind = await studio.send("POST", "/api/products", { body: productBody({ blankId: blank.id }) });
  expect(kind.json()).toMatchObject({
    errors: [{ field: "blankId", expected: "a blank of the stock list" }],
  });
});

it("adding can be taken back, and brought back by taking that back", async () => {
  const made = await studio.send("POST", "/api/threads", { body: threadBody() });
  const { id } = made.json<{ id: string }>();
  const undo = await studio.send("POST", `/api/changes/${String(made.headers["spoolwright-change"])}/undo`);
  expect((await studio.send("GET", `/api/threads/${id}`)).statusCode).toBe(404);
  await studio.send("POST", `/api/changes/${undo.json<{ id: string }>().id}/undo`);
  expect((await studio.send("GET", `/api/threads/${id}`)).json()).toMatchObject(threadBody());
  const words = (await studio.send("GET", "/api/changes?limit=3"))
    .json<{ items: { what: string }[] }>()
    .items.map((one) => one.what);
  expect(words).toEqual([
    "Did again: Added thread Tide",
    "Took back: Added thread Tide",
    "Added thread Tide",
  ]);
});
