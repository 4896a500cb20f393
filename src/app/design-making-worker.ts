import { parentPort, workerData } from "node:worker_threads";
import { Refusal } from "#core/base";
import { FileWanted, MakingBench } from "./design-making-jobs";
import type { ThreadJob, ThreadTold } from "./design-making-threads";

/** A thread that makes designs, one job after another, until it is ended. */

const { newest } = workerData as { readonly newest: Int32Array };
const bench = new MakingBench();

class NotWanted extends Error {}

parentPort!.on("message", ({ number, job, files }: ThreadJob) => {
  for (const [hash, bytes] of files) bench.bring(hash, bytes);
  // The main thread writes the number of the job it gives up; looked at between the things of a making.
  const stillWanted = (): void => {
    if (Atomics.load(newest, 0) === number) throw new NotWanted("given up");
  };
  let told: ThreadTold;
  try {
    told = { number, done: bench.do(job, stillWanted) };
  } catch (reason) {
    if (reason instanceof FileWanted) told = { number, wants: reason.fileHash };
    else if (reason instanceof NotWanted) told = { number, givenUp: true };
    else if (reason instanceof Refusal) {
      const { code, kind, message, details } = reason;
      told = { number, refused: { code, kind, message, details } };
    } else
      told = { number, failed: reason instanceof Error ? (reason.stack ?? reason.message) : String(reason) };
  }
  parentPort!.postMessage(told);
});
