import { useEffect, useRef, useState } from "react";
import { openSurface, type Surface } from "./surface";
import type { Known } from "./messages";
import { useRoom } from "./use-gestures";

/** One design as thread, as large as its place allows: a picture to compare, not to work on. */
export function StitchPicture({
  address,
  colours,
  label,
  cloth = "#eee6d6",
}: {
  readonly address: string;
  readonly colours: readonly string[];
  readonly label: string;
  readonly cloth?: string;
}) {
  const box = useRef<HTMLDivElement>(null);
  const canvas = useRef<HTMLCanvasElement>(null);
  const surface = useRef<Surface | null>(null);
  const { width, height } = useRoom(box);
  const [known, setKnown] = useState<Known | null>(null);
  const [failed, setFailed] = useState<string | null>(null);
  useEffect(() => {
    if (!canvas.current) return;
    const open = openSurface(canvas.current, address, {
      onKnown: setKnown,
      onProgress: () => undefined,
      onNeedle: () => undefined,
      onFailed: setFailed,
    });
    surface.current = open;
    return () => {
      open.end();
      surface.current = null;
    };
  }, [address]);
  useEffect(() => {
    surface.current?.look({ colours, cloth, threadMm: 0.4, showJumps: false, onlyPart: null, upTo: Number.MAX_SAFE_INTEGER }); // prettier-ignore
  }, [colours, cloth, address]);
  useEffect(() => {
    if (!known || width < 1) return;
    const ratio = Math.min(2, window.devicePixelRatio || 1);
    const [left, bottom, right, top] = known.boundsMm;
    const scale = Math.min(
      (width - 20) / Math.max(1, right - left),
      (height - 20) / Math.max(1, top - bottom),
      40,
    );
    surface.current?.view({
      widthPx: Math.round(width * ratio),
      heightPx: Math.round(height * ratio),
      scale: scale * ratio,
      xMm: (left + right) / 2,
      yMm: (bottom + top) / 2,
    });
  }, [known, width, height]);
  return (
    <div ref={box} className="stitch-picture" role="img" aria-label={label} style={{ background: cloth }}>
      <canvas ref={canvas} key={address} className="viewer-canvas" />
      {failed && <p role="alert">{failed}</p>}
    </div>
  );
}
