import { parentPort, workerData } from "node:worker_threads";
import { Refusal } from "#core/base";
import type { CheckContext, Stitches } from "#core/stitch";
import { mendBytes } from "./design-mending";
import { readDesign, type ThreadAnswer } from "./design-reading";

/** The thread that reads, or mends, one large machine file and ends. */

interface MendAsked {
  readonly bytes: Uint8Array;
  readonly codes: readonly string[];
  readonly context: CheckContext;
}

function answer(bytes: Uint8Array): ThreadAnswer {
  try {
    return { read: readDesign(bytes) };
  } catch (reason) {
    if (!(reason instanceof Refusal)) throw reason;
    const { code, kind, message, details } = reason;
    return { refused: { code, kind, message, details } };
  }
}

/** The arrays go over without a copy. */
const moved = ({ kind, x, y }: Stitches): ArrayBuffer[] => [
  ...new Set([kind.buffer as ArrayBuffer, x.buffer as ArrayBuffer, y.buffer as ArrayBuffer]),
];

const asked = workerData as Uint8Array | MendAsked;
if (asked instanceof Uint8Array) {
  const told = answer(asked);
  parentPort!.postMessage(told, "read" in told ? moved(told.read.stitches) : []);
} else {
  const told = mendBytes(asked.bytes, asked.codes, asked.context);
  parentPort!.postMessage(told, moved(told.mended.design));
}
