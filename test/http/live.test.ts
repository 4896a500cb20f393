import { request as httpRequest, type IncomingMessage } from "node:http";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { threadBody } from "#test/catalogue";
import { testServer, type TestServer } from "#test/server";

/** Server-sent events: WHATWG HTML Standard, section 9.2 "Server-sent events". */
let studio: TestServer;
let address: string;
beforeEach(async () => {
  studio = await testServer({ setUp: true });
  address = await studio.server.listen(0);
});
afterEach(() => studio.close());

interface Stream {
  readonly response: IncomingMessage;
  /** Reads on until the text holds the word; ends with what came so far when the stream ends. */
  until(word: string): Promise<string>;
  readonly ended: Promise<void>;
  leave(): void;
}

function listenTo(headers: Record<string, string> = {}): Promise<Stream> {
  return new Promise((resolve, reject) => {
    const request = httpRequest(`${address}/api/live`, { headers }, (response) => {
      let text = "";
      const waiting = new Set<() => void>();
      response.setEncoding("utf8").on("data", (data: string) => {
        text += data;
        waiting.forEach((look) => look());
      });
      const ended = new Promise<void>((end) =>
        response.on("close", () => (waiting.forEach((look) => look()), end())),
      );
      const until = (word: string) =>
        new Promise<string>((found) => {
          const look = () => {
            if (!text.includes(word) && !response.closed) return;
            waiting.delete(look);
            found(text);
          };
          waiting.add(look);
          look();
        });
      resolve({ response, until, ended, leave: () => request.destroy() });
    });
    request.on("error", reject);
    request.end();
  });
}

const put = (url: string, body: object) =>
  fetch(`${address}${url}`, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify(body),
  });
const idsIn = (text: string) => [...text.matchAll(/^id: (\S+)$/gm)].map((found) => found[1]!);

describe("live events", () => {
  it("tell every open page which list changed", async () => {
    const pages = await Promise.all([listenTo(), listenTo(), listenTo()]);
    expect(pages[0].response.headers["content-type"]).toBe("text/event-stream; charset=utf-8");
    const made = (await (await put("/api/threads", threadBody())).json()) as { id: string };
    for (const page of pages) {
      const text = await page.until(made.id);
      expect(text).toMatch(/\nid: \S+\nevent: changed\ndata: \{"topic":"changed","what":\["threads"\]/);
      page.leave();
    }
  });

  it("give a page that comes back what it missed", async () => {
    const first = await listenTo();
    await put("/api/threads", threadBody({ code: "A1" }));
    const [last] = idsIn(await first.until("event: changed")).slice(-1);
    first.leave();
    const missed = (await (await put("/api/threads", threadBody({ code: "A2" }))).json()) as { id: string };
    const second = await listenTo({ "last-event-id": last! });
    const text = await second.until(missed.id);
    expect(idsIn(text)).toHaveLength(1);
    second.leave();
  });

  it("tell a page of an earlier run, or one that is lost, to ask for everything again", async () => {
    for (const id of ["deadbeef-7", "nonsense", "-", "x".repeat(5000)]) {
      const page = await listenTo({ "last-event-id": id });
      expect(await page.until("orders")).toContain('"what":["studio"');
      page.leave();
    }
  });

  it("end when the program stops", async () => {
    const page = await listenTo();
    await studio.server.close();
    await page.ended;
  });
});
