import type { DensityGrid } from "#drawing";
import { DrawingEngine, type Look, type View } from "./engine";
import { densityOf, fetchStitches, knownOf, needleAt } from "./fetched";
import type { FromWorker, Known, NeedleAt, Progress, ToWorker } from "./messages";
import type { StitchesDrawn } from "./stitches";

export interface Hearing {
  onKnown(known: Known): void;
  onProgress(progress: Progress): void;
  onNeedle(needle: NeedleAt): void;
  onDensity?(grid: DensityGrid): void;
  onFailed(words: string): void;
}

/** A canvas that draws one design version, in a worker where the browser can, else here in short slices. */
export interface Surface {
  view(view: View): void;
  look(look: Look): void;
  /** Asks where the needle is after so many records; `onNeedle` answers. */
  askAt(index: number): void;
  /** Asks for the map of densest spots; `onDensity` answers, and says nothing before the stitches have come. */
  askDensity(): void;
  end(): void;
}

export function openSurface(canvas: HTMLCanvasElement, address: string, hearing: Hearing): Surface {
  const inWorker = typeof Worker !== "undefined" && typeof canvas.transferControlToOffscreen === "function";
  return inWorker ? workerSurface(canvas, address, hearing) : pageSurface(canvas, address, hearing);
}

function workerSurface(canvas: HTMLCanvasElement, address: string, hearing: Hearing): Surface {
  const worker = new Worker(new URL("./worker.ts", import.meta.url), { type: "module" });
  const tell = (message: ToWorker, moved: Transferable[] = []) => worker.postMessage(message, moved);
  worker.onmessage = ({ data }: MessageEvent<FromWorker>) => {
    if ("known" in data) hearing.onKnown(data.known);
    else if ("progress" in data) hearing.onProgress(data.progress);
    else if ("needle" in data) hearing.onNeedle(data.needle);
    else if ("density" in data) hearing.onDensity?.(data.density);
    else hearing.onFailed(data.failed);
  };
  worker.onerror = () =>
    hearing.onFailed("The picture could not be drawn here. Reload the page to try again.");
  const off = canvas.transferControlToOffscreen();
  tell({ canvas: off }, [off]);
  tell({ address: new URL(address, location.href).href });
  return {
    view: (view) => tell({ view }),
    look: (look) => tell({ look }),
    askAt: (index) => tell({ askAt: index }),
    askDensity: () => tell({ askDensity: true }),
    end: () => worker.terminate(),
  };
}

function pageSurface(canvas: HTMLCanvasElement, address: string, hearing: Hearing): Surface {
  let stitches: StitchesDrawn | null = null;
  const engine = new DrawingEngine({
    context: canvas.getContext("2d", { alpha: false })!,
    makeSheet: (width, height) => Object.assign(document.createElement("canvas"), { width, height }),
    nowMs: () => performance.now(),
    rest: () => new Promise((go) => requestAnimationFrame(() => go())),
    told: (progress) => hearing.onProgress(progress),
  });
  fetchStitches(address).then(
    (come) => {
      stitches = come;
      hearing.onKnown(knownOf(come));
      engine.show({ stitches: come });
    },
    (reason: unknown) => hearing.onFailed(reason instanceof Error ? reason.message : String(reason)),
  );
  return {
    view: (view) => engine.show({ view }),
    look: (look) => engine.show({ look }),
    askDensity: () => stitches && hearing.onDensity?.(densityOf(stitches)),
    askAt: (index) => stitches && hearing.onNeedle(needleAt(stitches, index)),
    end: () => engine.end(),
  };
}
