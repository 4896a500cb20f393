import type { Item } from "./making";
import type { Made } from "./use-making";

/** Where things lie on the frame, what lies under a finger, and how much of the frame is shown. */

export interface Field {
  readonly widthMm: number;
  readonly heightMm: number;
}

export type Box = NonNullable<Made["preview"]["items"][number]["boxMm"]>;

/** Where things are now: as made, moved on by what was dragged since. */
export function boxesOf(made: Made | null, items: readonly Item[]): Map<string, Box> {
  const boxes = new Map<string, Box>();
  for (const item of items) {
    const known = made?.preview.items.find((one) => one.key === item.key)?.boxMm;
    const was = made?.of.items.find((one) => one.key === item.key);
    if (!known || !was) continue;
    const [dx, dy] = [item.xMm - was.xMm, item.yMm - was.yMm];
    boxes.set(item.key, { left: known.left + dx, right: known.right + dx, bottom: known.bottom + dy, top: known.top + dy }); // prettier-ignore
  }
  return boxes;
}

/** What lies under a place: the thread nearest to it, else the thing in whose box it is. */
export function hitOf(
  made: Made | null,
  boxes: ReadonlyMap<string, Box>,
  items: readonly Item[],
  at: { x: number; y: number },
  chosen: string | null,
  reachMm: number,
): { key: string; part: string | null } | null {
  if (!made) return null;
  const { xTenths, yTenths, kinds, count, partStarts } = made.stitches;
  let [best, near] = [-1, Math.min(2, reachMm) * 10];
  for (let i = 0; i < count; i++) {
    if (kinds[i] !== 0) continue;
    const far = Math.hypot(xTenths[i]! - at.x * 10, yTenths[i]! - at.y * 10);
    if (far < near) [best, near] = [i, far];
  }
  const part = partStarts.findLastIndex((start) => start <= best);
  const of = best >= 0 ? (made.preview.parts[part]?.of ?? []) : [];
  const inside = (key: string) => {
    const one = boxes.get(key);
    return one && one.left <= at.x && at.x <= one.right && one.bottom <= at.y && at.y <= one.top;
  };
  const sewn = of.find(({ key }) => inside(key));
  if (sewn) return sewn;
  if (chosen && inside(chosen)) return { key: chosen, part: null };
  const under = [...items].reverse().find(({ key }) => inside(key));
  return under ? { key: under.key, part: null } : null;
}

export function fitOf(made: Made | null, field: Field | null, room: { width: number; height: number }) {
  const { left, right, bottom, top } = made?.preview.extentsMm ?? { left: 0, right: 0, bottom: 0, top: 0 };
  // In steps, so that the picture does not breathe with each letter typed.
  const half = (a: number, b: number, least: number) => Math.ceil((Math.max(Math.abs(a), Math.abs(b)) + 4) / 15) * 15 || least; // prettier-ignore
  const wide = Math.max(half(left, right, 45), (field?.widthMm ?? 0) / 2 + 6, 45);
  const high = Math.max(half(bottom, top, 30), (field?.heightMm ?? 0) / 2 + 6, 30);
  const scale = Math.max(0.3, Math.min(room.width / (2 * wide), room.height / (2 * high)));
  return { scale, xMm: 0, yMm: 0 };
}
