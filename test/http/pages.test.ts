import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import { brotliDecompressSync, gunzipSync } from "node:zlib";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { testServer, type TestServer } from "#test/server";
import { dispositionOf } from "../../src/http/routes";

let studio: TestServer;
let root: string;
const script = "console.log('spool');\n".repeat(500);
beforeAll(async () => {
  root = mkdtempSync(path.join(tmpdir(), "pages-"));
  mkdirSync(path.join(root, "web/assets"), { recursive: true });
  writeFileSync(path.join(root, "web/index.html"), "<!doctype html><title>Spoolwright</title>");
  writeFileSync(path.join(root, "web/assets/main-a1b2.js"), script);
  writeFileSync(path.join(root, "secret.txt"), "not for the page");
  studio = await testServer({ web: path.join(root, "web") });
});
afterAll(async () => {
  await studio.close();
  rmSync(root, { recursive: true });
});

describe("the built page", () => {
  it.each(["/", "/orders", "/orders/or_01", "/today?day=2026-11-25"])(
    "%s is a place of the page",
    async (url) => {
      const answer = await studio.send("GET", url);
      expect(answer.body).toContain("<title>Spoolwright");
      expect(answer.headers["cache-control"]).toBe("no-cache");
      const again = await studio.send("GET", url, {
        headers: { "if-none-match": String(answer.headers.etag) },
      });
      expect(again.statusCode).toBe(304);
    },
  );

  it.each([
    "/assets/none.js",
    "/favicon.ico",
    "/api/none",
    "/api",
    "/../secret.txt",
    "/..%2fsecret.txt",
    "/assets/..%2f..%2fsecret.txt",
    "/%2e%2e/secret.txt",
    "/assets/../../secret.txt",
  ])("%s is not", async (url) => {
    const answer = await studio.send("GET", url);
    expect(answer.statusCode).toBe(404);
    expect(answer.body).not.toContain("not for the page");
  });

  it("is packed as the browser takes it, and kept for good where its name changes with its content", async () => {
    const plain = await studio.send("GET", "/assets/main-a1b2.js");
    expect(plain.body).toBe(script);
    expect(plain.headers["cache-control"]).toContain("immutable");
    const gzip = await studio.send("GET", "/assets/main-a1b2.js", { headers: { "accept-encoding": "gzip" } });
    expect(gunzipSync(gzip.rawPayload).toString()).toBe(script);
    const brotli = await studio.send("GET", "/assets/main-a1b2.js", {
      headers: { "accept-encoding": "gzip, br" },
    });
    expect(brotliDecompressSync(brotli.rawPayload).toString()).toBe(script);
    expect(brotli.headers.vary).toBe("accept-encoding");
  });

  it("says so when it is not built", async () => {
    const bare = await testServer();
    expect((await bare.send("GET", "/")).json()).toMatchObject({ status: 503, code: "not-built" });
    await bare.close();
  });
});

describe("the name to save a file under (RFC 6266, RFC 8187)", () => {
  it("stands plainly where it is ASCII, and twice where it is not", () => {
    expect(dispositionOf("heron.dst")).toBe('attachment; filename="heron.dst"');
    expect(dispositionOf("Möwe €.dst")).toBe(
      "attachment; filename=\"M_we _.dst\"; filename*=UTF-8''M%C3%B6we%20%E2%82%AC.dst",
    );
  });

  it.each([
    "../../etc/x",
    "..\\x",
    "a\u0000b",
    "a\r\nSet-Cookie: x",
    'a"b',
    "\u202egnp.exe",
    "x".repeat(300),
    "\ud800",
    "",
  ])("is harmless for %j", (name) => {
    const value = dispositionOf(name);
    expect(value).toMatch(/^attachment; filename="[^"\\/\r\n\0]+"(; filename\*=UTF-8''[\w%.!~-]+)?$/);
    expect(value.length).toBeLessThan(2200);
  });
});
