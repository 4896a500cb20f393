import type { z } from "zod";
import { type Answer, type Asked, rows, type RowName, type Rows, type shapes } from "#contract";
import { noteAnswer } from "./let-in";

/** What went wrong, as the program says it: problem document members plus what the page adds. */
export class Trouble extends Error {
  constructor(readonly problem: shapes.ProblemDocument) {
    super(problem.detail);
    this.name = "Trouble";
  }
}

/** An answer with what its headers told. */
export interface Told<T> {
  readonly value: T;
  /** The record's version, for If-Match of the next change. */
  readonly version: number | null;
  /** The change that can be undone, or null. */
  readonly changeId: string | null;
}

type PathWordsOf<N extends RowName> = Asked<Rows[N]>["params"];
type BodyOf<R> = R extends { readonly body: infer B }
  ? B extends z.ZodType
    ? z.input<B>
    : Blob | ArrayBuffer | Uint8Array<ArrayBuffer>
  : never;

/** What a caller gives: path words and body where the row has them; query members have defaults. */
export type Given<N extends RowName> = ([keyof PathWordsOf<N>] extends [never]
  ? { readonly params?: undefined }
  : { readonly params: PathWordsOf<N> }) &
  ([BodyOf<Rows[N]>] extends [never] ? { readonly body?: undefined } : { readonly body: BodyOf<Rows[N]> }) & {
    readonly query?: Readonly<Record<string, string | number | undefined>>;
    /** The record's version where the row needs If-Match. */
    readonly version?: number;
    readonly signal?: AbortSignal;
    /** One key for one intention, so that a request sent twice acts once. */
    readonly key?: string;
  };

/** The address of a row, for links, pictures and downloads. */
export function addressOf(
  name: RowName,
  params: Readonly<Record<string, string>> = {},
  query: Readonly<Record<string, string | number | undefined>> = {},
): string {
  const path = rows[name].path.replace(/:(\w+)/g, (_, word: string) =>
    encodeURIComponent(params[word] ?? ""),
  );
  const search = new URLSearchParams();
  for (const [key, value] of Object.entries(query))
    if (value !== undefined && value !== "") search.set(key, String(value));
  const text = search.toString();
  return text ? `${path}?${text}` : path;
}

const unreachable: shapes.ProblemDocument = {
  type: "about:blank",
  title: "The program does not answer",
  status: 503,
  detail: "Spoolwright cannot be reached. What you typed is still here.",
  code: "unreachable",
  advice: "Check that the program is running on the shop's computer, then try again.",
};

async function problemOf(response: Response): Promise<shapes.ProblemDocument> {
  try {
    const body = (await response.json()) as Partial<shapes.ProblemDocument>;
    if (typeof body.detail === "string") return { ...unreachable, ...body, status: response.status };
  } catch {
    // Falls through: an answer that is no document says only its status.
  }
  return {
    ...unreachable,
    status: response.status,
    title: "Something went wrong",
    detail: `The program answered with ${response.status}.`,
    code: "no-words",
  };
}

/** Sends a request and gives the raw response; throws Trouble. */
export async function send<N extends RowName>(name: N, given: Given<N>): Promise<Response> {
  const one = rows[name];
  const {
    params = {},
    query = {},
    body,
    version,
    signal,
    key,
  } = given as {
    params?: Record<string, string>;
    query?: Record<string, string>;
    body?: unknown;
    version?: number;
    signal?: AbortSignal;
    key?: string;
  };
  const bytes = "body" in one && one.body === "bytes";
  const headers: Record<string, string> = { accept: "application/json" };
  if (one.method !== "GET") headers["content-type"] = bytes ? "application/octet-stream" : "application/json";
  if (version !== undefined) headers["if-match"] = `"${version}"`;
  if (key !== undefined) headers["idempotency-key"] = key;
  let response: Response;
  try {
    response = await fetch(addressOf(name, params, query), {
      method: one.method,
      headers,
      body: one.method === "GET" ? undefined : bytes ? (body as BodyInit) : JSON.stringify(body ?? {}),
      signal,
    });
  } catch (reason) {
    if (signal?.aborted) throw reason;
    throw new Trouble(unreachable);
  }
  if (!response.ok) {
    const problem = await problemOf(response);
    noteAnswer(problem);
    throw new Trouble(problem);
  }
  noteAnswer(null);
  return response;
}

/** Asks for a JSON answer. */
export async function ask<N extends RowName>(name: N, given: Given<N>): Promise<Told<Answer<N>>> {
  const response = await send(name, given);
  const tag = /"(\d+)"/.exec(response.headers.get("etag") ?? "");
  return {
    value: (await response.json()) as Answer<N>,
    version: tag ? Number(tag[1]) : null,
    changeId: response.headers.get("spoolwright-change"),
  };
}
