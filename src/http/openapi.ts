import { type Row, type RowName, rows } from "#contract";
import { z } from "zod";

type Json = Record<string, unknown>;

const problemShape = {
  type: "object",
  required: ["type", "title", "status", "detail", "code", "advice"],
  properties: {
    type: { type: "string", format: "uri" },
    title: { type: "string" },
    status: { type: "integer" },
    detail: { type: "string", description: "What happened, with both numbers where two disagree" },
    code: { type: "string", description: "Never changes; docs/ERRORS.md lists them" },
    advice: { type: "string", description: "What to do" },
    errors: {
      type: "array",
      items: {
        type: "object",
        properties: { field: { type: "string" }, found: { type: "string" }, expected: { type: "string" } },
      },
    },
    current: { description: "With 412: the record as it stands now" },
    reference: { type: "string", description: "With 500: what to tell whoever looks into it" },
  },
} as const;

let made: { version: string; document: Json } | undefined;

/** The interface as an OpenAPI 3.1 document, made from the rows once. */
export function openApi(version: string): Json {
  if (made?.version !== version) made = { version, document: documentOf(version) };
  return made.document;
}

function documentOf(version: string): Json {
  const paths: Record<string, Json> = {};
  for (const [name, row] of Object.entries(rows) as [RowName, Row][]) {
    const path = row.path.replace(/:(\w+)/g, "{$1}");
    (paths[path] ??= {})[row.method.toLowerCase()] = operationOf(name, row);
  }
  return {
    openapi: "3.1.1",
    info: {
      title: "Spoolwright",
      version,
      description:
        "Everything the pages do. Bodies are closed shapes; errors are problem documents (RFC 9457); records carry their version as ETag.",
      license: { name: "MIT", identifier: "MIT" },
    },
    servers: [{ url: "/", description: "The studio's own computer" }],
    tags: tagsOf(),
    paths,
    components: {
      schemas: { Problem: problemShape },
      responses: {
        Problem: {
          description: "Refused: what happened and what to do",
          content: { "application/problem+json": { schema: { $ref: "#/components/schemas/Problem" } } },
        },
      },
    },
    security: [],
  };
}

const tagOf = (row: Row) => row.path.split("/")[2]!.replace(/\..*$/, "");
const tagsOf = () => [...new Set((Object.values(rows) as Row[]).map(tagOf))].map((name) => ({ name }));

function operationOf(name: RowName, row: Row): Json {
  const parameters: Json[] = [...row.path.matchAll(/:(\w+)/g)].map((found) => ({
    name: found[1]!,
    in: "path",
    required: true,
    schema: { type: "string" },
  }));
  if (row.query) parameters.push(...queryParameters(row.query));
  if (row.needsMatch)
    parameters.push({
      name: "If-Match",
      in: "header",
      required: true,
      description: "The record's ETag",
      schema: { type: "string" },
    });
  if (row.method === "POST")
    parameters.push({
      name: "Idempotency-Key",
      in: "header",
      required: false,
      description: "Sent again with the same key, the request acts once",
      schema: { type: "string", minLength: 8, maxLength: 128 },
    });
  return {
    operationId: name,
    tags: [tagOf(row)],
    summary: row.summary,
    ...(parameters.length > 0 ? { parameters } : {}),
    ...(row.body ? { requestBody: { required: true, content: bodyContent(row.body) } } : {}),
    responses: { "200": successOf(row), default: { $ref: "#/components/responses/Problem" } },
  };
}

function queryParameters(query: z.ZodObject): Json[] {
  const schema = jsonSchema(query, "input");
  const required = new Set((schema.required as string[] | undefined) ?? []);
  return Object.entries((schema.properties ?? {}) as Record<string, Json>).map(([field, one]) => ({
    name: field,
    in: "query",
    required: required.has(field),
    schema: one,
  }));
}

const bodyContent = (body: NonNullable<Row["body"]>): Json =>
  body === "bytes"
    ? { "application/octet-stream": { schema: { type: "string", format: "binary" } } }
    : { "application/json": { schema: jsonSchema(body, "input") } };

function successOf(row: Row): Json {
  const headers =
    row.method === "GET" || row.carriage !== "json"
      ? {}
      : {
          headers: {
            "Spoolwright-Change": {
              description: "The change, to be taken back at /api/changes/{id}/undo",
              schema: { type: "string" },
            },
          },
        };
  if (row.carriage === "events")
    return {
      description: "A stream of events",
      content: { "text/event-stream": { schema: { type: "string" } } },
    };
  if (row.carriage === "bytes")
    return {
      description: row.summary,
      content: {
        [row.mediaType ?? "application/octet-stream"]: { schema: { type: "string", format: "binary" } },
      },
    };
  return {
    description: row.summary,
    ...headers,
    content: { "application/json": { schema: row.output ? jsonSchema(row.output, "output") : {} } },
  };
}

function jsonSchema(schema: z.ZodType, io: "input" | "output"): Json {
  const {
    $schema: _dialect,
    "~standard": _standard,
    ...rest
  } = z.toJSONSchema(schema, { io, unrepresentable: "any", target: "draft-2020-12" }) as Json;
  return rest;
}
