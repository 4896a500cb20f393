import type { FastifyInstance, FastifyRequest } from "fastify";
import { refuseHttp } from "./refusals";

const DEEPEST = 64;
const MOST_KEYS = 10_000;
/** A request of thousands of pieces or a plan's problem is JSON too; keys are counted per document. */
const MOST_VALUES = 200_000;

/** Takes JSON and bytes and nothing else: in particular no text/plain, which a form of another site could send. */
export function takeBodies(app: FastifyInstance): void {
  app.removeAllContentTypeParsers();
  app.addContentTypeParser(
    "application/json",
    { parseAs: "buffer" },
    async (_request: FastifyRequest, body: Buffer) => jsonOf(body),
  );
  app.addContentTypeParser(
    "application/octet-stream",
    { parseAs: "buffer" },
    async (_request: FastifyRequest, body: Buffer) => body,
  );
}

/** One JSON document, its depth and size looked at before it is used; nothing for an empty body. */
export function jsonOf(bytes: Uint8Array): unknown {
  if (bytes.length === 0) return undefined;
  const text = textOf(bytes);
  refuseDeep(text);
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch (error) {
    throw refuseHttp("body-not-json", "The body is not JSON.", [
      { field: "body", found: (error as Error).message.slice(0, 120), expected: "one JSON document" },
    ]);
  }
  refuseStrange(value);
  return value;
}

function textOf(bytes: Uint8Array): string {
  try {
    return new TextDecoder("utf-8", { fatal: true }).decode(bytes);
  } catch {
    throw refuseHttp("body-not-json", "The body is not UTF-8.", [
      { field: "body", found: "bytes that are no UTF-8", expected: "UTF-8" },
    ]);
  }
}

/** One pass over the text; parsing itself would take a million levels and later work would not. */
function refuseDeep(text: string): void {
  let depth = 0;
  let inText = false;
  for (let i = 0; i < text.length; i++) {
    const c = text.charCodeAt(i);
    if (inText) {
      if (c === 92) i++;
      else if (c === 34) inText = false;
    } else if (c === 34) inText = true;
    else if (c === 123 || c === 91) {
      if (++depth > DEEPEST)
        throw refuseHttp("body-not-json", `The body nests deeper than ${DEEPEST} levels.`, [
          { field: "body", found: `more than ${DEEPEST} levels`, expected: `at most ${DEEPEST}` },
        ]);
    } else if (c === 125 || c === 93) depth--;
  }
}

/** Keys that reach into every object, text no database keeps, and more than any page sends. */
function refuseStrange(root: unknown): void {
  let keys = 0;
  let values = 0;
  const refuse = (found: string, expected: string) =>
    refuseHttp("body-not-json", `The body has ${found}.`, [{ field: "body", found, expected }]);
  const open: unknown[] = [root];
  while (open.length > 0) {
    const value = open.pop();
    if (++values > MOST_VALUES) throw refuse(`more than ${MOST_VALUES} values`, "fewer");
    if (typeof value === "string") {
      if (value.includes("\u0000"))
        throw refuse("a text with a NUL character", "text without control characters");
    } else if (Array.isArray(value)) open.push(...(value.length > MOST_VALUES ? [] : value));
    else if (typeof value === "object" && value !== null) {
      for (const key of Object.keys(value)) {
        if (++keys > MOST_KEYS) throw refuse(`more than ${MOST_KEYS} fields`, "fewer");
        if (
          key === "__proto__" ||
          (key === "constructor" && "prototype" in Object((value as Record<string, unknown>)[key]))
        )
          throw refuse(`a field named ${key}`, "fields of this request");
        open.push((value as Record<string, unknown>)[key]);
      }
    }
    if (Array.isArray(value) && value.length > MOST_VALUES)
      throw refuse(`more than ${MOST_VALUES} values`, "fewer");
  }
}
