/**
 * Planning anew through the program as it is served: a demo studio with a plan, and one event after the other told to
 * it. From the telling to the moment an open page hears that another plan is in force, and what of that went into the
 * answer to whoever told it. `npm run bench speed/replan-server [events]`.
 */
import { type ChildProcess, spawn } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import { setTimeout as wait } from "node:timers/promises";
import { makeDemoIn } from "../five-years";

const EVENTS = Number(process.argv.slice(2).find((word) => Number(word) > 0) ?? 40);
const HOUR_MS = 3_600_000;

interface Run {
  readonly state: string;
  readonly byItself: boolean;
  readonly planId: string | null;
  readonly failure: string | null;
  readonly why: string;
}

interface PlanNow {
  readonly plan: {
    readonly planId: string;
    readonly startsAtMs: number;
    readonly jobs: readonly { jobId: string; pieceId: string; parts: readonly { threadId: string }[] }[];
    readonly machines: readonly { id: string }[];
    readonly hands: readonly { id: string }[];
    readonly plan: {
      readonly runs: readonly { job: string; machine: string; stretches: readonly { startS: number }[] }[];
    };
  };
  readonly run: Run;
}

const root = path.resolve(import.meta.dirname, "../..");
const folder = mkdtempSync(path.join(tmpdir(), "bench-replan-"));
try {
  await makeDemoIn(folder);
  await measured();
} finally {
  rmSync(folder, { recursive: true, force: true });
}
// The live stream's connection would keep this process for minutes.
process.exitCode ??= 0;
setImmediate(() => process.exit());

async function measured(): Promise<void> {
  const child = spawn(
    process.execPath,
    [path.join(root, "bin/spoolwright.mjs"), "serve", "--data", folder, "--port", "0"],
    { stdio: ["ignore", "pipe", "inherit"] },
  );
  try {
    const address = await addressOf(child);
    const get = async <T>(where: string): Promise<T> =>
      (await (await fetch(`${address}/api/${where}`)).json()) as T;
    const post = async (where: string, body: unknown) => {
      const answer = await fetch(`${address}/api/${where}`, {
        method: "POST",
        headers: { "content-type": "application/json" },
        body: JSON.stringify(body),
      });
      const said = await answer.text();
      if (!answer.ok) throw new Error(`${where} answered ${answer.status}: ${said}`);
      if (said.includes('"refused"')) throw new Error(`${where} refused: ${said.slice(0, 400)}`);
    };
    await post("plan", { seconds: 2 });
    await atRest(() => get<Run>("plan/run"));
    const runs: { readonly atMs: number; readonly run: Run }[] = [];
    const ending = new AbortController();
    const hearing = listen(
      `${address}/api/live`,
      (run) => runs.push({ atMs: performance.now(), run }),
      ending.signal,
    );
    await wait(300);

    const rows = new Map<string, { answerMs: number; planMs: number }[]>();
    let unmoved = 0;
    for (let n = 0; n < EVENTS; n++) {
      const { plan } = await get<PlanNow>("plan");
      const { kind, event } = happening(n, plan);
      runs.length = 0;
      const from = performance.now();
      await post("floor/events", {
        events: [{ id: `ev-bench-${process.pid}-${n}`, atMs: Date.now(), ...event }],
      });
      const answerMs = performance.now() - from;
      const until = performance.now() + 10_000;
      const answered = () => runs.find(({ run }) => run.byItself && run.planId !== null);
      while (!answered() && performance.now() < until && (runs.length > 0 || performance.now() - from < 1500))
        await wait(2);
      const heard = answered();
      if (heard) rows.set(kind, [...(rows.get(kind) ?? []), { answerMs, planMs: heard.atMs - from }]);
      else unmoved++;
      await atRest(() => get<Run>("plan/run"));
      if (!heard)
        console.log(`  ${kind}: no other plan; ${JSON.stringify(runs.at(-1)?.run ?? "nothing begun")}`);
    }
    ending.abort();
    await hearing;
    const all = [...rows.values()].flat();
    const { plan } = await get<PlanNow>("plan");
    console.log(
      `${plan.jobs.length} pieces on ${plan.machines.length} machines, ${EVENTS} events, ${unmoved} left the plan as it is`,
    );
    for (const [kind, own] of [...rows, ["all", all] as const])
      console.log(
        `  ${kind.padEnd(16)} ${String(own.length).padStart(3)}: told and answered p50 ${at(own.map((one) => one.answerMs), 0.5)} ms; another plan in force p50 ${at(own.map((one) => one.planMs), 0.5)} ms, p95 ${at(own.map((one) => one.planMs), 0.95)} ms, most ${at(own.map((one) => one.planMs), 1)} ms`,
      ); // prettier-ignore
  } finally {
    child.kill("SIGTERM");
  }
}

/** What happens, turn by turn: each takes back or outlasts nothing of the others. */
function happening(n: number, plan: PlanNow["plan"]): { kind: string; event: Record<string, unknown> } {
  const round = Math.floor(n / 4);
  const machineId = plan.machines[round % plan.machines.length]!.id;
  const job = plan.jobs[(7 * n) % plan.jobs.length]!;
  const hand = plan.hands[round % plan.hands.length]!.id;
  const untilMs = plan.startsAtMs + (1 + (n % 3)) * HOUR_MS + n * 60_000;
  switch (n % 4) {
    case 0:
      return { kind: "machine down", event: { kind: "machine-down", machineId, untilMs, why: "belt" } };
    case 1:
      return { kind: "piece spoiled", event: { kind: "spoiled", pieceId: job.pieceId, jobId: job.jobId, machineId: null, why: "hole", remake: true } }; // prettier-ignore
    case 2:
      return { kind: "person away", event: { kind: "person-away", awayId: hand, untilMs, why: "" } };
    default:
      return { kind: "thread out", event: { kind: "thread-out", threadId: job.parts[0]!.threadId } };
  }
}

async function atRest(ask: () => Promise<Run>): Promise<void> {
  for (;;) {
    const run = await ask();
    if (run.state === "failed") throw new Error(run.failure ?? "The planning failed");
    if (run.state !== "running") return;
    await wait(100);
  }
}

function at(values: readonly number[], share: number): string {
  return ([...values].sort((a, b) => a - b)[Math.floor(share * (values.length - 1))] ?? 0).toFixed(0);
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

async function listen(url: string, hear: (run: Run) => void, signal: AbortSignal): Promise<void> {
  try {
    const answer = await fetch(url, { signal, headers: { accept: "text/event-stream" } });
    const reader = answer.body!.pipeThrough(new TextDecoderStream()).getReader();
    let rest = "";
    for (;;) {
      const { value, done } = await reader.read();
      if (done) return;
      const lines = (rest + value).split("\n");
      rest = lines.pop()!;
      for (const line of lines) {
        if (!line.startsWith("data:")) continue;
        const told = JSON.parse(line.slice(5)) as { topic: string; run?: Run };
        if (told.topic === "planning" && told.run) hear(told.run);
      }
    }
  } catch (error) {
    if (!signal.aborted) throw error;
  }
}
