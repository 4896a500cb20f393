import { useEffect, useRef } from "react";

const SIDE_PX = 148;

/** A round magnifier in the picture's upper corner, away from the finger: what lies under the place that is moved. */
export function Loupe({
  picture,
  x,
  y,
  times,
  side,
}: {
  readonly picture: ImageBitmap;
  /** The place in the bitmap's px. */
  readonly x: number;
  readonly y: number;
  /** So many times larger than the picture stands there. */
  readonly times: number;
  readonly side: "left" | "right";
}) {
  const canvas = useRef<HTMLCanvasElement>(null);
  useEffect(() => {
    const context = canvas.current?.getContext("2d");
    if (!context) return;
    const dots = window.devicePixelRatio;
    const half = (SIDE_PX * dots) / 2;
    const shownPx = canvas.current!.parentElement!.getBoundingClientRect().width;
    const by = ((times * shownPx) / picture.width) * dots;
    context.setTransform(1, 0, 0, 1, 0, 0);
    context.clearRect(0, 0, 2 * half, 2 * half);
    context.setTransform(by, 0, 0, by, half - x * by, half - y * by);
    context.drawImage(picture, 0, 0);
    context.setTransform(dots, 0, 0, dots, 0, 0);
    drawOpenCross(context, SIDE_PX);
  }, [picture, x, y, times]);
  const dots = typeof window === "undefined" ? 1 : window.devicePixelRatio;
  return (
    <canvas
      ref={canvas}
      aria-hidden
      className={`plane-loupe plane-loupe-${side}`}
      width={SIDE_PX * dots}
      height={SIDE_PX * dots}
    />
  );
}

/** A cross over a square of so many px, open in the middle: the thread or seam itself stays to be seen. */
export function drawOpenCross(context: CanvasRenderingContext2D, sidePx: number): void {
  for (const [colour, width] of [
    ["#fff", 3],
    ["#000", 1],
  ] as const) {
    context.strokeStyle = colour;
    context.lineWidth = width;
    context.beginPath();
    for (const [fx, fy, tx, ty] of [
      [0, 0.5, 0.45, 0.5],
      [0.55, 0.5, 1, 0.5],
      [0.5, 0, 0.5, 0.45],
      [0.5, 0.55, 0.5, 1],
    ] as const) {
      context.moveTo(fx * sidePx, fy * sidePx);
      context.lineTo(tx * sidePx, ty * sidePx);
    }
    context.stroke();
  }
}
