import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import { afterAll, expect, it } from "vitest";
import { testProgram } from "../../../test/support/program";
import { someBasis } from "../../../test/support/some-basis";
import { layQuestion } from "../../../test/support/what-if-question";
import { claimPlays } from "./queue";

const data = mkdtempSync(path.join(tmpdir(), "spoolwright-what-if-"));
afterAll(() => rmSync(data, { recursive: true, force: true }));

it("a question that a killed program left half played is taken up by the next start at once", async () => {
  const first = await testProgram({ data, setUp: true });
  const { store } = first.context;
  const plays = await layQuestion(store, "q", someBasis({ days: 7 }), { most: 2, seasons: 3 });
  // Taken for an hour by a player that will never come back.
  const taken = await claimPlays(store, { worker: "killed", count: 4, nowMs: first.clock.nowMs, leaseMs: 3_600_000 });
  expect(taken).toHaveLength(4);
  await first.close();
  const next = await testProgram({ data });
  const run = async () => (await next.ask("readWhatIf", { params: { id: "q" } })).run;
  while ((await run()).state === "running") await new Promise((resolve) => setTimeout(resolve, 30));
  expect(await run()).toMatchObject({ state: "done", played: plays, toPlay: plays });
  await next.close();
}); // prettier-ignore
