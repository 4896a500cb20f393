import { createHash } from "node:crypto";
import type { FastifyRequest } from "fastify";
import type { Program } from "#app";
import type { Row } from "#contract";
import { refuseHttp } from "./refusals";
import type { Done } from "./routes";

type Requests = Program["context"]["store"]["requests"];

/** Requests under way by their key, so that two of a key do not act side by side. */
const underWay = new WeakMap<Requests, Map<string, Promise<unknown>>>();

/** Runs a request once for its Idempotency-Key; sent again it gets the answer it got. */
export async function keyed(asked: {
  readonly row: Row;
  readonly request: FastifyRequest;
  readonly requests: Requests;
  readonly run: () => Promise<Done>;
}): Promise<Done> {
  const { row, request, requests, run } = asked;
  const key = request.headers["idempotency-key"];
  if (row.method !== "POST" || key === undefined) return run();
  if (typeof key !== "string" || !/^[\w.-]{8,128}$/.test(key))
    throw refuseHttp("key-wrong", "The Idempotency-Key is not one this program takes.", [
      {
        field: "Idempotency-Key",
        found: String(key).slice(0, 60),
        expected: "8 to 128 letters, digits, dots, dashes or underscores",
      },
    ]);
  const requestHash = hashOf(request);
  const line = underWay.get(requests) ?? new Map<string, Promise<unknown>>();
  underWay.set(requests, line);
  for (let before = line.get(key); before; before = line.get(key)) await before.catch(() => undefined);
  const mine = runOnce(requests, { key, requestHash }, run);
  line.set(key, mine);
  try {
    return await mine;
  } finally {
    line.delete(key);
  }
}

async function runOnce(
  requests: Requests,
  asked: { key: string; requestHash: string },
  run: () => Promise<Done>,
): Promise<Done> {
  const known = await requests.find(asked.key);
  if (known) {
    if (known.requestHash !== asked.requestHash)
      throw refuseHttp("key-used-otherwise", "This Idempotency-Key came with another request before.", [
        { field: "Idempotency-Key", found: asked.key, expected: "a key of its own for each request" },
      ]);
    if (known.state === "done") throw refuseHttp("done-already", "The request with this key has acted.");
    return JSON.parse(known.answer) as Done;
  }
  const done = await requests.during(asked, run);
  await requests.keep({ ...asked, status: 200, answer: JSON.stringify(done) });
  return done;
}

function hashOf(request: FastifyRequest): string {
  const hash = createHash("sha256").update(`${request.method} ${request.url}\n`);
  const { body } = request;
  hash.update(Buffer.isBuffer(body) ? body : JSON.stringify(body ?? null));
  return hash.digest("hex");
}
