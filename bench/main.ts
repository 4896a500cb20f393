/**
 * `npm run bench [word …]`: runs the benches whose names hold one of the words (all without words), one after the
 * other in a process of its own. They print figures; they never pass or fail.
 */
import { spawnSync } from "node:child_process";
import path from "node:path";
import { build } from "vite";

const benches = [
  "speed/stitch.ts",
  "speed/names.ts",
  "speed/needles.ts",
  "speed/replan.ts",
  "speed/replan-server.ts",
  "speed/import.ts",
  "speed/server.ts",
  "speed/five-years.ts",
  "speed/floor.ts",
  "speed/what-if.ts",
  "speed/ledger.ts",
  "quality/planning.ts",
  "quality/planning-clock.ts",
  "quality/learned.ts",
  "quality/outline-fonts.ts",
  "quality/stitches.ts",
  "quality/artwork.ts",
  "quality/placing.ts",
  "quality/simulation.ts",
  "quality/published.ts",
] as const;

/** Measured as it is served: built, for the source run as it stands is a third slower. */
const built = ["speed/import.ts"];

/** The bench as one file among the modules it needs. */
async function buildBench(file: string): Promise<string> {
  const root = path.join(import.meta.dirname, "..");
  const outDir = path.join(root, "node_modules/.cache/spoolwright-bench");
  await build({
    root,
    configFile: false,
    logLevel: "warn",
    build: {
      ssr: file,
      outDir,
      target: "node20",
      rollupOptions: { output: { entryFileNames: "bench.js" } },
    },
  });
  return path.join(outDir, "bench.js");
}

const words = process.argv.slice(2);
for (const bench of benches) {
  if (words.length > 0 && !words.some((word) => bench.includes(word))) continue;
  const file = path.join(import.meta.dirname, bench);
  console.log(`\n== ${bench}`);
  const command = built.includes(bench) ? [await buildBench(file)] : ["--import", "tsx", file, ...words];
  spawnSync(process.execPath, command, { stdio: "inherit" });
}
