import { Validator } from "@seriousme/openapi-schema-validator";
import { afterAll, beforeAll, expect, it } from "vitest";
import { type Row, rows } from "#contract";
import { testServer, type TestServer } from "#test/server";

/** The interface's description against the OpenAPI Specification 3.1 (sections named in the titles) and JSON Schema 2020-12. */
type Json = Record<string, unknown>;
let studio: TestServer;
let document: Json & {
  paths: Record<string, Record<string, Json>>;
  components: { schemas: Json; responses: Json };
};
beforeAll(async () => {
  studio = await testServer();
  document = (await studio.send("GET", "/api/openapi.json")).json();
});
afterAll(() => studio.close());

const operations = () =>
  Object.entries(document.paths).flatMap(([path, item]) =>
    Object.entries(item).map(([method, operation]) => ({ path, method, operation: operation as Json })),
  );

// The OpenAPI Initiative's published JSON Schema of version 3.1, as a general validator carries it.
it("is valid by the specification's own JSON Schema", async () => {
  const validator = new Validator();
  const { valid, errors } = await validator.validate(structuredClone(document));
  expect(errors ?? []).toEqual([]);
  expect(valid).toBe(true);
  expect(validator.version).toBe("3.1");
});

it("names its version, title and version of the interface (4.8.1, 4.8.2)", () => {
  expect(document.openapi).toMatch(/^3\.1\.\d+$/);
  expect(document.info).toMatchObject({ title: "Spoolwright", version: "0.0.0-test" });
});

it("has every row once and no other operation, each with an id of its own (4.8.10)", () => {
  const wanted = (Object.entries(rows) as [string, Row][]).map(
    ([name, row]) => `${row.method.toLowerCase()} ${row.path.replace(/:(\w+)/g, "{$1}")} ${name}`,
  );
  const found = operations().map(
    ({ method, path, operation }) => `${method} ${path} ${String(operation.operationId)}`,
  );
  expect(found.sort()).toEqual(wanted.sort());
  expect(new Set(operations().map(({ operation }) => operation.operationId)).size).toBe(found.length);
});

it("declares every word of a path as a required path parameter, and none twice (4.8.12)", () => {
  for (const { path, operation } of operations()) {
    const parameters = (operation.parameters ?? []) as {
      name: string;
      in: string;
      required: boolean;
      schema: unknown;
    }[];
    const words = [...path.matchAll(/\{(\w+)\}/g)].map((found) => found[1]);
    expect(parameters.filter((one) => one.in === "path").map((one) => one.name)).toEqual(words);
    expect(parameters.every((one) => one.in !== "path" || one.required)).toBe(true);
    expect(new Set(parameters.map((one) => `${one.in} ${one.name}`)).size).toBe(parameters.length);
    expect(parameters.every((one) => typeof one.schema === "object")).toBe(true);
  }
});

it("has no two paths that differ only in the names of their words (4.8.8)", () => {
  const shapes = Object.keys(document.paths).map((path) => path.replace(/\{\w+\}/g, "{}"));
  expect(new Set(shapes).size).toBe(shapes.length);
});

it("gives each response a description, and no body to reading operations (4.8.16, 4.8.10)", () => {
  for (const { method, operation } of operations()) {
    const responses = operation.responses as Record<string, Json>;
    for (const response of Object.values(responses))
      expect(typeof response.description === "string" || typeof response.$ref === "string").toBe(true);
    expect(responses.default).toEqual({ $ref: "#/components/responses/Problem" });
    if (method === "get") expect(operation.requestBody).toBeUndefined();
  }
});

it("resolves each of its references, and uses only keywords and types JSON Schema 2020-12 knows", () => {
  const known = new Set(
    "$ref $defs $id $comment type enum const default title description format properties required additionalProperties propertyNames items prefixItems minItems maxItems uniqueItems minimum maximum exclusiveMinimum exclusiveMaximum multipleOf minLength maxLength pattern anyOf allOf oneOf not contentEncoding contentMediaType examples readOnly deprecated patternProperties".split(
      " ",
    ),
  );
  const types = new Set(["object", "array", "string", "number", "integer", "boolean", "null"]);
  const visit = (schema: unknown, where: string): void => {
    if (typeof schema === "boolean") return;
    const object = schema as Json;
    for (const [keyword, value] of Object.entries(object)) {
      expect(known, `${where}.${keyword}`).toContain(keyword);
      if (keyword === "type") for (const type of [value].flat()) expect(types, where).toContain(type);
      if (keyword === "pattern") expect(() => new RegExp(String(value), "u"), where).not.toThrow();
      if (keyword === "$ref") expect(resolve(String(value)), where).toBeDefined();
      if (keyword === "required")
        for (const field of value as string[])
          expect((object.properties as Json)[field], `${where}.${field}`).toBeDefined();
      if (["properties", "$defs", "patternProperties"].includes(keyword))
        for (const [name, one] of Object.entries(value as Json)) visit(one, `${where}.${name}`);
      if (["anyOf", "allOf", "oneOf", "prefixItems"].includes(keyword))
        (value as unknown[]).forEach((one, i) => visit(one, `${where}.${i}`));
      if (["items", "additionalProperties", "propertyNames", "not"].includes(keyword))
        visit(value, `${where}.${keyword}`);
    }
  };
  const resolve = (ref: string) =>
    ref
      .replace(/^#\//, "")
      .split("/")
      .reduce<unknown>((at, key) => (at as Json | undefined)?.[key], document);
  for (const [name, schema] of Object.entries(document.components.schemas)) visit(schema, name);
  for (const { path, method, operation } of operations()) {
    for (const one of (operation.parameters ?? []) as { name: string; schema: unknown }[])
      visit(one.schema, `${method} ${path} ${one.name}`);
    const bodies = [operation.requestBody, ...Object.values(operation.responses as Json)].map(
      (one) => (one as Json | undefined)?.content as Record<string, { schema: unknown }> | undefined,
    );
    for (const content of bodies)
      for (const { schema } of Object.values(content ?? {})) visit(schema, `${method} ${path}`);
  }
});

it("closes the bodies it describes", () => {
  const body = (
    (document.paths["/api/threads"]!.post!.requestBody as Json).content as Record<string, { schema: Json }>
  )["application/json"]!.schema;
  expect(body.additionalProperties).toBe(false);
  expect(body.required).toContain("code");
});
