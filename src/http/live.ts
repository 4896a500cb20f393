import type { FastifyReply, FastifyRequest } from "fastify";
import type { Program } from "#app";
import type { LiveEvent } from "#contract";
import { callerOf } from "./session";

const HEARTBEAT_MS = 15_000;
const KEPT = 256;
/** A page that does not read is let go rather than kept in memory; it comes back and asks anew. */
const MOST_UNREAD_BYTES = 4_000_000;

/** The lists a page asks for again when it may have missed what changed. */
const everything: LiveEvent = {
  topic: "changed",
  what: [
    "studio",
    "people",
    "machines",
    "hoops",
    "threads",
    "stock",
    "products",
    "designs",
    "orders",
    "pieces",
    "imports",
    "plan",
    "devices",
  ],
  ids: [],
};

/** Server-sent events (WHATWG HTML, 9.2) for every open page, with the latest kept for one that comes back. */
export function liveEvents(program: Program, run: string) {
  /** Open streams, each with the id of the device that asked for it; null for this computer. */
  const open = new Map<FastifyReply, string | null>();
  const kept: { number: number; text: string }[] = [];
  let number = 0;
  const stopListening = program.context.listen((event) => {
    const text = frame(`${run}-${++number}`, event);
    kept.push({ number, text });
    if (kept.length > KEPT) kept.shift();
    for (const reply of open.keys()) send(reply, text);
  });
  const heartbeat = setInterval(
    () => open.forEach((_, reply) => send(reply, ": still here\n\n")),
    HEARTBEAT_MS,
  );
  heartbeat.unref();

  function send(reply: FastifyReply, text: string): void {
    if (reply.raw.writableLength > MOST_UNREAD_BYTES) {
      open.delete(reply);
      reply.raw.destroy();
    } else reply.raw.write(text);
  }

  function catchUp(reply: FastifyReply, lastId: string): void {
    const [lastRun, lastNumber] = lastId.split("-");
    const from = Number(lastNumber);
    const first = kept[0]?.number ?? number + 1;
    if (lastRun === run && Number.isInteger(from) && from + 1 >= first)
      for (const one of kept) if (one.number > from) send(reply, one.text);
    if (lastRun !== run || !(from + 1 >= first)) send(reply, frame(`${run}-${number}`, everything));
  }

  return {
    open(request: FastifyRequest, reply: FastifyReply): void {
      reply.hijack();
      reply.raw.writeHead(200, {
        ...reply.getHeaders(),
        "content-type": "text/event-stream; charset=utf-8",
        "cache-control": "no-store",
        "x-accel-buffering": "no",
      } as Record<string, string>);
      reply.raw.write(`retry: 2000\n: ${run}\n\n`);
      const lastId = request.headers["last-event-id"];
      if (typeof lastId === "string" && lastId !== "") catchUp(reply, lastId.slice(0, 100));
      const caller = callerOf(request);
      open.set(reply, caller.kind === "device" ? caller.device.id : null);
      reply.raw.once("close", () => open.delete(reply));
    },
    /** Ends the streams of a device that was turned out. */
    closeOf(deviceId: string): void {
      for (const [reply, of] of open) if (of === deviceId) reply.raw.end();
    },
    openIds: (): ReadonlySet<string> => new Set([...open.values()].flatMap((id) => id ?? [])),
    close(): void {
      stopListening();
      clearInterval(heartbeat);
      for (const reply of open.keys()) reply.raw.end();
      open.clear();
    },
    count: () => open.size,
  };
}

const frame = (id: string, event: LiveEvent) =>
  `id: ${id}\nevent: ${event.topic}\ndata: ${JSON.stringify(event)}\n\n`;
