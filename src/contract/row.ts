import type { z } from "zod";

export type Method = "GET" | "POST" | "PUT" | "DELETE";

/** How an answer travels: one JSON document, bytes with a media type of their own, or a stream of events. */
export type Carriage = "json" | "bytes" | "events";

/**
 * One request the program answers. Everything else follows from the row: the route, its checks, the OpenAPI
 * document and the page's typed client.
 */
export interface Row {
  readonly method: Method;
  /** With `:name` for path words, such as /api/orders/:id. */
  readonly path: string;
  readonly summary: string;
  readonly query?: z.ZodObject;
  /** A JSON body's shape, or "bytes" for a file sent as application/octet-stream. */
  readonly body?: z.ZodType | "bytes";
  /** The answer's shape when it travels as JSON. */
  readonly output?: z.ZodType;
  readonly carriage: Carriage;
  /** Media types of a "bytes" answer. */
  readonly mediaType?: string;
  /** Whether If-Match with the record's version is asked for (428 without, 412 when stale). */
  readonly needsMatch?: true;
  /** Asked at the studio's own computer only, never from a tablet or phone that was let in. */
  readonly onlyHere?: true;
  /** The most bytes a body may have; 1 MB where absent. */
  readonly bodyLimitBytes?: number;
}

type PathWords<P extends string> = P extends `${infer A}/${infer B}`
  ? PathWords<A> | PathWords<B>
  : P extends `:${infer Word}`
    ? Word
    : never;

/** What a handler is given: path words, the parsed query and body. */
export interface Asked<R extends Row> {
  readonly params: Readonly<Record<PathWords<R["path"]>, string>>;
  readonly query: R["query"] extends z.ZodObject ? z.output<R["query"]> : Record<string, never>;
  readonly body: R["body"] extends z.ZodType
    ? z.output<R["body"]>
    : R["body"] extends "bytes"
      ? Uint8Array
      : undefined;
}

/** Bytes with their media type and the name to save them under. */
export interface Bytes {
  readonly bytes: Uint8Array;
  readonly mediaType: string;
  /** Given: offered for saving under this name; absent: shown in place. */
  readonly saveAs?: string;
  /** Whether the same address always gives the same bytes. */
  readonly immutable?: true;
}

/** What a handler gives back. */
export type Answered<R extends Row> = R["carriage"] extends "bytes"
  ? Bytes
  : R["output"] extends z.ZodType
    ? z.input<R["output"]>
    : undefined;

/** Keeps a row's exact type while checking its form. */
export const row = <const R extends Row>(value: R): R => value;
