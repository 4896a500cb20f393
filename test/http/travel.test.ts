import { connect } from "node:net";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { type Row, rows } from "#contract";
import { threadBody } from "#test/catalogue";
import { testServer, type TestServer } from "#test/server";

let studio: TestServer;
beforeEach(async () => {
  studio = await testServer({ setUp: true });
});
afterEach(() => studio.close());

const allRows = Object.entries(rows) as [string, Row][];
const urlOf = (row: Row) => row.path.replace(/:\w+/g, "some-id");

describe("problem documents (RFC 9457)", () => {
  it("carry type, title, status, detail, code and advice under their own media type", async () => {
    const answer = await studio.send("GET", "/api/threads/th_none");
    expect(answer.headers["content-type"]).toMatch(/^application\/problem\+json/);
    expect(answer.json()).toMatchObject({
      type: "urn:spoolwright:problem:not-found",
      title: expect.any(String) as string,
      status: 404,
      detail: expect.stringContaining("th_none") as string,
      advice: expect.any(String) as string,
    });
  });

  it("name each wrong field with what was found and what was expected", async () => {
    const answer = await studio.send("POST", "/api/threads", {
      body: { ...threadBody(), rgb: "blue", cones: -1, colour: "x" },
    });
    expect(answer.statusCode).toBe(422);
    expect(answer.json<{ errors: object[] }>().errors).toEqual([
      { field: "rgb", found: "blue", expected: "a colour as #rrggbb" },
      { field: "cones", found: "-1", expected: "at least 0" },
      { field: "colour", found: "a field nobody knows", expected: "no such field" },
    ]);
  });

  it("tell of a bug by a reference, and nothing of the inside", async () => {
    const broken = await testServer({ setUp: true });
    await broken.program.context.store.db.schema
      .dropTable("threads")
      .cascade()
      .execute()
      .catch(() => broken.program.context.store.db.schema.dropTable("threads").execute());
    const answer = await broken.send("GET", "/api/threads");
    expect(answer.statusCode).toBe(500);
    const problem = answer.json<{ reference: string }>();
    expect(problem.reference).toMatch(/^[0-9a-f]{12}$/);
    expect(answer.body).not.toMatch(/no such table|sqlite|at \w+|\/(src|node_modules|home|work)\//i);
    expect(JSON.stringify(broken.program.logged.map((one) => one.detail))).toContain(problem.reference);
    await broken.close();
  });
});

describe("who is let in", () => {
  it.each([
    "evil.example",
    "localhost.evil.com",
    "127.0.0.1.nip.io:4700",
    "localhost.:4700",
    "LOCALHOST:4700",
    "127.0.0.1",
    "127.0.0.1:4701",
    "0.0.0.0:4700",
    "[::]:4700",
    "user@127.0.0.1:4700",
    "127.0.0.1:4700 ",
    "::1:4700",
  ])("the name %s is not this program's", async (host) => {
    const answer = await studio.send("GET", "/api/status", { headers: { host } });
    expect(answer.statusCode).toBe(421);
    const page = await studio.send("GET", "/orders", { headers: { host } });
    expect(page.statusCode).toBe(421);
  });

  it.each(["127.0.0.1:4700", "localhost:4700", "[::1]:4700"])("the name %s is", async (host) => {
    expect((await studio.send("GET", "/api/status", { headers: { host } })).statusCode).toBe(200);
  });

  it("a forwarded name changes nothing", async () => {
    expect(
      (
        await studio.send("GET", "/api/status", {
          headers: {
            host: "evil.example",
            "x-forwarded-host": "127.0.0.1:4700",
            "x-forwarded-for": "127.0.0.1",
          },
        })
      ).statusCode,
    ).toBe(421);
  });

  it("two Host lines, none, and an empty one are refused on a real socket", async () => {
    const address = await studio.server.listen(0);
    const { port } = new URL(address);
    const raw = (lines: string) =>
      new Promise<string>((resolve, reject) => {
        const socket = connect(Number(port), "127.0.0.1", () =>
          socket.write(`GET /api/status HTTP/1.1\r\n${lines}Connection: close\r\n\r\n`),
        );
        let text = "";
        socket.on("data", (data) => (text += data.toString("utf8")));
        socket.on("end", () => resolve(text.split("\r\n", 1)[0]!));
        socket.on("error", reject);
      });
    expect(await raw(`Host: 127.0.0.1:${port}\r\n`)).toContain("200");
    expect(await raw(`Host: 127.0.0.1:${port}\r\nHost: evil.example\r\n`)).toMatch(/ 4(21|00) /);
    expect(await raw(`Host: evil.example\r\nHost: 127.0.0.1:${port}\r\n`)).toMatch(/ 4(21|00) /);
    expect(await raw("Host:\r\n")).toMatch(/ 4(21|00) /);
    expect(await raw("")).toMatch(/ 4(21|00) /);
  });

  const unsafe = allRows.filter(([, row]) => row.method !== "GET");
  it.each([
    ["a page of another site", { "sec-fetch-site": "cross-site" }, 403],
    ["a page of another port", { "sec-fetch-site": "same-site" }, 403],
    ["an address typed by hand", { "sec-fetch-site": "none" }, 403],
    ["an old browser on another site", { origin: "http://evil.example" }, 403],
    ["a page without an origin", { origin: "null" }, 403],
    ["plain text", { "content-type": "text/plain" }, 415],
    ["a form", { "content-type": "application/x-www-form-urlencoded" }, 415],
    ["a form with files", { "content-type": "multipart/form-data; boundary=x" }, 415],
  ] as const)("%s changes nothing at any route", async (_what, headers, status) => {
    const before = await studio.program.context.store.lastChange();
    for (const [name, row] of unsafe) {
      const answer = await studio.send(row.method, urlOf(row), {
        body: "{}",
        headers: { "if-match": '"1"', ...headers },
      });
      expect(answer.statusCode, name).toBe(status);
    }
    expect(await studio.program.context.store.lastChange()).toBe(before);
  });

  it("the program's own pages and scripts on this computer may write", async () => {
    expect(
      (
        await studio.send("POST", "/api/threads", {
          body: threadBody(),
          headers: { "sec-fetch-site": "same-origin" },
        })
      ).statusCode,
    ).toBe(200);
    expect(
      (
        await studio.send("POST", "/api/threads", {
          body: threadBody({ code: "N2" }),
          headers: { origin: "http://localhost:4700" },
        })
      ).statusCode,
    ).toBe(200);
    expect((await studio.send("POST", "/api/threads", { body: threadBody({ code: "N3" }) })).statusCode).toBe(
      200,
    );
  });

  it("another site can neither listen nor show pictures", async () => {
    for (const url of ["/api/live", "/api/design-versions/x/picture.svg"])
      expect(
        (await studio.send("GET", url, { headers: { "sec-fetch-site": "cross-site" } })).statusCode,
      ).toBe(403);
  });

  it("no answer opens itself to other origins, and each carries the safety headers", async () => {
    for (const [name, row] of allRows) {
      if (row.carriage === "events") continue;
      const answer = await studio.send(row.method, urlOf(row));
      expect(answer.headers["content-security-policy"], name).toContain("default-src 'self'");
      expect(answer.headers).toMatchObject({
        "x-content-type-options": "nosniff",
        "referrer-policy": "no-referrer",
        "cross-origin-opener-policy": "same-origin",
        "cross-origin-resource-policy": "same-origin",
      });
      expect(answer.headers["content-type"] ?? "application/json").toMatch(/^(application|text|image)\//);
    }
    const preflight = await studio.server.app.inject({
      method: "OPTIONS",
      url: "/api/threads",
      headers: {
        host: "127.0.0.1:4700",
        origin: "http://evil.example",
        "access-control-request-method": "PUT",
      },
    });
    expect(preflight.statusCode).toBeGreaterThanOrEqual(400);
    expect(Object.keys(preflight.headers).filter((name) => name.startsWith("access-control"))).toEqual([]);
  });
});

describe("bodies", () => {
  it.each([
    ["nesting of half a million levels", "[".repeat(500_000) + "]".repeat(500_000)],
    ["65 levels", "[".repeat(65) + "]".repeat(65)],
    [
      "more than 10,000 fields",
      JSON.stringify(Object.fromEntries(Array.from({ length: 10_001 }, (_, n) => [`f${n}`, 1]))),
    ],
    ["a prototype", '{"__proto__":{"isAdmin":true}}'],
    ["an escaped prototype", '{"\\u005f_proto__":{"isAdmin":true}}'],
    ["a constructor's prototype", '{"constructor":{"prototype":{"isAdmin":true}}}'],
    ["half a document", '{"name":'],
    ["a NUL character", '{"name":"a\\u0000b"}'],
  ])("%s is refused", async (_what, body) => {
    const answer = await studio.send("POST", "/api/threads", { body });
    expect(answer.statusCode).toBe(400);
    expect(answer.json()).toMatchObject({ code: "body-not-json" });
    expect(({} as Record<string, unknown>).isAdmin).toBeUndefined();
  });

  it("bytes that are no UTF-8 are refused", async () => {
    const answer = await studio.send("POST", "/api/threads", {
      body: Buffer.from([0x7b, 0xff, 0xfe, 0x7d]),
      headers: { "content-type": "application/json" },
    });
    expect(answer.json()).toMatchObject({ status: 400, code: "body-not-json" });
  });

  it("a byte over the most a row takes is refused, the most itself is not", async () => {
    const padded = (length: number) => JSON.stringify(threadBody()).padEnd(length, " ");
    expect((await studio.send("POST", "/api/threads", { body: padded(1_000_000) })).statusCode).toBe(200);
    expect((await studio.send("POST", "/api/threads", { body: padded(1_000_001) })).json()).toMatchObject({
      status: 413,
      code: "body-too-large",
    });
  });
});

describe("requests with a key of their own", () => {
  const headers = { "idempotency-key": "press-of-a-button-1" };
  it("act once, however often and however close together they are sent", async () => {
    const answers = await Promise.all(
      Array.from({ length: 20 }, () => studio.send("POST", "/api/threads", { body: threadBody(), headers })),
    );
    expect(new Set(answers.map((one) => one.body)).size).toBe(1);
    expect(answers[19]!.headers["spoolwright-change"]).toBe(answers[0]!.headers["spoolwright-change"]);
    expect((await studio.send("GET", "/api/threads")).json()).toMatchObject({ total: 1 });
  });

  it("refuse the key for another request", async () => {
    await studio.send("POST", "/api/threads", { body: threadBody(), headers });
    expect(
      (await studio.send("POST", "/api/threads", { body: threadBody({ code: "N2" }), headers })).json(),
    ).toMatchObject({ status: 422, code: "key-used-otherwise" });
  });

  it("may be sent again after a refusal", async () => {
    expect((await studio.send("POST", "/api/machines", { body: { name: "x" }, headers })).statusCode).toBe(
      422,
    );
    expect((await studio.send("POST", "/api/threads", { body: threadBody(), headers })).statusCode).toBe(200);
  });

  it("are not done twice when the program stopped between the act and the answer", async () => {
    const { store } = studio.program.context;
    await studio.send("POST", "/api/threads", { body: threadBody(), headers });
    await store.db.updateTable("answered_requests").set({ status: 0, answer: "" }).execute();
    expect((await studio.send("POST", "/api/threads", { body: threadBody(), headers })).json()).toMatchObject(
      { status: 409, code: "done-already" },
    );
    expect((await studio.send("GET", "/api/threads")).json()).toMatchObject({ total: 1 });
  });
});
