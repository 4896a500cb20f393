import react from "@vitejs/plugin-react";
import { defineConfig } from "vite";

/** The page. `npm run dev` serves it with the program's own server behind /api. */
export default defineConfig({
  root: "src/web",
  plugins: [react()],
  build: {
    outDir: "../../dist/web",
    emptyOutDir: true,
    target: "es2022",
    chunkSizeWarningLimit: 700,
    rolldownOptions: {
      output: {
        // What keeps zod from trying eval stands in zod's own chunk, so that it has run before any shape is made.
        codeSplitting: {
          groups: [{ name: "zod", test: /node_modules[\\/]zod[\\/]|src[\\/]web[\\/]no-eval/ }],
        },
      },
    },
  },
  worker: { format: "es" },
  server: { proxy: { "/api": { target: "http://127.0.0.1:4777", changeOrigin: true } } },
});
