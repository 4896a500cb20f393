/**
 * `npm run bench [word …]`: runs the benches whose names hold one of the words (all without words), one after the
 * other in a process of its own. They print figures; they never pass or fail.
 */
import { spawnSync } from "node:child_process";
import { existsSync } from "node:fs";
import path from "node:path";

const benches = [
  "speed/stitch.ts",
  "speed/needles.ts",
  "speed/replan.ts",
  "speed/import.ts",
  "speed/server.ts",
  "speed/five-years.ts",
  "quality/planning.ts",
] as const;

const words = process.argv.slice(2);
for (const bench of benches) {
  if (words.length > 0 && !words.some((word) => bench.includes(word))) continue;
  const file = path.join(import.meta.dirname, bench);
  if (!existsSync(file)) continue;
  console.log(`\n== ${bench}`);
  spawnSync(process.execPath, ["--import", "tsx", file], { stdio: "inherit" });
}
