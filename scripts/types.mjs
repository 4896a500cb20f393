// `npm run types`: the four sets of sources under their own libraries, two at a time, the longest first.
import { spawn } from "node:child_process";

const waiting = ["node", "web", "browser", "core"];
let failed = false;

const check = (name) =>
  new Promise((resolve) => {
    const child = spawn(
      process.execPath,
      ["node_modules/typescript/bin/tsc", "-p", `tsconfig.${name}.json`, "--pretty"],
      { stdio: ["ignore", "pipe", "inherit"] },
    );
    // Said whole at the end, so that two sets of findings do not mix.
    let said = "";
    child.stdout.on("data", (chunk) => (said += chunk));
    child.once("close", (status) => {
      process.stdout.write(said);
      if (status !== 0) {
        failed = true;
        console.error(`tsconfig.${name}.json: types do not hold`);
      }
      resolve();
    });
  });

async function checkOneByOne() {
  for (let name = waiting.shift(); name; name = waiting.shift()) await check(name);
}

await Promise.all([checkOneByOne(), checkOneByOne()]);
process.exit(failed ? 1 : 0);
