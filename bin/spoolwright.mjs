#!/usr/bin/env node
// The command. An installed program is built already; in a fresh checkout the first call builds it.
import { existsSync } from "node:fs";
import { fileURLToPath } from "node:url";

const built = new URL("../dist/server/main.js", import.meta.url);
if (!existsSync(fileURLToPath(built))) await (await import("../scripts/build.mjs")).buildIfNeeded();
await import(built.href);
