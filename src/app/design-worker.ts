import { parentPort, workerData } from "node:worker_threads";
import { Refusal } from "#core/base";
import { readDesign, type ThreadAnswer } from "./design-reading";

/** The thread that reads one large machine file and ends. */

function answer(): ThreadAnswer {
  try {
    return { read: readDesign(workerData as Uint8Array) };
  } catch (reason) {
    if (!(reason instanceof Refusal)) throw reason;
    const { code, kind, message, details } = reason;
    return { refused: { code, kind, message, details } };
  }
}

const told = answer();
const { buffer: kinds } = "read" in told ? told.read.stitches.kind : { buffer: null };
const moved =
  "read" in told
    ? [
        kinds as ArrayBuffer,
        told.read.stitches.x.buffer as ArrayBuffer,
        told.read.stitches.y.buffer as ArrayBuffer,
      ]
    : [];
parentPort!.postMessage(told, [...new Set(moved)]);
