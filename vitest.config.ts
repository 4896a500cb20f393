import { defineConfig } from "vitest/config";
import { BaseSequencer, type TestSpecification } from "vitest/node";

const browser = "test/browser/**/*.test.ts";
const core = "src/{core,drawing,contract}/**/*.test.ts";

/** The browser's days take longest: begun first, they are not waited for by one worker alone in the end. */
class LongestFirst extends BaseSequencer {
  override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    const byGuess = await super.sort(files);
    const late = ({ moduleId, project }: TestSpecification) =>
      moduleId.endsWith("/pages.test.ts") ? 0 : project.name === "browser" ? 1 : 2;
    return [...byGuess].sort((a, b) => late(a) - late(b));
  }
}

export default defineConfig({
  test: {
    // Browser days and database suites start real programs; a slow machine must not fail them.
    testTimeout: 60_000,
    hookTimeout: 120_000,
    pool: "forks",
    // Three of them make browser's days on two cores slow enough to miss their times.
    maxWorkers: 2,
    sequence: { sequencer: LongestFirst },
    projects: [
      {
        extends: true,
        test: {
          name: "program",
          include: ["src/**/*.test.{ts,tsx}", "test/**/*.test.ts", "examples/**/*.test.ts"],
          exclude: [browser, core],
        },
      },
      {
        // The computing core keeps nothing between calls: its files share a process, and load it once.
        extends: true,
        test: { name: "core", include: [core], isolate: false },
      },
      {
        // The demo studio is made once for all of these, and only where one of them runs.
        extends: true,
        test: { name: "browser", include: [browser], globalSetup: ["test/browser/demo-once.ts"] },
      },
    ],
  },
});
