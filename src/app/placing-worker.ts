import { parentPort, workerData } from "node:worker_threads";
import { Refusal } from "#core/base";
import type { OnceAnswer, OnceAsked } from "./placing/measure-aside";
import { lensFromGrids, taughtFromGrids } from "./placing/measure-once";

/** The thread that measures one lens or one hoop from photos of the grid sheet, and ends. */
function answer(asked: OnceAsked): OnceAnswer {
  try {
    return asked.of === "lens"
      ? { measured: lensFromGrids(asked.body, asked.paper, asked.nowMs) }
      : { measured: taughtFromGrids(asked) };
  } catch (reason) {
    if (!(reason instanceof Refusal)) throw reason;
    const { code, kind, message, details } = reason;
    return { refused: { code, kind, message, details } };
  }
}

parentPort!.postMessage(answer(workerData as OnceAsked));
