import type { shapes } from "#contract";
import { colourDifference, labFromHex } from "#core/thread";

/** A making while it is worked on: fresh things, and small changes to them. Plain values; no page. */

export type Making = shapes.HandMaking;
export type Item = Making["items"][number];
export type Lettering = Extract<Item, { kind: "lettering" }>;
export type Artwork = Extract<Item, { kind: "artwork" }>;
export type Stored = Extract<Item, { kind: "design" }>;
export type ArtworkPart = Artwork["parts"][number];

export const emptyMaking = (items: readonly Item[] = []): Making => ({
  format: "spoolwright/making@1",
  cloth: "woven",
  hoopId: null,
  items: [...items],
});

/** A key no thing of the making has. */
export function freshKey({ items }: Pick<Making, "items">): string {
  for (let number = items.length + 1; ; number++)
    if (!items.some((item) => item.key === `i${number}`)) return `i${number}`;
}

export const freshLettering = (key: string, own: Partial<Lettering> = {}): Lettering => ({
  kind: "lettering",
  key,
  xMm: 0,
  yMm: 0,
  turnDeg: 0,
  text: "",
  face: "alphabet:upright",
  heightMm: 15,
  widthMm: null,
  bend: { as: "straight" },
  align: "centre",
  letterSpacingMm: 0,
  wordSpacingMm: 0,
  lineSpacing: 1.65,
  order: "along",
  threadId: null,
  ...own,
});

export const freshPart = (part: string, threadId: string | null): ArtworkPart => ({
  part,
  threadId,
  leaveOut: false,
  lines: null,
  angleDeg: null,
  spacingMm: null,
  underlay: null,
});

export const withItem = <K extends Item>(making: Making, key: string, set: Partial<K>): Making => ({
  ...making,
  items: making.items.map((item) => (item.key === key ? ({ ...item, ...set } as Item) : item)),
});

/** The thing one step earlier or later in sewing order. */
export function moved<T>(list: readonly T[], from: number, by: -1 | 1): T[] {
  const next = [...list];
  const [one] = next.splice(from, 1);
  next.splice(Math.min(next.length, Math.max(0, from + by)), 0, one!);
  return next;
}

/** What is there to be sewn: lettering without a text is not yet. */
export const sewable = (making: Making): Making => ({
  ...making,
  items: making.items.filter((item) => item.kind !== "lettering" || item.text.trim() !== ""),
});

export const wordsOf = (item: Item): string =>
  item.kind === "lettering"
    ? item.text.trim() === ""
      ? "lettering, no text yet"
      : `“${item.text.replace(/\s+/g, " ").slice(0, 40)}”`
    : item.kind === "artwork"
      ? item.fileName
      : "stored design";

interface Coloured {
  readonly id: string;
  readonly rgb: string;
}

/** Threads by how near their colour is, nearest first (CIEDE2000). */
export function byNearness<T extends Coloured>(threads: readonly T[], colour: string) {
  const wanted = labFromHex(colour);
  return threads
    .map((thread) => {
      const own = labFromHex(thread.rgb);
      return { thread, difference: wanted && own ? colourDifference(wanted, own) : Infinity };
    })
    .sort((a, b) => a.difference - b.difference);
}

/** The making with one thing more: pictures are sewn before lettering, which lies on them. */
export function withAdded(making: Making, item: Item): Making {
  const at = item.kind === "lettering" ? -1 : making.items.findIndex((one) => one.kind === "lettering");
  const items = [...making.items];
  items.splice(at < 0 ? items.length : at, 0, item);
  return { ...making, items };
}
