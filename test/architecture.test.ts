import { existsSync, readdirSync, readFileSync } from "node:fs";
import path from "node:path";
import ts from "typescript";
import { describe, expect, it } from "vitest";
import { errorsPage, refusalTables } from "../scripts/errors";

const root = path.join(import.meta.dirname, "..");
const read = (file: string) => readFileSync(path.join(root, file), "utf8");

/** The table of docs/ARCHITECTURE.md: what each room may import. */
const allowed = new Map(
  [...read("docs/ARCHITECTURE.md").matchAll(/^\| ([\w/]+) \| [^|]* \|([^|]*)\|$/gm)]
    .filter(([, room]) => room !== "room")
    .map(([, room, list]) => [
      room!,
      new Set(
        list!
          .split(",")
          .map((one) => one.trim())
          .filter(Boolean),
      ),
    ]),
);

const sources = readdirSync(path.join(root, "src"), { recursive: true, encoding: "utf8" })
  .map((name) => name.split(path.sep).join("/"))
  .filter((name) => /\.tsx?$/.test(name) && !name.endsWith(".d.ts"));
const isTest = (name: string) => /\.test\.tsx?$/.test(name);
const roomOf = (name: string) =>
  name
    .split("/")
    .slice(0, name.startsWith("core/") ? 2 : 1)
    .join("/");

/** The text without comments, so that words in them are not taken for code. */
const codeOf = (name: string) =>
  read(`src/${name}`)
    .replace(/\/\*[\s\S]*?\*\//g, "")
    .replace(/^\s*\/\/.*$/gm, "");
/** What a file imports, exports on and imports as it runs, as the compiler reads it. */
const importsOf = (name: string) =>
  ts.preProcessFile(read(`src/${name}`), true, true).importedFiles.map((file) => file.fileName);

const packageOf = (specifier: string) =>
  (specifier.startsWith("@") ? specifier.split("/").slice(0, 2) : specifier.split("/").slice(0, 1)).join("/");

function faultOf(name: string, specifier: string): string | null {
  const room = roomOf(name);
  const may = allowed.get(room);
  if (!may) return `room ${room} is not in the table`;
  if (specifier.startsWith(".")) {
    if (specifier.endsWith("package.json")) return null;
    const target = path.posix.normalize(path.posix.join(path.posix.dirname(name), specifier));
    return roomOf(`${target}/x`) === room || roomOf(target) === room
      ? null
      : `${specifier} leaves the room without the door`;
  }
  if (specifier.startsWith("#")) {
    const target = specifier.slice(1);
    return may.has(target) || (target.startsWith("core/") && may.has("core/*"))
      ? null
      : `${room} may not use ${target}`;
  }
  if (specifier.startsWith("node:"))
    return may.has("node") ? null : `${room} may not use Node's ${specifier}`;
  return may.has(packageOf(specifier)) ? null : `${room} may not use the package ${packageOf(specifier)}`;
}

describe("the rooms", () => {
  it("are all in the table, each with a door", () => {
    const rooms = [...new Set(sources.map(roomOf))];
    expect(rooms.filter((room) => !allowed.has(room))).toEqual([]);
    // A command and a page are started, not imported.
    expect(
      rooms.filter(
        (room) => !["cli", "web"].includes(room) && !existsSync(path.join(root, "src", room, "index.ts")),
      ),
    ).toEqual([]);
  });

  it("use only the rooms and packages their row names, by the door", () => {
    const faults = sources
      .filter((name) => !isTest(name))
      .flatMap((name) =>
        importsOf(name)
          .flatMap((specifier) => faultOf(name, specifier) ?? [])
          .map((fault) => `src/${name}: ${fault}`),
      );
    expect(faults).toEqual([]);
  });

  it("are read rightly: a wrong import is seen", () => {
    expect(faultOf("core/stitch/x.ts", "#core/shop")).toContain("may not use");
    expect(faultOf("core/stitch/x.ts", "node:fs")).toContain("may not use");
    expect(faultOf("core/stitch/x.ts", "../shop/calendar")).toContain("leaves the room");
    expect(faultOf("app/paper/x.ts", "../context")).toBeNull();
    expect(faultOf("http/x.ts", "#store")).toContain("may not use");
    expect(faultOf("cli/x.ts", "better-sqlite3")).toContain("may not use");
    expect(importsOf("http/server.ts")).toContain("fastify");
  });

  it("do not go round in circles", () => {
    const uses = new Map<string, Set<string>>();
    for (const name of sources.filter((one) => !isTest(one)))
      for (const one of importsOf(name))
        if (one.startsWith("#"))
          uses.set(roomOf(name), (uses.get(roomOf(name)) ?? new Set()).add(one.slice(1)));
    const visit = (room: string, way: readonly string[]): string[] =>
      way.includes(room)
        ? [[...way, room].join(" → ")]
        : [...(uses.get(room) ?? [])].flatMap((next) => visit(next, [...way, room]));
    expect([...uses.keys()].flatMap((room) => visit(room, []))).toEqual([]);
  });
});

describe("the pure rooms", () => {
  const pure = sources.filter((name) => /^(core|drawing|contract)\//.test(name) && !isTest(name));
  it.each([
    ["the clock", /\bDate\.now\b|\bnew Date\(\s*\)|\bperformance\.now\b/],
    ["chance", /\bMath\.random\b|\bcrypto\./],
    ["the console", /\bconsole\./],
    ["timers", /\bset(Timeout|Interval|Immediate)\b/],
  ])("know nothing of %s", (_what, pattern) => {
    expect(pure.filter((name) => pattern.test(codeOf(name)))).toEqual([]);
  });
});

describe("docs/ERRORS.md", () => {
  it("is what the tables say (npx tsx scripts/errors.ts writes it)", async () => {
    expect(read("docs/ERRORS.md")).toBe(errorsPage(await refusalTables()));
  });

  it("gives each code a title and an advice a person can act on", async () => {
    for (const { file, table } of await refusalTables())
      for (const [code, kind] of Object.entries(table)) {
        expect(code, file).toMatch(/^[a-z]+(-[a-z0-9]+)*$/);
        expect(kind.title.length, `${file} ${code}`).toBeGreaterThan(5);
        expect(kind.advice, `${file} ${code}`).toMatch(/\.$/);
      }
  });
});
