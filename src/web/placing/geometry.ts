import type { PointMm } from "#core/placing";
import type { AreaMm } from "#core/placing/picture";

/** Between the hoop's plane (mm, y away) and a true-scale picture (px from its upper left corner, y down). */
export interface Scale {
  readonly areaMm: AreaMm;
  readonly pxPerMm: number;
}

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
