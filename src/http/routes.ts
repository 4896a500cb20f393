import type { FastifyInstance, FastifyReply, FastifyRequest } from "fastify";
import type { Call, Program } from "#app";
import { type Bytes, type Row, type RowName, rows } from "#contract";
import type { z } from "zod";
import { callerPart, type DeviceAnswers } from "./devices";
import { keyed } from "./keyed";
import type { Lan } from "./lan";
import { openApi } from "./openapi";
import { detailsOf } from "./problems";
import { refuseHttp } from "./refusals";
import { versionAsked } from "./versions";

const MEGABYTE = 1_000_000;
const wordsOfPath = /^[\w.~-]{1,200}$/;

export interface RoutesAsked {
  readonly program: Program;
  readonly lan: Lan;
  readonly deviceAnswers: DeviceAnswers;
  /** Whether each answer is held against its row's shape: in tests. */
  readonly checkAnswers: boolean;
  readonly live: (request: FastifyRequest, reply: FastifyReply) => void;
}

/** Makes a route of every row. */
export function routes(app: FastifyInstance, asked: RoutesAsked): void {
  for (const [name, row] of Object.entries(rows) as [RowName, Row][]) {
    app.route({
      method: row.method,
      url: row.path,
      bodyLimit: row.bodyLimitBytes ?? MEGABYTE,
      config: { onlyHere: row.onlyHere ?? false },
      handler: (request, reply) => answerRow({ name, row, request, reply }, asked),
    });
  }
}

interface Exchange {
  readonly name: RowName;
  readonly row: Row;
  readonly request: FastifyRequest;
  readonly reply: FastifyReply;
}

async function answerRow(exchange: Exchange, asked: RoutesAsked): Promise<unknown> {
  const { name, row, request, reply } = exchange;
  if (row.carriage === "events") {
    asked.live(request, reply);
    return reply;
  }
  if (name === "openapi")
    return reply.header("cache-control", "no-cache").send(openApi(asked.program.version));
  const parsed = parsedRequest(row, request);
  if (Object.hasOwn(asked.deviceAnswers, name)) {
    // Never by a key: what is answered again must not let anybody in again.
    const ask = asked.deviceAnswers[name as keyof DeviceAnswers] as unknown as (
      ...given: unknown[]
    ) => Promise<unknown>;
    const value = await ask(parsed, { request, reply });
    if (asked.checkAnswers && row.output) row.output.parse(value);
    return sendJson(reply, request, { value, noted: {} });
  }
  const noted: { version?: number; changeId?: string | null } = {};
  const stopped = new AbortController();
  // The answer's own end, not the socket's: a kept connection carries many requests and would gather a listener of each.
  reply.raw.once("close", () => {
    if (!reply.raw.writableFinished) stopped.abort();
  });
  const call: Call = {
    ...(await callerPart(request, asked.lan)),
    ifMatch: versionAsked(row, request),
    note: (about) => void Object.assign(noted, about),
    signal: stopped.signal,
  };
  const answer = asked.program.answers[name as keyof typeof asked.program.answers] as unknown as (
    asked: unknown,
    call: Call,
  ) => Promise<unknown>;
  const run = async () => {
    const value = await answer(parsed, call);
    if (asked.checkAnswers && row.output) row.output.parse(value);
    return { value, noted };
  };
  if (row.carriage === "bytes") return sendBytes(reply, request, (await run()).value as Bytes);
  const done = await keyed({ row, request, requests: asked.program.context.store.requests, run });
  return sendJson(reply, request, done);
}

/** Path words, query and body by the row's closed shapes. */
function parsedRequest(row: Row, request: FastifyRequest) {
  const params = request.params as Record<string, string>;
  for (const [word, value] of Object.entries(params))
    if (!wordsOfPath.test(value))
      throw refuseHttp("request-wrong", "The address is not right.", [
        { field: word, found: value.slice(0, 80), expected: "letters, digits, dots, dashes and underscores" },
      ]);
  const query = parsedQuery(row, request);
  if (row.body === undefined) {
    if (request.body !== undefined && Object.keys(Object(request.body) as object).length > 0)
      throw refuseHttp("fields-wrong", "This request takes no body.", [
        { field: "body", found: "a body", expected: "none" },
      ]);
    return { params, query, body: undefined };
  }
  if (row.body === "bytes") {
    if (!Buffer.isBuffer(request.body))
      throw refuseHttp("content-type-wrong", "This request takes a file.", [
        {
          field: "Content-Type",
          found: request.headers["content-type"] ?? "nothing",
          expected: "application/octet-stream",
        },
      ]);
    return {
      params,
      query,
      body: new Uint8Array(request.body.buffer, request.body.byteOffset, request.body.byteLength),
    };
  }
  if (Buffer.isBuffer(request.body))
    throw refuseHttp("content-type-wrong", "This request takes JSON.", [
      { field: "Content-Type", found: "application/octet-stream", expected: "application/json" },
    ]);
  const body = row.body.safeParse(request.body);
  if (!body.success)
    throw refuseHttp("fields-wrong", saying(body.error), detailsOf(body.error, request.body));
  return { params, query, body: body.data };
}

function parsedQuery(row: Row, request: FastifyRequest): unknown {
  const asked = request.query as Record<string, unknown>;
  for (const [field, value] of Object.entries(asked)) {
    if (Array.isArray(value))
      throw refuseHttp("request-wrong", `“${field.slice(0, 40)}” is given more than once.`, [
        { field, found: `${value.length} times`, expected: "once" },
      ]);
    if (typeof value === "string" && value.includes("\u0000"))
      throw refuseHttp("request-wrong", "The query has a NUL character.", [
        { field, found: "a NUL character", expected: "text" },
      ]);
  }
  if (!row.query) {
    const [field] = Object.keys(asked);
    if (field !== undefined)
      throw refuseHttp("request-wrong", "This request takes no query.", [
        { field, found: "a field nobody knows", expected: "no such field" },
      ]);
    return {};
  }
  // "__proto__" and "constructor" are on every object; as a field's name they must never reach a lookup.
  if (typeof asked.sort === "string" && asked.sort.replace(/^-/, "") in {})
    throw refuseHttp("request-wrong", "The list cannot be sorted by this.", [
      { field: "sort", found: asked.sort, expected: "a field of the list" },
    ]);
  const query = row.query.safeParse({ ...asked });
  if (!query.success) throw refuseHttp("request-wrong", saying(query.error), detailsOf(query.error, asked));
  return query.data;
}

const saying = (error: z.ZodError) =>
  error.issues.length === 1 ? "One field is not right." : `${error.issues.length} fields are not right.`;

export interface Done {
  readonly value: unknown;
  readonly noted: { readonly version?: number; readonly changeId?: string | null };
}

function sendJson(reply: FastifyReply, request: FastifyRequest, { value, noted }: Done): FastifyReply {
  const own = (value as { version?: unknown } | null | undefined)?.version;
  const version = noted.version ?? (typeof own === "number" ? own : undefined);
  if (version !== undefined) reply.header("etag", `"${version}"`);
  if (noted.changeId) reply.header("spoolwright-change", noted.changeId);
  reply.header("cache-control", "no-store");
  if (request.method === "POST" && value === undefined) return reply.code(204).send();
  return reply.type("application/json; charset=utf-8").send(JSON.stringify(value ?? null));
}

function sendBytes(reply: FastifyReply, request: FastifyRequest, value: Bytes): FastifyReply {
  reply.type(value.mediaType);
  reply.header("cache-control", value.immutable ? "private, max-age=31536000, immutable" : "no-cache");
  if (value.saveAs !== undefined) reply.header("content-disposition", dispositionOf(value.saveAs));
  // A drawing opened by itself must not run or load anything, whatever was in it.
  if (value.mediaType.startsWith("image/svg"))
    reply.header("content-security-policy", "default-src 'none'; style-src 'unsafe-inline'; sandbox");
  void request;
  return reply.send(Buffer.from(value.bytes.buffer, value.bytes.byteOffset, value.bytes.byteLength));
}

/** The name to save under, RFC 6266: a plain form for old readers and the true one in UTF-8 (RFC 8187). */
export function dispositionOf(name: string): string {
  const clean =
    name
      // eslint-disable-next-line no-control-regex
      .replace(/[\u0000-\u001f\u007f/\\\u202a-\u202e\u2066-\u2069]/g, "_")
      .slice(0, 180)
      .replace(/[\ud800-\udbff](?![\udc00-\udfff])|(?<![\ud800-\udbff])[\udc00-\udfff]/g, "_") || "file";
  const plain = clean.replace(/[^\x20-\x7e]/g, "_").replace(/["%]/g, "_");
  const full = encodeURIComponent(clean).replace(
    /['()*]/g,
    (c) => `%${c.charCodeAt(0).toString(16).toUpperCase()}`,
  );
  return plain === clean
    ? `attachment; filename="${plain}"`
    : `attachment; filename="${plain}"; filename*=UTF-8''${full}`;
}
