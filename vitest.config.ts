import { defineConfig } from "vitest/config";

const browser = "test/browser/**/*.test.ts";

export default defineConfig({
  test: {
    // Browser days and database suites start real programs; a slow machine must not fail them.
    testTimeout: 60_000,
    hookTimeout: 120_000,
    pool: "forks",
    maxWorkers: 2,
    projects: [
      {
        extends: true,
        test: {
          name: "program",
          include: ["src/**/*.test.{ts,tsx}", "test/**/*.test.ts", "examples/**/*.test.ts"],
          exclude: [browser],
        },
      },
      {
        // The demo studio is made once for all of these, and only where one of them runs.
        extends: true,
        test: { name: "browser", include: [browser], globalSetup: ["test/browser/demo-once.ts"] },
      },
    ],
  },
});
