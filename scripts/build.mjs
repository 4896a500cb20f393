// Builds the page (dist/web) and the program (dist/server), leaving a stamp of what was built.
import { createHash } from "node:crypto";
import { existsSync, readdirSync, readFileSync, statSync, writeFileSync } from "node:fs";
import path from "node:path";
import { fileURLToPath } from "node:url";

const root = path.join(path.dirname(fileURLToPath(import.meta.url)), "..");
const stampFile = path.join(root, "dist", "stamp");

/** A hash over the names, sizes and contents of everything the build reads. */
export function sourceStamp() {
  const hash = createHash("sha256");
  const visit = (name) => {
    const full = path.join(root, name);
    if (!existsSync(full)) return;
    if (statSync(full).isDirectory())
      for (const child of readdirSync(full).sort()) visit(path.join(name, child));
    else if (!/\.test\.tsx?$/.test(name))
      hash.update(name).update("\0").update(readFileSync(full)).update("\0");
  };
  ["package.json", "package-lock.json", "vite.config.ts", "vite.server.config.ts", "src"].forEach(visit);
  return hash.digest("hex");
}

export function isBuilt() {
  return existsSync(stampFile) && readFileSync(stampFile, "utf8") === sourceStamp();
}

/** Builds what is out of date; says so on standard error, since standard output may be somebody's JSON. */
export async function buildIfNeeded() {
  if (isBuilt()) return;
  process.stderr.write("Building the program (about half a minute, only after a change) …\n");
  const { build } = await import("vite");
  const quiet = { logLevel: "warn" };
  await build({ ...quiet, configFile: path.join(root, "vite.server.config.ts"), root });
  await build({ ...quiet, configFile: path.join(root, "vite.config.ts"), root: path.join(root, "src/web") });
  writeFileSync(stampFile, sourceStamp());
}

if (process.argv[1] && path.resolve(process.argv[1]) === fileURLToPath(import.meta.url))
  await buildIfNeeded();
