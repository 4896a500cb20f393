import type { PointMm, PointPx } from "#core/placing";
import type { AreaMm } from "#core/placing/picture";

/** Between the hoop's plane (mm, y away) and a true-scale picture (px from its upper left corner, y down). */
export interface Scale {
  readonly areaMm: AreaMm;
  readonly pxPerMm: number;
}

/** The area as a picture of whole pixels shows it: grown to the right and downwards by less than one. */
export function inWholePixels({ leftMm, rightMm, bottomMm, topMm }: AreaMm, pxPerMm: number): AreaMm {
  const whole = (mm: number) => Math.ceil(mm * pxPerMm - 1e-6) / pxPerMm;
  return {
    leftMm,
    rightMm: leftMm + whole(rightMm - leftMm),
    bottomMm: topMm - whole(topMm - bottomMm),
    topMm,
  };
}

/** A place of the picture as its pixels are counted: the first one's middle is 0, its outer corner −½. */
export const toPixel = (scale: Scale, point: PointMm): PointPx => {
  const { x, y } = toPicture(scale, point);
  return { xPx: x - 0.5, yPx: y - 0.5 };
};

export const fromPixel = (scale: Scale, { xPx, yPx }: PointPx): PointMm =>
  fromPicture(scale, xPx + 0.5, yPx + 0.5);

export const toPicture = ({ areaMm, pxPerMm }: Scale, { xMm, yMm }: PointMm) => ({
  x: (xMm - areaMm.leftMm) * pxPerMm,
  y: (areaMm.topMm - yMm) * pxPerMm,
});

export const fromPicture = ({ areaMm, pxPerMm }: Scale, x: number, y: number): PointMm => ({
  xMm: areaMm.leftMm + x / pxPerMm,
  yMm: areaMm.topMm - y / pxPerMm,
});

/** An SVG path through places; closed for an outline. */
export function pathOf(scale: Scale, points: readonly PointMm[], ends: "open" | "closed" = "open"): string {
  const drawn = points.map((point, i) => {
    const { x, y } = toPicture(scale, point);
    return `${i === 0 ? "M" : "L"}${x.toFixed(2)} ${y.toFixed(2)}`;
  });
  return drawn.join("") + (ends === "closed" && drawn.length > 0 ? "Z" : "");
}
