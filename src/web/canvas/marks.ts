/** A mark on the picture: where it belongs, and where it stands so that a finger meets no other. */
export interface PlacedMark {
  readonly atX: number;
  readonly atY: number;
  readonly x: number;
  readonly y: number;
}

/** A finger's width, CSS pixels; WCAG 2.2, 2.5.8 asks for 24 at least. */
export const MARK_PX = 44;

/**
 * Places marks, the first ones first: each where it belongs, or at the nearest free place round it, inside the window
 * where there is room. No two are nearer than 44 pixels on both axes, unless none of some hundred places is free.
 */
export function placeMarks(
  wanted: readonly { readonly x: number; readonly y: number }[],
  { left, top, right, bottom }: { readonly left: number; readonly top: number; readonly right: number; readonly bottom: number }, // prettier-ignore
): readonly PlacedMark[] {
  const placed: PlacedMark[] = [];
  const free = (x: number, y: number): boolean =>
    placed.every((one) => Math.abs(one.x - x) >= MARK_PX || Math.abs(one.y - y) >= MARK_PX);
  const half = MARK_PX / 2;
  const inside = (x: number, y: number): boolean =>
    left + half <= x && x <= right - half && top + half <= y && y <= bottom - half;
  for (const { x, y } of wanted) placed.push({ atX: x, atY: y, ...nearest(x, y, (px, py) => free(px, py) && inside(px, py)) }); // prettier-ignore
  return placed;
}

function nearest(
  x: number,
  y: number,
  fits: (x: number, y: number) => boolean,
): { readonly x: number; readonly y: number } {
  if (fits(x, y)) return { x, y };
  for (let ring = 1; ring <= 8; ring++) {
    const around = 8 * ring;
    for (let n = 0; n < around; n++) {
      // Upwards first, then to both sides by turns.
      const turn = ((n % 2 === 0 ? n : -n - 1) / 2) * ((2 * Math.PI) / around) - Math.PI / 2;
      const px = x + Math.cos(turn) * ring * (MARK_PX / 2 + 2);
      const py = y + Math.sin(turn) * ring * (MARK_PX / 2 + 2);
      if (fits(px, py)) return { x: px, y: py };
    }
  }
  return { x, y };
}
