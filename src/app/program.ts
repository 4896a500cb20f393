import { type Answer, type RowName, rows } from "#contract";
import type { Chance } from "#core/base";
import { openStore, type StoreAsked } from "#store";
import { catalogueAnswers } from "./catalogue";
import type { Answers, Call, Context } from "./context";
import { type Devices, openDevices } from "./devices";
import { idMaker } from "./ids";
import { joinedAnswers } from "./joined";
import { liveHub } from "./live";
import { type Setup, setupOf, sweepUnfinishedDemo } from "./setup";
import { studioAnswers } from "./studio";

/** What http answers itself: live events, the interface's own description, and who is let in. */
type HttpRowName = "live" | "openapi" | DeviceRowName;
/** The requests about tablets and phones. */
export type DeviceRowName =
  | "listDevices"
  | "choosePhoneOrigin"
  | "offerPairing"
  | "withdrawPairing"
  | "pairDevice"
  | "thisDevice"
  | "renameDevice"
  | "turnOutDevice";

/** The answers the program itself gives. */
export type ProgramAnswers = Omit<Answers, HttpRowName>;
export type AskedName = keyof ProgramAnswers;

export interface ProgramAsked {
  /** The data folder, or "memory". */
  readonly data: string;
  readonly databaseUrl?: string | undefined;
  readonly version: string;
  readonly nowMs: () => number;
  readonly chance: Chance;
  /** A whole number below the bound by which ids differ: from the system's chance in a studio, seeded in tests. */
  readonly idBelow: (bound: number) => number;
  readonly log: Context["log"];
  readonly steps?: StoreAsked["steps"];
  /** Threads that search for a plan, and whether the plan is made anew by itself when records it rests on change. */
  readonly planning: { readonly threads: number; readonly byItself: boolean };
}

export interface Program {
  readonly context: Context;
  readonly answers: ProgramAnswers;
  readonly setup: Setup;
  /** Tablets and phones that are let in. */
  readonly devices: Devices;
  readonly version: string;
  /** Asks as a page would, in the same process: query and body are parsed by the row. Throws refusals, and zod's errors for bad shapes. */
  ask<N extends AskedName>(name: N, asked?: InProcess, call?: Partial<Call>): Promise<Answer<N>>;
  close(): Promise<void>;
}

export interface InProcess {
  readonly params?: Readonly<Record<string, string>>;
  readonly query?: Readonly<Record<string, unknown>>;
  readonly body?: unknown;
}

/** Opens the store and joins the answers on it. */
export async function openProgram(asked: ProgramAsked): Promise<Program> {
  const { log, nowMs } = asked;
  const hub = liveHub((error) => log.error("A listener failed", { error }));
  const newId = idMaker(nowMs, asked.idBelow);
  const store = await openStore({
    data: asked.data,
    databaseUrl: asked.databaseUrl,
    nowMs,
    newId,
    ...(asked.steps ? { steps: asked.steps } : {}),
    onTouched: (what, ids) => hub.tell({ topic: "changed", what: [...what], ids: ids.slice(0, 200) }),
    onNotice: (words) => log.warn(words),
  });
  const context: Context = {
    store,
    nowMs,
    newId,
    chance: asked.chance,
    log,
    tell: hub.tell,
    listen: hub.listen,
  };
  if (await sweepUnfinishedDemo(store)) log.warn("A demo studio that was cut short has been swept away.");
  const joined = joinedAnswers(context, asked.planning);
  const setup = setupOf(context, {
    version: asked.version,
    makeDemo: (onProgress) => joined.makeDemo(onProgress),
  });
  // The type holds the program to an answer for every row.
  const answers: ProgramAnswers = {
    ...joined.answers,
    ...catalogueAnswers(context),
    ...studioAnswers(context, setup),
  };
  const devices = openDevices(context);
  const program: Program = {
    context,
    answers,
    setup,
    devices,
    version: asked.version,
    ask: (name, inProcess, call) => askRow(answers, name, inProcess ?? {}, call ?? {}),
    async close() {
      await joined.close();
      await devices.settle();
      await store.close();
    },
  };
  return program;
}

async function askRow<N extends AskedName>(
  answers: ProgramAnswers,
  name: N,
  asked: InProcess,
  call: Partial<Call>,
): Promise<Answer<N>> {
  const row = rows[name as RowName] as {
    query?: { parse(v: unknown): unknown };
    body?: "bytes" | { parse(v: unknown): unknown };
  };
  const parsed = {
    params: asked.params ?? {},
    query: row.query ? row.query.parse(asked.query ?? {}) : {},
    body: row.body === undefined || row.body === "bytes" ? asked.body : row.body.parse(asked.body),
  };
  const whole: Call = {
    who: "The program",
    ifMatch: null,
    origin: "http://127.0.0.1",
    phoneOrigin: "http://127.0.0.1",
    note: () => undefined,
    signal: new AbortController().signal,
    ...call,
  };
  const answer = answers[name] as unknown as (asked: unknown, call: Call) => Promise<unknown>;
  return (await answer(parsed, whole)) as Answer<N>;
}
