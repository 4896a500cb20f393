/** The drawing worker: fetches a design's stitches, decodes and draws them, away from the page's own thread. */
import { DrawingEngine } from "./engine";
import type { FromWorker, ToWorker } from "./messages";
import { densityOf, fetchStitches, knownOf, needleAt } from "./fetched";
import type { StitchesDrawn } from "./stitches";

const scope = self as unknown as {
  postMessage(message: FromWorker): void;
  onmessage: ((event: MessageEvent<ToWorker>) => void) | null;
};
let engine: DrawingEngine | null = null;
let stitches: StitchesDrawn | null = null;

async function load(address: string) {
  try {
    stitches = await fetchStitches(address);
    scope.postMessage({ known: knownOf(stitches) });
    engine?.show({ stitches });
  } catch (reason) {
    scope.postMessage({ failed: reason instanceof Error ? reason.message : String(reason) });
  }
}

scope.onmessage = ({ data }) => {
  if ("canvas" in data) {
    engine = new DrawingEngine({
      context: data.canvas.getContext("2d", { alpha: false })!,
      makeSheet: (width, height) => new OffscreenCanvas(width, height),
      nowMs: () => performance.now(),
      rest: () => new Promise((go) => setTimeout(go)),
      told: (progress) => scope.postMessage({ progress }),
    });
  } else if ("address" in data) void load(data.address);
  else if ("view" in data) engine?.show({ view: data.view });
  else if ("look" in data) engine?.show({ look: data.look });
  else if ("askAt" in data && stitches) scope.postMessage({ needle: needleAt(stitches, data.askAt) });
  else if ("askDensity" in data && stitches) scope.postMessage({ density: densityOf(stitches) });
};
