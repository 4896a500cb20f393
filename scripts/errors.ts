/**
 * Writes docs/ERRORS.md from every module's table of refusals (`npx tsx scripts/errors.ts`); with `--check` it only
 * says whether the page is up to date. The tables are found by their `refusals({`, so that none is forgotten.
 */
import { readdirSync, readFileSync, writeFileSync } from "node:fs";
import path from "node:path";
import { pathToFileURL } from "node:url";
import type { RefusalKind } from "#core/base";

const root = path.join(import.meta.dirname, "..");

export interface RefusalTable {
  readonly file: string;
  readonly table: Readonly<Record<string, RefusalKind>>;
}

/** Every table of refusals in the source, in the order of their files. */
export async function refusalTables(): Promise<RefusalTable[]> {
  const files = readdirSync(path.join(root, "src"), { recursive: true, encoding: "utf8" })
    .map((name) => name.split(path.sep).join("/"))
    .filter(
      (name) =>
        /\.ts$/.test(name) &&
        !/\.test\.ts$/.test(name) &&
        !name.startsWith("core/base/") &&
        !name.startsWith("web/"),
    )
    .sort();
  const found: RefusalTable[] = [];
  for (const name of files) {
    const declared = [
      ...readFileSync(path.join(root, "src", name), "utf8").matchAll(/^(export )?const (\w+) = refusals\(/gm),
    ];
    if (declared.length === 0) continue;
    const module = (await import(pathToFileURL(path.join(root, "src", name)).href)) as Record<
      string,
      { table: RefusalTable["table"] } | undefined
    >;
    for (const [, exported, word] of declared) {
      if (!exported || !module[word!])
        throw new Error(
          `src/${name}: ${word} must be exported, so that docs/ERRORS.md can name its refusals`,
        );
      found.push({ file: `src/${name}`, table: module[word!]!.table });
    }
  }
  return found;
}

export function errorsPage(tables: readonly RefusalTable[]): string {
  const rows = tables.flatMap(({ file, table }) =>
    Object.entries(table).map(([code, kind]) => ({ code, file, ...kind })),
  );
  rows.sort((a, b) => (a.code < b.code ? -1 : a.code > b.code ? 1 : a.file < b.file ? -1 : 1));
  const cell = (text: string) => text.replaceAll("|", "\\|");
  return [
    "# What the program refuses",
    "",
    "Made by `npx tsx scripts/errors.ts` from the modules' tables; do not edit. Over HTTP a refusal travels as a problem",
    "document (RFC 9457) with `type` `urn:spoolwright:problem:CODE`, the status below, `detail` (what happened, with both",
    "numbers), `advice`, and `errors` with field, found and expected. Commands end with status 2 where the input is at fault",
    "(400, 404, 413, 415, 422), otherwise with 1. A fault of the program itself is status 500, code `bug`, with a `reference`",
    "to find it in the log by.",
    "",
    "| code | status | what it says | what to do |",
    "| --- | --- | --- | --- |",
    ...rows.map((row) => `| \`${row.code}\` | ${row.status} | ${cell(row.title)} | ${cell(row.advice)} |`),
    "",
  ].join("\n");
}

if (process.argv[1] && path.resolve(process.argv[1]) === path.join(import.meta.dirname, "errors.ts")) {
  const page = path.join(root, "docs/ERRORS.md");
  const text = errorsPage(await refusalTables());
  if (!process.argv.includes("--check")) writeFileSync(page, text);
  else if (readFileSync(page, "utf8") !== text) {
    process.stderr.write("docs/ERRORS.md is behind the tables: npx tsx scripts/errors.ts\n");
    process.exitCode = 1;
  }
}
