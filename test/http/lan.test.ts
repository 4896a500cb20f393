import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { connect } from "node:net";
import { tmpdir } from "node:os";
import path from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { type Row, rows } from "#contract";
import type { ShopNetwork } from "#http";
import { threadBody } from "#test/catalogue";
import { type Sent, testServer, type TestServer } from "#test/server";

/** Tablets of the studio's network: who gets in, by which name, and who does not. Networks are injected. */
const here = "192.168.1.7:4700";
const tablet = "192.168.1.40";
const one = (address: string) => ({
  ...{ address, netmask: "255.255.255.0", family: "IPv4" as const, mac: "00:00:00:00:00:00" },
  ...{ internal: address.startsWith("127."), cidr: `${address}/24` },
});
let network: ShopNetwork;
let web: string;
let studio: TestServer;

beforeEach(async () => {
  network = { interfaces: { lo: [one("127.0.0.1")], wlan0: [one("192.168.1.7")] }, hostName: "Quay" };
  web = mkdtempSync(path.join(tmpdir(), "web-"));
  mkdirSync(path.join(web, "assets"));
  writeFileSync(path.join(web, "index.html"), "<!doctype html><title>page</title>");
  writeFileSync(path.join(web, "assets", "main-1.js"), "1;");
  studio = await testServer({ setUp: true, web, network: () => network });
});
afterEach(async () => {
  await studio.close();
  rmSync(web, { recursive: true });
});

type Method = "GET" | "POST" | "PUT" | "DELETE";
/** As a tablet sends it: from its own address, to the computer's. */
const fromTablet = (method: Method, url: string, sent: Sent = {}) =>
  studio.send(method, url, { from: tablet, ...sent, headers: { host: here, ...sent.headers } });
const offer = async () =>
  (await studio.send("POST", "/api/devices/offer")).json<{ code: string; untilMs: number }>();
const pair = (code: string, name = "Tablet at machine 2", sent: Sent = {}) =>
  fromTablet("POST", "/api/devices/pair", { body: { code, name }, ...sent });
const cookieOf = (answer: { headers: Record<string, unknown> }) =>
  String(answer.headers["set-cookie"]).split(";", 1)[0]!;
async function letIn(name?: string): Promise<{ id: string; cookie: string }> {
  const answer = await pair((await offer()).code, name);
  expect(answer.statusCode).toBe(200);
  return { id: answer.json<{ id: string }>().id, cookie: cookieOf(answer) };
}
const codeOf = (answer: { body: string }) => (JSON.parse(answer.body) as { code: string }).code;
/** What a socket answers to a request written by hand. */
const raw = (port: number, lines: string) =>
  new Promise<string>((resolve, reject) => {
    const socket = connect(port, "127.0.0.1", () => socket.write(`${lines}Connection: close\r\n\r\n`));
    let text = "";
    socket.on("data", (data) => (text += data.toString("utf8")));
    socket.on("end", () => resolve(text));
    socket.on("error", reject);
  });
const allRows = Object.entries(rows) as [string, Row][];
const urlOf = (row: Row) => row.path.replace(/:\w+/g, "some-id");

describe("a stranger of the network", () => {
  it("gets a 401 problem at every request but the one that pairs, before anything is read", async () => {
    for (const [name, row] of allRows.filter(([name]) => name !== "pairDevice")) {
      const answer = await fromTablet(row.method, urlOf(row), { headers: { "if-match": '"1"' } });
      expect(answer.statusCode, name).toBe(401);
      expect(codeOf(answer), name).toBe("device-not-paired");
      expect(answer.headers["content-type"], name).toMatch(/problem\+json/);
      expect(answer.headers["www-authenticate"], name).toBeTruthy();
    }
    const broken = await fromTablet("POST", "/api/threads", { body: "{ no json" });
    expect(broken.statusCode).toBe(401);
  });

  it("sees the pairing page and the page's own files; other pages lead there", async () => {
    for (const url of ["/pair", "/pair?to=%2Forders", "/assets/main-1.js", "/index.html"])
      expect((await fromTablet("GET", url)).statusCode, url).toBe(200);
    for (const url of ["/", "/orders", "/pieces/pc_1?from=ticket", "/station/mc_1"]) {
      const answer = await fromTablet("GET", url);
      expect(answer.statusCode, url).toBe(303);
      expect(answer.headers.location, url).toBe(`/pair?to=${encodeURIComponent(url)}`);
    }
  });

  it.each([
    "/pair/../api/orders",
    "/pair/..%2fapi/orders",
    "/pair%2f..%2fapi%2forders",
    "/pair;/api/orders",
    "/pair/api/orders",
    "/%61pi/orders",
    "/api/%6frders",
    "//api/orders",
    "/api//orders",
    "/API/orders",
    "/api/orders/",
    "/api/orders?/pair",
    "/api/orders#/pair",
    "/api/orders/.%2e/devices/pair",
    "/assets/../api/orders",
    "/assets/%2e%2e/api/orders",
    "/assets/main-1.js/../../api/orders",
    "/api/devices/pair",
    "/api/devices/this",
    "/api/live",
    "/assets/%6dain-1.js",
    "/assets/none.js",
    "http://192.168.1.7:4700/api/orders",
    "/\\api\\orders",
    "/api/orders%00/pair",
  ])("learns nothing by %s, written just so into a socket", async (url) => {
    const { port } = new URL(await studio.server.listen(0));
    for (const method of ["GET", "HEAD", "POST", "PUT", "DELETE", "OPTIONS"]) {
      if (method === "POST" && url === "/api/devices/pair") continue;
      // Called by the network's name, even this computer is a stranger.
      const answer = await raw(Number(port), `${method} ${url} HTTP/1.1\r\nHost: quay.local:${port}\r\n`);
      expect(answer.slice(0, 300), `${method} ${url}`).toMatch(/^HTTP\/1\.1 (303|400|401|404) /);
      expect(answer).not.toContain('"items"');
      expect(answer.toLowerCase()).not.toContain("set-cookie");
    }
  });

  it("is not this computer by what it writes into headers", async () => {
    for (const name of ["x-forwarded-for", "forwarded", "x-real-ip", "x-client-ip", "true-client-ip", "via"])
      for (const value of ["127.0.0.1", "for=127.0.0.1", "::1"]) {
        const answer = await fromTablet("GET", "/api/orders", { headers: { [name]: value } });
        expect(answer.statusCode, name).toBe(401);
      }
    // Nor by calling the program by this computer's own name.
    for (const host of ["127.0.0.1:4700", "localhost:4700"])
      expect((await fromTablet("GET", "/api/orders", { headers: { host } })).statusCode, host).toBe(401);
  });

  it("is not let in by any cookie of its own making", async () => {
    const { cookie } = await letIn();
    const token = cookie.split("=")[1]!;
    for (const wrong of [
      "spoolwright-4700=",
      `spoolwright-4700=${"A".repeat(43)}`,
      `spoolwright-4701=${token}`,
      `spoolwright-4700=${token}x`,
      `spoolwright-4700=${token.slice(1)}`,
      `spoolwright-4700="${token}"`,
      `SPOOLWRIGHT-4700=${token}`,
      `spoolwright-4700=' or 1=1; spoolwright-4700=${token}`,
      `x=${"y".repeat(9000)}; ${cookie}`,
    ])
      expect((await fromTablet("GET", "/api/orders", { headers: { cookie: wrong } })).statusCode, wrong).toBe(401); // prettier-ignore
    // What is kept of the token does not let anybody in either.
    const [row] = await studio.program.context.store.db.selectFrom("devices").selectAll().execute();
    expect(JSON.stringify(row)).not.toContain(token);
    const hash = `spoolwright-4700=${row!.token_hash}`;
    expect((await fromTablet("GET", "/api/orders", { headers: { cookie: hash } })).statusCode).toBe(401);
  });

  it("asks in vain for another protocol", async () => {
    const { port } = new URL(await studio.server.listen(0));
    for (const upgrade of ["websocket", "h2c"])
      for (const host of ["quay.local", "127.0.0.1"]) {
        const answer = await raw(
          Number(port),
          `GET /api/status HTTP/1.1\r\nHost: ${host}:${port}\r\nUpgrade: ${upgrade}\r\nConnection: Upgrade\r\n`,
        );
        expect(answer).toMatch(host === "127.0.0.1" ? /^HTTP\/1\.1 200 / : /^HTTP\/1\.1 401 /);
      }
  });
});

describe("names and origins", () => {
  it("the network's addresses and the computer's own name are let in, nothing else", async () => {
    const { cookie } = await letIn();
    for (const host of [here, "quay.local:4700"])
      expect((await fromTablet("GET", "/api/status", { headers: { host, cookie } })).statusCode).toBe(200);
    for (const host of ["evil.example:4700", "192.168.1.7", "192.168.1.8:4700", "quay:4700", "192.168.1.7:4701", "192.168.1.7.nip.io:4700", "0.0.0.0:4700"]) // prettier-ignore
      expect((await fromTablet("GET", "/api/status", { headers: { host, cookie } })).statusCode, host).toBe(421); // prettier-ignore
  });

  it("a page somebody points at this computer is a stranger, whatever of our names it bears", async () => {
    // The owner's browser, led to 127.0.0.1 by a name that somebody on the network answers for.
    const answer = await studio.send("GET", "/api/orders", { headers: { host: "quay.local:4700" } });
    expect(answer.statusCode).toBe(401);
    const foreign = await studio.send("GET", "/api/orders", { headers: { host: "evil.example" } });
    expect(foreign.statusCode).toBe(421);
    // What it may read tells nothing of the network either.
    expect(foreign.body).not.toMatch(/192\.168|quay/i);
  });

  it("without --lan the network's names are unknown and nobody is let in", async () => {
    const closed = await testServer({ setUp: true });
    const asks = (host: string) => closed.send("GET", "/api/status", { from: tablet, headers: { host } });
    expect((await asks(here)).statusCode).toBe(421);
    expect((await asks("127.0.0.1:4700")).statusCode).toBe(403);
    expect(codeOf(await closed.send("POST", "/api/devices/offer"))).toBe("lan-closed");
    expect((await closed.send("GET", "/api/devices")).json()).toEqual({
      ...{ lan: false, reaches: [], origin: null, offerUntilMs: null, devices: [] },
    });
    await closed.close();
  });

  it("callers from outside the network are refused before their cookie is looked at", async () => {
    const { cookie } = await letIn();
    const answer = await fromTablet("GET", "/api/status", { from: "198.51.100.9", headers: { cookie } });
    expect(codeOf(answer)).toBe("caller-outside");
  });

  it("a device's own page may write, and a page of another origin may not, with or without Sec-Fetch-Site", async () => {
    const { cookie } = await letIn();
    const write = (headers: Record<string, string>) =>
      fromTablet("POST", "/api/threads", { body: threadBody({ code: `T${Math.abs(n++)}` }), headers: { cookie, ...headers } }); // prettier-ignore
    let n = 1;
    expect((await write({ origin: `http://${here}` })).statusCode).toBe(200);
    for (const origin of [
      "http://evil.example",
      "null",
      "http://192.168.1.7:8080",
      "http://192.168.1.7",
      "https://192.168.1.7:4700",
      "http://quay.local:4700",
      "http://127.0.0.1:4700",
      "http://localhost:4700",
    ])
      // prettier-ignore
      expect(codeOf(await write({ origin })), origin).toBe("from-another-site");
    expect(codeOf(await write({ "sec-fetch-site": "same-site" }))).toBe("from-another-site");
    // The order: a foreign page hears that it is foreign, whether or not the tablet is let in.
    const stranger = await fromTablet("POST", "/api/threads", { body: threadBody(), headers: { origin: "http://evil.example" } }); // prettier-ignore
    expect(codeOf(stranger)).toBe("from-another-site");
  });

  it("an address the router gives anew is known within seconds", async () => {
    const { cookie } = await letIn();
    network = { ...network, interfaces: { wlan0: [one("10.4.4.4")] } };
    studio.program.clock.nowMs += 6_000;
    const at = (host: string) => fromTablet("GET", "/api/status", { headers: { host, cookie } });
    expect((await at("10.4.4.4:4700")).statusCode).toBe(200);
    expect((await at(here)).statusCode).toBe(421);
  });
});

describe("pairing", () => {
  it("lets one tablet in by one code, under a name, with a cookie no script reads", async () => {
    const { code } = await offer();
    const answer = await pair(`${code.slice(0, 4)} ${code.slice(4)}`);
    expect(answer.json()).toMatchObject({ name: "Tablet at machine 2" });
    expect(String(answer.headers["set-cookie"])).toMatch(
      /^spoolwright-4700=[\w-]{43}; Path=\/; HttpOnly; SameSite=Strict; Max-Age=\d+$/,
    );
    expect(answer.body).not.toContain(cookieOf(answer).split("=")[1]);
    const cookie = cookieOf(answer);
    expect((await fromTablet("GET", "/api/orders", { headers: { cookie } })).statusCode).toBe(200);
    expect((await fromTablet("GET", "/api/devices/this", { headers: { cookie } })).json()).toEqual({
      ...{ thisComputer: false, name: "Tablet at machine 2" },
    });
    // The code is used up, for whoever saw it too, with whatever key it is sent.
    const sent: Record<string, string>[] = [{}, { "idempotency-key": "the-same-key" }];
    for (const headers of sent) expect(codeOf(await pair(code, "Thief", { headers }))).toBe("code-over");
  });

  it("sent twice under one key it lets nobody in twice", async () => {
    const { code } = await offer();
    const headers = { "idempotency-key": "pairing-key-1" };
    expect((await pair(code, "A", { headers })).statusCode).toBe(200);
    const again = await pair(code, "A", { headers });
    expect(codeOf(again)).toBe("code-over");
    expect(again.headers["set-cookie"]).toBeUndefined();
  });

  it("guessed codes are counted until the code is void and the address has to wait", async () => {
    const { code } = await offer();
    const other = code === "00000000" ? "00000001" : "00000000";
    for (let n = 0; n < 5; n++) expect(codeOf(await pair(other))).toBe("code-wrong");
    const locked = await pair(code);
    expect(codeOf(locked)).toBe("code-tries");
    expect(locked.headers["retry-after"]).toBe("60");
    expect(codeOf(await pair(code, "Other", { from: "192.168.1.41" }))).toBe("code-over");
    expect((await studio.send("GET", "/api/devices")).json()).toMatchObject({ offerUntilMs: null });
    studio.program.clock.nowMs += 60_000;
    expect((await pair((await offer()).code)).statusCode).toBe(200);
  });

  it("a tablet of another address does not escape the count by forwarded headers", async () => {
    await offer();
    for (let n = 0; n < 5; n++)
      await pair("x", "x", { headers: { "x-forwarded-for": `192.168.1.${100 + n}` } });
    expect(codeOf(await pair("x"))).toBe("code-tries");
  });

  it("a code ends after five minutes, by a newer one, and by being taken back", async () => {
    const old = await offer();
    const { code } = await offer();
    if (old.code !== code) expect(codeOf(await pair(old.code))).toBe("code-wrong");
    await studio.send("DELETE", "/api/devices/offer");
    expect(codeOf(await pair(code))).toBe("code-over");
    const late = await offer();
    studio.program.clock.nowMs += 5 * 60_000;
    expect(codeOf(await pair(late.code))).toBe("code-over");
  });

  it("the code is in no answer but the one that made it, and in nothing that is told", async () => {
    const { cookie } = await letIn();
    const { code } = await offer();
    for (const [, row] of allRows.filter(([, row]) => row.method === "GET" && row.carriage === "json")) {
      expect((await studio.send("GET", urlOf(row))).body).not.toContain(code);
      expect((await fromTablet("GET", urlOf(row), { headers: { cookie } })).body).not.toContain(code);
    }
    expect(JSON.stringify([studio.program.told, studio.program.logged])).not.toContain(code);
  });

  it("two tablets of one name are told apart, and nobody is called this computer", async () => {
    await letIn("Tablet");
    await letIn("tablet");
    await letIn("This computer");
    const { devices } = (await studio.send("GET", "/api/devices")).json<{ devices: { name: string }[] }>();
    expect(devices.map((device) => device.name).sort()).toEqual(["Tablet", "This computer 2", "tablet 2"]);
  });

  it("this computer and a tablet that is in need no code", async () => {
    const { code } = await offer();
    const { cookie } = { cookie: cookieOf(await pair(code)) };
    const again = await offer();
    expect(codeOf(await pair(again.code, "Me again", { headers: { cookie } }))).toBe("paired-already");
    const own = await studio.send("POST", "/api/devices/pair", { body: { code: again.code, name: "x" } });
    expect(codeOf(own)).toBe("paired-already");
  });
});

describe("a device that is let in", () => {
  it("works under its own name", async () => {
    const { cookie } = await letIn();
    await fromTablet("POST", "/api/threads", { body: threadBody(), headers: { cookie } });
    const changes = (await studio.send("GET", "/api/changes")).json<{
      items: { id: string; who: string }[];
    }>();
    expect(changes.items[0]!.who).toBe("Tablet at machine 2");
    const undone = await studio.send("POST", `/api/changes/${changes.items[0]!.id}/undo`);
    expect(undone.json()).toMatchObject({ who: "This computer" });
  });

  it("asks in vain for whatever is the computer's own", async () => {
    const { id, cookie } = await letIn();
    const only = allRows.filter(([, row]) => row.onlyHere);
    expect(only.map(([name]) => name).sort()).toEqual(
      ["choosePhoneOrigin", "deletePlacingPhotos", "listDevices", "offerPairing", "placingPhoto", "renameDevice", "turnOutDevice", "withdrawPairing"], // prettier-ignore
    );
    for (const [name, row] of only) {
      const answer = await fromTablet(row.method, row.path.replace(":id", id), { headers: { cookie } });
      expect(codeOf(answer), name).toBe("only-at-the-computer");
    }
  });

  it("is seen, seldom written down, and its cookie lives on", async () => {
    const { cookie } = await letIn();
    const ask = () => fromTablet("GET", "/api/status", { headers: { cookie } });
    const seen = async () => {
      await studio.program.devices.settle();
      return (await studio.program.context.store.db.selectFrom("devices").selectAll().execute())[0]!.last_seen_at_ms; // prettier-ignore
    };
    const pairedAtMs = await seen();
    studio.program.clock.nowMs += 9 * 60_000;
    expect((await ask()).headers["set-cookie"]).toBeUndefined();
    expect(await seen()).toBe(pairedAtMs);
    studio.program.clock.nowMs += 60_000;
    expect(cookieOf(await ask())).toBe(cookie);
    expect(await seen()).toBe(studio.program.clock.nowMs);
  });

  it("carries the address phones use into QR codes: the chosen one, while the computer has it", async () => {
    network = { ...network, interfaces: { ...network.interfaces, eth0: [one("10.0.0.7")] } };
    const choose = (origin: string) => studio.send("PUT", "/api/devices/origin", { body: { origin } });
    expect((await studio.send("GET", "/api/devices")).json()).toMatchObject({
      origin: "http://192.168.1.7:4700",
      reaches: [
        { origin: "http://192.168.1.7:4700", kind: "address", network: "wlan0" },
        { origin: "http://10.0.0.7:4700", kind: "address", network: "eth0" },
        { origin: "http://quay.local:4700", kind: "name", network: "" },
      ],
    });
    expect((await choose("http://10.0.0.7:4700")).json()).toMatchObject({ origin: "http://10.0.0.7:4700" });
    expect((await choose("http://evil.example")).statusCode).toBe(422);
    network = { ...network, interfaces: { wlan0: [one("192.168.1.7")] } };
    studio.program.clock.nowMs += 6_000;
    expect((await studio.send("GET", "/api/devices")).json()).toMatchObject({
      origin: "http://192.168.1.7:4700",
    });
  });

  it("is renamed, but not to another's name", async () => {
    const { id } = await letIn("Tablet");
    studio.program.clock.nowMs += 1000;
    await letIn("Phone");
    const rename = (name: string) => studio.send("PUT", `/api/devices/${id}`, { body: { name } });
    expect((await rename("Tablet at Heron")).json()).toMatchObject({ devices: [{ name: "Phone" }, { name: "Tablet at Heron" }] }); // prettier-ignore
    expect(codeOf(await rename("phone"))).toBe("device-name-taken");
    expect(codeOf(await studio.send("PUT", "/api/devices/dv_none", { body: { name: "x" } }))).toBe("device-unknown"); // prettier-ignore
  });
});

describe("a device that is turned out", () => {
  it("gets a clear 401 at its next request, and no change taken back lets it in again", async () => {
    const { id, cookie } = await letIn();
    const changes = await studio.program.context.store.lastChange();
    expect((await studio.send("DELETE", `/api/devices/${id}`)).json()).toMatchObject({ devices: [] });
    expect(await studio.program.context.store.lastChange()).toBe(changes);
    const next = await fromTablet("GET", "/api/orders", { headers: { cookie } });
    expect(next.statusCode).toBe(401);
    expect(next.json()).toMatchObject({
      code: "device-turned-out",
      title: "This tablet is no longer let in",
    });
    expect((await fromTablet("GET", "/station/x", { headers: { cookie } })).statusCode).toBe(303);
    expect((await fromTablet("POST", "/api/floor/events", { body: { events: [] }, headers: { cookie } })).statusCode).toBe(401); // prettier-ignore
    expect(codeOf(await studio.send("DELETE", `/api/devices/${id}`))).toBe("device-unknown");
  });

  it("stays in when turning it out could not be written", async () => {
    const { id, cookie } = await letIn();
    const { store } = studio.program.context;
    const write = store.write.bind(store);
    (store as { write: unknown }).write = () => Promise.reject(new Error("disk"));
    expect((await studio.send("DELETE", `/api/devices/${id}`)).statusCode).toBe(500);
    (store as { write: unknown }).write = write;
    expect((await fromTablet("GET", "/api/status", { headers: { cookie } })).statusCode).toBe(200);
  });

  it("may come in again by a new code, under its name", async () => {
    const { id, cookie } = await letIn();
    await studio.send("DELETE", `/api/devices/${id}`);
    const again = await pair((await offer()).code, undefined, { headers: { cookie } });
    expect(again.json()).toMatchObject({ name: "Tablet at machine 2" });
    expect(cookieOf(again)).not.toBe(cookie);
  });
});

describe("the live stream", () => {
  let port = 0;
  beforeEach(() => void (port = 0));
  const own = (method: Method, url: string, sent: Sent = {}) =>
    studio.send(method, url, { ...sent, headers: { host: `127.0.0.1:${port}` } });
  const turnOut = (id: string) => own("DELETE", `/api/devices/${id}`);

  /** Over a socket: called by the network's name, this computer is a device like any other. */
  async function streamOf(cookie: string) {
    port ||= Number(new URL(await studio.server.listen(0)).port);
    const socket = connect(port, "127.0.0.1");
    const name = `spoolwright-${port}=${cookie.split("=")[1]!}`;
    socket.write(`GET /api/live HTTP/1.1\r\nHost: quay.local:${port}\r\nCookie: ${name}\r\n\r\n`);
    let text = "";
    socket.on("data", (data) => (text += data.toString("utf8")));
    const ended = new Promise<string>((resolve) => socket.once("end", () => resolve(text)));
    await expect.poll(() => text).toContain("\r\n\r\n");
    return { ended, text: () => text, leave: () => socket.destroy() };
  }

  it("opens to a device, tells it what changed, and ends at once when it is turned out", async () => {
    const { id, cookie } = await letIn();
    const stream = await streamOf(cookie);
    await expect.poll(() => stream.text()).toContain("retry: 2000");
    const { devices } = (await own("GET", "/api/devices")).json<{ devices: { open: boolean }[] }>();
    expect(devices.map((device) => device.open)).toEqual([true]);
    await turnOut(id);
    expect(await stream.ended).toMatch(/^HTTP\/1\.1 200 [^]*event: changed/);
    expect((await own("GET", "/api/devices")).json()).toMatchObject({ devices: [] });
  });

  it("turning one out leaves the others' open", async () => {
    const [first, second] = [await letIn("A"), await letIn("B")];
    const stream = await streamOf(second.cookie);
    await turnOut(first.id);
    const made = await own("POST", "/api/threads", { body: threadBody() });
    await expect.poll(() => stream.text()).toContain(made.json<{ id: string }>().id);
    stream.leave();
  });

  it("stays shut without a cookie, and for one that is turned out", async () => {
    const { id, cookie } = await letIn();
    await studio.send("DELETE", `/api/devices/${id}`);
    const stream = await streamOf(cookie);
    expect(stream.text()).toMatch(/^HTTP\/1\.1 401 /);
    stream.leave();
    const nobodys = await streamOf("x=");
    expect(nobodys.text()).toMatch(/^HTTP\/1\.1 401 /);
    nobodys.leave();
  });
});
