import { afterAll, beforeAll, expect, it } from "vitest";
import fc from "fast-check";
import { type Row, rows } from "#contract";
import { z } from "zod";
import { hoopBody, machineBody, personBody, productBody, stockBody, threadBody } from "#test/catalogue";
import { testServer, type TestServer } from "#test/server";

/** Every row is sent what no page sends: nothing may end in a 500, and nothing that is wrong may be taken (RELIABILITY 23). */
let studio: TestServer;
beforeAll(async () => {
  studio = await testServer({ setUp: true });
  const bodies = {
    people: personBody(),
    machines: machineBody(),
    hoops: hoopBody(),
    threads: threadBody(),
    stock: stockBody(),
    products: productBody(),
  };
  for (const [noun, body] of Object.entries(bodies)) await studio.send("POST", `/api/${noun}`, { body });
});
afterAll(() => studio.close());

const allRows = (Object.entries(rows) as [string, Row][]).filter(([, row]) => row.carriage !== "events");
const headers = { "if-match": '"1"' };
const hostileValues = [
  null,
  true,
  -0,
  -1,
  1e308,
  2 ** 53,
  1.5,
  "",
  "x".repeat(40_000),
  "'; drop table orders; --",
  "../../x",
  "\u202eabc",
  "\ud800",
  "__proto__",
  "constructor",
  [],
  [[]],
  {},
  [null],
  "NaN",
  "1e999",
] as const;

/** Some value of the shape, made from its JSON Schema: the place to start a change from. */
function sampleOf(schema: Record<string, unknown>): unknown {
  if (schema.const !== undefined) return schema.const;
  if (schema.default !== undefined) return schema.default;
  if (Array.isArray(schema.enum)) return schema.enum[0];
  const forms = schema.anyOf ?? schema.oneOf;
  if (Array.isArray(forms)) return sampleOf(forms[0] as Record<string, unknown>);
  switch (schema.type) {
    case "object":
      return Object.fromEntries(
        Object.entries((schema.properties ?? {}) as Record<string, Record<string, unknown>>).map(
          ([field, one]) => [field, sampleOf(one)],
        ),
      );
    case "array":
      return Array.from({ length: Math.min(Number(schema.minItems ?? 1), 10) }, () =>
        sampleOf((schema.items ?? {}) as Record<string, unknown>),
      );
    case "integer":
    case "number":
      return Math.max(Number(schema.minimum ?? 1), 1);
    case "boolean":
      return true;
    case "null":
      return null;
    default:
      return "2026-11-25";
  }
}

const bodySchema = (row: Row) =>
  row.body && row.body !== "bytes"
    ? (z.toJSONSchema(row.body, { io: "input", unrepresentable: "any" }) as Record<string, unknown>)
    : null;

const check = async (name: string, row: Row, url: string, body: unknown) => {
  const sent =
    row.body === undefined
      ? {}
      : row.body === "bytes"
        ? { body: Buffer.from(typeof body === "string" ? body : JSON.stringify(body ?? null)) }
        : { body: body ?? null };
  const answer = await studio.send(row.method, url, {
    ...sent,
    headers: {
      ...headers,
      ...(row.body && row.body !== "bytes" ? { "content-type": "application/json" } : {}),
    },
  });
  const said = `${name} ${url.slice(0, 200)} ${JSON.stringify(body)?.slice(0, 300)} → ${answer.body.slice(0, 300)} ${JSON.stringify(studio.program.logged.at(-1)?.detail, (_key, value: unknown) => (value instanceof Error ? value.stack : value))?.slice(0, 600)}`;
  if (answer.statusCode !== 503) expect(answer.statusCode, said).toBeLessThan(500);
  return answer;
};

const urlOf = (row: Row, word = "some-id") => row.path.replace(/:\w+/g, encodeURIComponent(word));

it("a field nobody knows is refused at every row that takes a body", async () => {
  for (const [name, row] of allRows) {
    const schema = bodySchema(row);
    if (!schema) continue;
    const body = { ...(sampleOf(schema) as object), aFieldNobodyKnows: 1 };
    const answer = await check(name, row, urlOf(row) + requiredQuery(row), body);
    expect(answer.statusCode, name).toBe(422);
    expect(answer.body, name).toContain("aFieldNobodyKnows");
  }
});

it("a query nobody knows, and a known one given twice, are refused at every row", async () => {
  for (const [name, row] of allRows) {
    if (name === "openapi") continue;
    expect(
      (await check(name, row, `${urlOf(row)}?aFieldNobodyKnows=1`, sampleBody(row))).statusCode,
      name,
    ).toBe(400);
    expect((await check(name, row, `${urlOf(row)}?q=1&q=2`, sampleBody(row))).statusCode, name).toBe(400);
  }
});

it("no value in the place of another ends in a fault of the program", async () => {
  for (const [name, row] of allRows) {
    const schema = bodySchema(row);
    if (!schema) continue;
    const sample = sampleOf(schema) as Record<string, unknown>;
    for (const value of hostileValues) await check(name, row, urlOf(row) + requiredQuery(row), value);
    for (const field of Object.keys(sample))
      for (const value of hostileValues)
        await check(name, row, urlOf(row) + requiredQuery(row), { ...sample, [field]: value });
  }
});

it("no value in a query ends in a fault of the program", async () => {
  for (const [name, row] of allRows) {
    for (const field of Object.keys(row.query?.shape ?? {}))
      for (const value of [
        "",
        "-1",
        "1e308",
        "9007199254740993",
        "NaN",
        "%00",
        "%",
        "x".repeat(3000),
        "'%22;--",
        "__proto__",
        "%F0%9F%A7%B5",
        "../..",
        "-name",
        "name;drop",
      ])
        await check(name, row, `${urlOf(row)}?${field}=${value}`, sampleBody(row));
    for (const word of [
      "..",
      "%",
      "a b",
      "\u0000",
      "x".repeat(300),
      "__proto__",
      "constructor",
      "%2e%2e%2f",
      "NUL",
      "🧵",
    ])
      await check(name, row, urlOf(row, word) + requiredQuery(row), sampleBody(row));
  }
});

it("no random document ends in a fault of the program", async () => {
  await fc.assert(
    fc.asyncProperty(
      fc.constantFrom(...allRows.filter(([, row]) => row.body)),
      fc.jsonValue({ maxDepth: 3 }),
      async ([name, row], value) => {
        const schema = bodySchema(row);
        const sample = schema ? (sampleOf(schema) as Record<string, unknown>) : {};
        const field =
          Object.keys(sample)[
            Math.abs(JSON.stringify(value)?.length ?? 0) % Math.max(1, Object.keys(sample).length)
          ];
        await check(name, row, urlOf(row) + requiredQuery(row), value);
        if (field) await check(name, row, urlOf(row) + requiredQuery(row), { ...sample, [field]: value });
      },
    ),
    { numRuns: 300, seed: 20261125 },
  );
});

const sampleBody = (row: Row) => {
  const schema = bodySchema(row);
  return schema ? sampleOf(schema) : undefined;
};

function requiredQuery(row: Row): string {
  if (!row.query) return "";
  const schema = z.toJSONSchema(row.query, { io: "input", unrepresentable: "any" }) as {
    required?: string[];
  };
  return schema.required?.length ? `?${schema.required.map((field) => `${field}=some`).join("&")}` : "";
}
