// `npm start`: builds what must be built, then serves. Further words go to `spoolwright serve`.
import { buildIfNeeded } from "./build.mjs";

await buildIfNeeded();
process.argv.splice(2, 0, "serve");
await import("../dist/server/main.js");
