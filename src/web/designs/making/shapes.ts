import type { shapes } from "#contract";
import type { Artwork } from "./making";
import type { Box } from "./sheet-hits";
import type { Made } from "./use-making";

/** Single shapes of a part of artwork while it is worked on. Plain values; no page. */

export type ArtworkShape = shapes.ArtworkShape;
type MadeShape = shapes.MadePreview["items"][number]["parts"][number]["shapes"][number];

/** Which shape is meant, within its part: it stays the same when the artwork is made at another size. */
export const shapeKey = ({ edges }: { readonly edges: readonly number[] }): string => edges.join(" ");

/** The shape's change; a fresh one that changes nothing where there is none. */
export function changeOf(item: Artwork, part: string, key: string): ArtworkShape {
  const known = item.parts.find((one) => one.part === part)?.shapes?.find((shape) => shapeKey(shape) === key);
  return known ?? { edges: key.split(" ").map(Number), xMm: 0, yMm: 0, turnDeg: 0, sizePercent: 100, leaveOut: false }; // prettier-ignore
}

const isStill = ({ xMm, yMm, turnDeg, sizePercent, leaveOut }: ArtworkShape): boolean =>
  xMm === 0 && yMm === 0 && turnDeg === 0 && sizePercent === 100 && !leaveOut;

/** The parts with one shape changed; a change that changes nothing is not kept. */
export function withShape(item: Artwork, part: string, key: string, set: Partial<ArtworkShape>): Artwork["parts"] {
  const next = { ...changeOf(item, part, key), ...set };
  return item.parts.map((one) => {
    if (one.part !== part) return one;
    const others = (one.shapes ?? []).filter((shape) => shapeKey(shape) !== key);
    return { ...one, shapes: isStill(next) ? others : [...others, next] };
  });
} // prettier-ignore

/** A way turned by degrees, counter-clockwise, in tenths of a mm. */
export function turnedWay(xMm: number, yMm: number, degrees: number): { xMm: number; yMm: number } {
  const angle = (degrees * Math.PI) / 180;
  const tenth = (mm: number) => Math.round(mm * 10) / 10 + 0;
  return {
    xMm: tenth(xMm * Math.cos(angle) - yMm * Math.sin(angle)),
    yMm: tenth(xMm * Math.sin(angle) + yMm * Math.cos(angle)),
  };
}

/** A shape as it lies on the frame: `xMm`, `yMm` are its way from where it was drawn, as seen on the frame. */
export interface ShapeOnFrame {
  readonly part: string;
  readonly key: string;
  readonly xMm: number;
  readonly yMm: number;
  readonly turnDeg: number;
  readonly box: Box;
}

/** Where a shape is now: as made, moved on by what was dragged since. Null where it is not made. */
export function shapeOnFrame(made: Made | null, item: Artwork, part: string, key: string): ShapeOnFrame | null {
  const shape = shapesMade(made, item.key, part).find((one) => shapeKey(one) === key);
  const was = made?.of.items.find((one) => one.key === item.key);
  if (!shape || was?.kind !== "artwork") return null;
  const [now, before] = [changeOf(item, part, key), changeOf(was, part, key)];
  const way = turnedWay(now.xMm - before.xMm, now.yMm - before.yMm, item.turnDeg);
  const [x, y] = [item.xMm + way.xMm, item.yMm + way.yMm];
  const { left, right, bottom, top } = shape.boxMm;
  return {
    part,
    key,
    ...turnedWay(now.xMm, now.yMm, item.turnDeg),
    turnDeg: now.turnDeg,
    box: { left: left + x, right: right + x, bottom: bottom + y, top: top + y },
  };
} // prettier-ignore

export const shapesMade = (made: Made | null, item: string, part: string): readonly MadeShape[] =>
  made?.preview.items.find((one) => one.key === item)?.parts.find((one) => one.part === part)?.shapes ?? [];

/** The smallest shape of the part in whose box a place lies. */
export function shapeAt(made: Made | null, item: Artwork, part: string, at: { x: number; y: number }): string | null {
  const inside = shapesMade(made, item.key, part)
    .filter(({ leftOut }) => !leftOut)
    .flatMap((shape) => {
      const { box } = shapeOnFrame(made, item, part, shapeKey(shape)) ?? {};
      return box && box.left - 1 <= at.x && at.x <= box.right + 1 && box.bottom - 1 <= at.y && at.y <= box.top + 1
        ? [{ key: shapeKey(shape), area: (box.right - box.left) * (box.top - box.bottom) }]
        : [];
    })
    .sort((a, b) => a.area - b.area);
  return inside[0]?.key ?? null;
} // prettier-ignore
