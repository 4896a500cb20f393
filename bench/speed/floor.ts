/**
 * The floor: five years of events recounted, and twenty stations telling one thing every two seconds while all of them
 * hear what changed. `npm run bench speed/floor`; `node --import tsx bench/speed/floor.ts FOLDER` takes a folder of
 * five years that is there already (bench/five-years.ts lays one).
 */
import { type ChildProcess, spawn } from "node:child_process";
import { existsSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import { setTimeout as wait } from "node:timers/promises";
import { recountFloor } from "#app";
import { layFiveYears, makeDemoIn, openBenchProgram } from "../five-years";

const STATIONS = 20;
const EVERY_MS = 2000;
const ROUNDS = 20;

const root = path.resolve(import.meta.dirname, "../..");
const given = process.argv.slice(2).find((word) => existsSync(word));
const folder = given ?? mkdtempSync(path.join(tmpdir(), "bench-floor-"));
try {
  if (!given) {
    await makeDemoIn(folder);
    await layFiveYears(folder);
  }
  await recounted();
  await stations();
} finally {
  if (!given) rmSync(folder, { recursive: true, force: true });
}

async function recounted(): Promise<void> {
  const program = await openBenchProgram(folder);
  const [started, before] = [performance.now(), process.cpuUsage()];
  const found = await recountFloor(program.context, "no");
  const seconds = (performance.now() - started) / 1000;
  const used = process.cpuUsage(before);
  await program.close();
  console.log(
    `recount: ${found.events} events, ${found.pieces} pieces, ${found.runs} runs in ${seconds.toFixed(1)} s (${((used.user + used.system) / 1e6).toFixed(1)} s of processor time); ${found.differing} differ`,
  );
}

interface Heard {
  /** When each event's change was heard, by station. */
  readonly atMs: number[];
}

async function stations(): Promise<void> {
  const child = spawn(
    process.execPath,
    [path.join(root, "bin/spoolwright.mjs"), "serve", "--data", folder, "--port", "0"],
    { stdio: ["ignore", "pipe", "inherit"] },
  );
  try {
    const address = await addressOf(child);
    const json = async (url: string) => (await (await fetch(`${address}/api/${url}`)).json()) as never;
    await made(address);
    const { plan } = (await json("plan")) as { plan: { jobs: { jobId: string; pieceId: string }[] } };
    const { machines } = (await json("floor")) as {
      machines: { id: string; needles: { threadId: string }[] }[];
    };
    const many = machines.filter((machine) => machine.needles.length > 1);
    const heard: Heard[] = Array.from({ length: STATIONS }, () => ({ atMs: [] }));
    const ending = new AbortController();
    const hearing = heard.map((one) => listen(`${address}/api/live`, one, ending.signal));
    await wait(500);
    const answers: number[] = [];
    const current: number[] = [];
    let job = 0;
    const tellOne = async (round: number, station: number) => {
      await wait((station * EVERY_MS) / STATIONS);
      const machine = many[station % many.length]!;
      const id = `ev-bench-${process.pid}-${round}-${station}`;
      const base = { id, atMs: Date.now() };
      const needle = 1 + (round % machine.needles.length);
      const next = plan.jobs[job++ % plan.jobs.length]!;
      const event =
        round % 2 === 0
          ? {
              ...base,
              kind: "threaded",
              machineId: machine.id,
              needles: [{ needle, threadId: machine.needles[needle - 1]!.threadId }],
            }
          : { ...base, kind: "hooped", pieceId: next.pieceId, jobId: next.jobId };
      const from = performance.now();
      const answer = await fetch(`${address}/api/floor/events`, {
        method: "POST",
        headers: { "content-type": "application/json" },
        body: JSON.stringify({ events: [event] }),
      });
      await answer.arrayBuffer();
      answers.push(performance.now() - from);
      // Each screen is current once it has heard of it and has asked anew; one of them asks as all would.
      const limit = performance.now() + 5000;
      while (heard.some((one) => (one.atMs.at(-1) ?? 0) < from) && performance.now() < limit) await wait(2);
      await json("floor");
      current.push(performance.now() - from);
    };
    for (let round = 0; round < ROUNDS; round++)
      await Promise.all(heard.map((_, station) => tellOne(round, station)));
    ending.abort();
    await Promise.all(hearing);
    console.log(
      `${STATIONS} stations, an event each every ${EVERY_MS / 1000} s: answer p50 ${at(answers, 0.5)} ms, p99 ${at(answers, 0.99)} ms; all have heard and one has asked anew p50 ${at(current, 0.5)} ms, p99 ${at(current, 0.99)} ms`,
    );
  } finally {
    child.kill("SIGTERM");
  }
}

function at(values: readonly number[], share: number): string {
  return [...values].sort((a, b) => a - b)[Math.floor(share * (values.length - 1))]!.toFixed(0);
}

function addressOf(child: ChildProcess): Promise<string> {
  return new Promise((resolve, reject) => {
    child.stdout!.on("data", (chunk: Buffer) => {
      const address = /http:\S+/.exec(String(chunk))?.[0];
      if (address) resolve(address);
    });
    child.on("exit", (code) => reject(new Error(`The program ended with ${code}`)));
  });
}

/** A plan to work by. */
async function made(address: string): Promise<void> {
  await fetch(`${address}/api/plan`, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify({ seconds: 2 }),
  });
  for (;;) {
    const { run } = (await (await fetch(`${address}/api/plan`)).json()) as { run: { state: string } };
    if (run.state !== "running") return;
    await wait(200);
  }
}

async function listen(url: string, heard: Heard, signal: AbortSignal): Promise<void> {
  try {
    const answer = await fetch(url, { signal, headers: { accept: "text/event-stream" } });
    const reader = answer.body!.getReader();
    const decoder = new TextDecoder();
    for (;;) {
      const { value, done } = await reader.read();
      if (done) return;
      if (decoder.decode(value, { stream: true }).includes("floor")) heard.atMs.push(performance.now());
    }
  } catch (error) {
    if (!signal.aborted) throw error;
  }
}
