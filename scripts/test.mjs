// `npm test`: gets what the tests need, builds the program, runs every test, and says the sum in one line.
import { spawnSync } from "node:child_process";
import { existsSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import { buildIfNeeded } from "./build.mjs";

const has = (command) => spawnSync("sh", ["-c", `command -v ${command}`], { stdio: "ignore" }).status === 0;

/** Chromium for the browser's tests, poppler to open the PDFs: from Debian's packages when none is there. */
function provide(packages) {
  const missing = packages.filter(({ commands }) => !commands.some(has));
  if (missing.length === 0) return;
  const names = missing.map(({ name }) => name);
  if (!has("apt-get") || process.getuid?.() !== 0) {
    console.error(
      `The tests need ${names.join(" and ")}. Install them with your system's package manager (on Debian, as root: apt-get install ${names.join(" ")}), then run this again.`,
    );
    process.exit(1);
  }
  console.error(`Installing ${names.join(", ")} from Debian's packages …`);
  const quiet = {
    stdio: ["ignore", "ignore", "inherit"],
    env: { ...process.env, DEBIAN_FRONTEND: "noninteractive" },
  };
  spawnSync("apt-get", ["update", "-qq"], quiet);
  const { status } = spawnSync(
    "apt-get",
    ["install", "-y", "-qq", "--no-install-recommends", ...names],
    quiet,
  );
  if (status !== 0) {
    console.error(`Debian's packages ${names.join(", ")} could not be installed; is the network there?`);
    process.exit(1);
  }
}

provide([
  { name: "chromium", commands: ["chromium", "chromium-browser", "google-chrome"] },
  { name: "poppler-utils", commands: ["pdftoppm"] },
]);
await buildIfNeeded();

const scratch = mkdtempSync(path.join(tmpdir(), "spoolwright-tests-"));
const report = path.join(scratch, "report.json");
const { status } = spawnSync(
  process.execPath,
  [
    "node_modules/vitest/vitest.mjs",
    "run",
    "--reporter=default",
    "--reporter=json",
    `--outputFile.json=${report}`,
    ...process.argv.slice(2),
  ],
  { stdio: "inherit" },
);
if (existsSync(report)) {
  const { numPassedTests, numFailedTests, numPendingTests } = JSON.parse(readFileSync(report, "utf8"));
  console.log(`${numPassedTests} passed, ${numFailedTests} failed, ${numPendingTests} skipped`);
}
rmSync(scratch, { recursive: true, force: true });
process.exit(status ?? 1);
