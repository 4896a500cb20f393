import { type Answer, type RowName, rows } from "#contract";
import type { Store } from "#store";
import { catalogueAnswers } from "../catalogue";
import type { Answers, Call, Context } from "../context";
import { costAnswers } from "../costs";
import { designAnswers } from "../designs";
import { tellingAnswers } from "../floor/telling";
import { importAnswers, importEnded } from "../imports";
import { orderAnswers } from "../orders";
import { placingAnswers } from "../placing";
import type { Setup } from "../setup";
import { studioAnswers } from "../studio";

type DoorName = Exclude<
  RowName,
  | "live"
  | "openapi"
  | "tickets"
  | "threadingList"
  | "pickList"
  | "machineDay"
  | "tableFile"
  | "calendar"
  | "currentPlan"
  | "makePlan"
  | "planningRun"
  | "stopPlanning"
  | "listPlans"
  | "planProblem"
  | "planDocument"
>;

interface DoorAsked {
  readonly params?: Readonly<Record<string, string>>;
  readonly query?: Readonly<Record<string, unknown>>;
  readonly body?: unknown;
  readonly ifMatch?: number | null;
  readonly who?: string;
}

/**
 * The doors a person uses, at a time of the demo's choosing: the same answers on the same store, with a clock that the
 * maker sets. What is asked is parsed by the contract's rows, so that nothing gets in that a page could not send.
 */
export interface Door {
  /** Sets the clock, never past the computer's own: nothing of the demo has happened in the future. */
  setClock(atMs: number): void;
  ask<N extends DoorName>(name: N, asked?: DoorAsked): Promise<Answer<N>>;
  importEnded(id: string): Promise<void>;
  /** What is asked inside goes into the database at once at its end: a kept hour's work, not a hundred kept clicks. */
  together<T>(work: () => Promise<T>): Promise<T>;
}

export function openDoor(context: Context, startMs: number): Door {
  const latestMs = context.nowMs();
  let atMs = Math.min(startMs, latestMs);
  let now: Store = context.store;
  const store: Store = {
    ...context.store,
    get db() {
      return now.db;
    },
    write: (about, work) => now.write(about, work),
  };
  const then: Context = { ...context, store, nowMs: () => atMs, tell: () => undefined };
  // While the demo is made, setting a studio up is the maker's own doing.
  const setup: Setup = {
    status: async () => ({
      program: "",
      schema: 0,
      state: "making-demo",
      demo: true,
      studioName: null,
      nowMs: atMs,
      progress: null,
    }),
    startDemo: () => Promise.reject(new Error("the demo is being made")),
    isMakingDemo: () => false,
    idle: () => Promise.resolve(),
  };
  const answers = {
    ...studioAnswers(then, setup),
    ...catalogueAnswers(then),
    ...designAnswers(then),
    ...orderAnswers(then),
    ...importAnswers(then),
    ...costAnswers(then),
    ...placingAnswers(then, () => Promise.resolve(null)),
    ...tellingAnswers(then, () => Promise.resolve(null)),
  } as unknown as Answers;
  return {
    setClock: (next) => void (atMs = Math.min(next, latestMs)),
    importEnded: (id) => importEnded(then, id),
    async together(work) {
      try {
        return await context.store.together((one) => {
          now = one;
          return work();
        });
      } finally {
        now = context.store;
      }
    },
    async ask(name, { params = {}, query = {}, body, ifMatch = null, who = "Ness" } = {}) {
      const row = rows[name as RowName] as {
        query?: { parse(v: unknown): unknown };
        body?: "bytes" | { parse(v: unknown): unknown };
      };
      const asked = {
        params,
        query: row.query ? row.query.parse(query) : {},
        body: row.body === undefined || row.body === "bytes" ? body : row.body.parse(body),
      };
      const call: Call = {
        who,
        ifMatch,
        origin: "http://127.0.0.1",
        phoneOrigin: "http://127.0.0.1",
        note: () => undefined,
        signal: new AbortController().signal,
      };
      return (await (answers[name] as unknown as (asked: unknown, call: Call) => Promise<unknown>)(
        asked,
        call,
      )) as Answer<typeof name>;
    },
  };
}
