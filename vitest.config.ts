import { defineConfig } from "vitest/config";

export default defineConfig({
  test: {
    include: ["src/**/*.test.{ts,tsx}", "test/**/*.test.ts", "examples/**/*.test.ts"],
    // Browser days and database suites start real programs; a slow machine must not fail them.
    testTimeout: 60_000,
    hookTimeout: 120_000,
    pool: "forks",
    maxWorkers: 2,
  },
});
