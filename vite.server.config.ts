import { defineConfig } from "vite";

/** The program: the command line and each worker file become one file each in dist/server. */
export default defineConfig({
  build: {
    ssr: true,
    outDir: "dist/server",
    emptyOutDir: true,
    target: "node20",
    rollupOptions: {
      input: {
        main: "src/cli/main.ts",
        "plan-worker": "src/app/plan-worker.ts",
        "plan-proof-worker": "src/app/plan-proof-worker.ts",
        "design-worker": "src/app/design-worker.ts",
        "design-making-worker": "src/app/design-making-worker.ts",
        "placing-worker": "src/app/placing-worker.ts",
        "what-if-worker": "src/app/what-if-worker.ts",
      },
      output: { entryFileNames: "[name].js", chunkFileNames: "chunks/[name]-[hash].js" },
    },
  },
});
