import type { Worker } from "node:worker_threads";
import { Refusal, refusals } from "#core/base";
import type { Context } from "./context";
import type { DoneOf, MakingJob } from "./design-making-jobs";
import { startThread } from "./threads";

/** Threads that make designs, so that a large fill or five hundred names hold up nobody else's requests. */

export const refuseMakingThreads = refusals({
  "making-overtaken": {
    status: 409,
    title: "A newer picture was asked for",
    advice: "Nothing is lost: the newest one is on its way.",
  },
});

export interface ThreadJob {
  readonly number: number;
  readonly job: MakingJob;
  readonly files: readonly (readonly [hash: string, bytes: Uint8Array])[];
}

export type ThreadTold =
  | { readonly number: number; readonly done: DoneOf<MakingJob> }
  | { readonly number: number; readonly wants: string }
  | { readonly number: number; readonly givenUp: true }
  | { readonly number: number; readonly refused: Pick<Refusal, "code" | "kind" | "message" | "details"> }
  | { readonly number: number; readonly failed: string };

interface Waiting {
  readonly number: number;
  readonly job: MakingJob;
  /** Jobs of one desk: a newer one takes the place of an older. */
  readonly desk: string | null;
  readonly resolve: (done: never) => void;
  readonly reject: (reason: unknown) => void;
}

const GIVE_UP_MS = 1500;
const IDLE_MS = 10 * 60_000;

/** One thread with its line of jobs. It starts with the first job and ends when there has been none for a while. */
class MakingThread {
  #worker: Worker | null = null;
  readonly #newest = new Int32Array(new SharedArrayBuffer(4));
  #line: Waiting[] = [];
  #running: Waiting | null = null;
  #idle: NodeJS.Timeout | undefined;

  constructor(readonly fetch: (hash: string) => Promise<Uint8Array>) {}

  get length(): number {
    return this.#line.length + (this.#running ? 1 : 0);
  }

  ask<J extends MakingJob>(job: J, asked: { number: number; desk?: string | undefined; signal?: AbortSignal | undefined }): Promise<DoneOf<J>> {
    const { number, desk = null, signal } = asked;
    return new Promise<DoneOf<J>>((resolve, reject) => {
      if (desk !== null) {
        for (const older of this.#line.filter((one) => one.desk === desk)) this.#drop(older);
        if (this.#running?.desk === desk) this.#giveUp(this.#running);
      }
      const waiting: Waiting = { number, job, desk, resolve, reject };
      this.#line.push(waiting);
      signal?.addEventListener("abort", () => {
        if (this.#line.includes(waiting)) this.#drop(waiting);
        else if (this.#running === waiting) this.#giveUp(waiting);
      });
      this.#next();
    });
  } // prettier-ignore

  async end(): Promise<void> {
    clearTimeout(this.#idle);
    for (const one of [...this.#line]) this.#drop(one);
    const worker = this.#worker;
    this.#worker = null;
    if (this.#running) this.#settle((one) => one.reject(overtaken()));
    await worker?.terminate();
  }

  #drop(one: Waiting): void {
    this.#line = this.#line.filter((other) => other !== one);
    one.reject(overtaken());
  }

  /** Between two things of a making the thread looks here; one that is long over a single thing is ended. */
  #giveUp(one: Waiting): void {
    Atomics.store(this.#newest, 0, one.number);
    setTimeout(() => {
      if (this.#running !== one) return;
      void this.#worker?.terminate();
      this.#worker = null;
      this.#settle((waiting) => waiting.reject(overtaken()));
    }, GIVE_UP_MS).unref();
  }

  #next(): void {
    clearTimeout(this.#idle);
    if (this.#running) return;
    const one = this.#line.shift();
    if (!one) {
      this.#idle = setTimeout(() => {
        void this.#worker?.terminate();
        this.#worker = null;
      }, IDLE_MS);
      this.#idle.unref();
      return;
    }
    this.#running = one;
    this.#send(one, []);
  }

  #send({ number, job }: Waiting, files: ThreadJob["files"]): void {
    const message: ThreadJob = { number, job, files };
    this.#open().postMessage(message);
  }

  #open(): Worker {
    if (this.#worker) return this.#worker;
    const worker = startThread("design-making-worker", { newest: this.#newest }, { resourceLimits: { maxOldGenerationSizeMb: 1024 } }); // prettier-ignore
    worker.unref();
    worker.on("message", (told: ThreadTold) => this.#hear(told));
    worker.on("error", (error) => this.#lost(worker, error));
    worker.on("exit", (code) =>
      this.#lost(worker, new Error(`The thread that makes designs ended with ${code}`)),
    );
    this.#worker = worker;
    return worker;
  }

  #lost(worker: Worker, error: Error): void {
    if (this.#worker !== worker) return;
    this.#worker = null;
    if (this.#running) this.#settle((one) => one.reject(error));
  }

  #hear(told: ThreadTold): void {
    const one = this.#running;
    if (!one || told.number !== one.number) return;
    if ("wants" in told) {
      this.fetch(told.wants).then(
        (bytes) => {
          if (this.#running === one) this.#send(one, [[told.wants, bytes]]);
        },
        (error: unknown) => this.#running === one && this.#settle((waiting) => waiting.reject(error)),
      );
    } else
      this.#settle(({ resolve, reject }) => {
        if ("done" in told) resolve(told.done as never);
        else if ("refused" in told) {
          const { code, kind, message, details } = told.refused;
          reject(new Refusal(code, kind, message, details));
        } else if ("failed" in told) reject(new Error(told.failed));
        else reject(overtaken());
      });
  }

  #settle(how: (one: Waiting) => void): void {
    const one = this.#running!;
    this.#running = null;
    how(one);
    this.#next();
  }
}

const overtaken = () => refuseMakingThreads("making-overtaken", "Another picture was asked for before this one was made."); // prettier-ignore

/** A thread for pictures that are waited for, and a few for work in numbers. */
export interface MakingThreads {
  /** For whoever looks at a page: of one desk the newest wins. */
  soon<J extends MakingJob>(job: J, asked?: { desk?: string | undefined; signal?: AbortSignal | undefined }): Promise<DoneOf<J>>;
  /** For work in numbers: the least busy of a few threads. */
  inNumbers<J extends MakingJob>(job: J, signal?: AbortSignal): Promise<DoneOf<J>>;
  end(): Promise<void>;
} // prettier-ignore

const LANES = 2;
const known = new WeakMap<Context, MakingThreads>();

/** The threads of a program, made when first asked for. */
export function makingThreads(context: Context): MakingThreads {
  const there = known.get(context);
  if (there) return there;
  const fetch = (hash: string) => context.store.files.get(hash);
  const front = new MakingThread(fetch);
  const lanes = Array.from({ length: LANES }, () => new MakingThread(fetch));
  let number = 0;
  const threads: MakingThreads = {
    soon: (job, asked = {}) => front.ask(job, { number: ++number, ...asked }),
    inNumbers(job, signal) {
      const lane = lanes.reduce((least, one) => (one.length < least.length ? one : least));
      return lane.ask(job, { number: ++number, signal });
    },
    async end() {
      known.delete(context);
      await Promise.all([front, ...lanes].map((thread) => thread.end()));
    },
  };
  known.set(context, threads);
  return threads;
}

/** Ends the threads, when there are any. */
export const endMakingThreads = async (context: Context): Promise<void> => void (await known.get(context)?.end()); // prettier-ignore
