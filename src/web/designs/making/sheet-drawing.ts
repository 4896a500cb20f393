import { useEffect, useRef } from "react";
import { DrawingEngine } from "../../canvas/engine";
import type { StitchesDrawn } from "../../canvas/stitches";

const THREAD_MM = 0.4;

/** Draws the stitches in short slices; the canvas stands as long as the page does. */
export function useDrawing(
  stitches: StitchesDrawn | null,
  view: { scale: number; xMm: number; yMm: number },
  room: { width: number; height: number },
  colours: readonly string[],
  cloth: string,
) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const engine = useRef<DrawingEngine | null>(null);
  useEffect(() => {
    const made = new DrawingEngine({
      context: canvas.current!.getContext("2d", { alpha: false })!,
      makeSheet: (width, height) => Object.assign(document.createElement("canvas"), { width, height }),
      nowMs: () => performance.now(),
      rest: () => new Promise((go) => requestAnimationFrame(() => go())),
      told: () => undefined,
    });
    engine.current = made;
    return () => made.end();
  }, []);
  useEffect(() => {
    engine.current?.show({ stitches: stitches ?? NOTHING });
  }, [stitches]);
  useEffect(() => {
    engine.current?.show({ look: { colours, cloth, threadMm: THREAD_MM, showJumps: false, onlyPart: null, upTo: Number.MAX_SAFE_INTEGER } }); // prettier-ignore
  }, [colours, cloth]);
  const ratio = Math.min(2, window.devicePixelRatio || 1);
  const { width, height } = room;
  const { scale, xMm, yMm } = view;
  useEffect(() => {
    if (width > 0)
      engine.current?.show({ view: { widthPx: Math.round(width * ratio), heightPx: Math.round(height * ratio), scale: scale * ratio, xMm, yMm } }); // prettier-ignore
  }, [width, height, ratio, scale, xMm, yMm]);
  return canvas;
}

const NOTHING: StitchesDrawn = { count: 0, kinds: new Uint8Array(0), xTenths: new Int32Array(0), yTenths: new Int32Array(0), bounds: [0, 0, 0, 0], blocks: 0, blockBounds: new Float64Array(0), blockParts: new Int32Array(0), partStarts: [0] }; // prettier-ignore
