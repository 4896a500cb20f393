// `npm run dev`: the program on its source with restart on change, and the page with hot reload.
import { spawn } from "node:child_process";

const children = [
  spawn(
    process.execPath,
    [
      "--import",
      "tsx",
      "--watch",
      "--watch-preserve-output",
      "src/cli/main.ts",
      "serve",
      "--port",
      "4777",
      ...process.argv.slice(2),
    ],
    { stdio: "inherit" },
  ),
  spawn(process.execPath, ["node_modules/vite/bin/vite.js"], { stdio: "inherit" }),
];
const stop = () => children.forEach((child) => child.kill("SIGTERM"));
process.on("SIGINT", stop);
process.on("SIGTERM", stop);
children.forEach((child) => child.on("exit", stop));
