import type { PointMm } from "#core/placing";
import { useEffect, useRef } from "react";
import { toPicture } from "./geometry";
import { drawOpenCross } from "./loupe";
import type { ClothPicture } from "./photo-messages";

const SIDE_PX = 148;
/** So much of the cloth is shown each way, mm. */
const ROUND_MM = 9;

/** A place of the first photo from near by, to be found again in the second. */
export function Patch({
  cloth,
  at,
  number,
  words,
}: {
  readonly cloth: ClothPicture;
  readonly at: PointMm;
  readonly number: number;
  readonly words: string;
}) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const dots = typeof window === "undefined" ? 1 : window.devicePixelRatio;
  useEffect(() => {
    const context = canvas.current?.getContext("2d");
    if (!context) return;
    const half = (SIDE_PX * dots) / 2;
    const by = half / (ROUND_MM * cloth.pxPerMm);
    const { x, y } = toPicture(cloth, at);
    context.setTransform(1, 0, 0, 1, 0, 0);
    context.clearRect(0, 0, 2 * half, 2 * half);
    context.setTransform(by, 0, 0, by, half - x * by, half - y * by);
    context.drawImage(cloth.picture, 0, 0);
    context.setTransform(dots, 0, 0, dots, 0, 0);
    drawOpenCross(context, SIDE_PX);
  }, [cloth, at, dots]);
  return (
    <figure className="place-patch">
      <canvas ref={canvas} width={SIDE_PX * dots} height={SIDE_PX * dots} aria-hidden />
      <figcaption className="quiet">
        Place {number} in the first photo: {words}
      </figcaption>
    </figure>
  );
}
