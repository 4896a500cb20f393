import { type Lab, colourDifference, labFromHex } from "#core/thread";
import {
  areaOfRings,
  boxOfRings,
  commonRings,
  cutRings,
  grownRings,
  type Rings,
  strokedRings,
  unitedRings,
} from "../rings";
import type { Place } from "../spine";
import type { Artwork, Painted } from "./artwork";

/** What of one painted thing is seen, in mm; lines keep their middle as well, where they are narrow enough for satin. */
export interface Layer {
  readonly colour: string;
  readonly rings: Rings;
  readonly line: LineOfLayer | null;
}

export interface LineOfLayer {
  readonly lines: readonly { readonly places: readonly Place[]; readonly closed: boolean }[];
  readonly widthMm: number;
  readonly cap: "butt" | "round" | "square";
}

/** Colours nearer than this (CIEDE2000) are sewn with one thread. */
const SAME_COLOUR = 4;
/** What lies on top is cut out of what lies beneath only where it is wider than twice this. */
const KNOCK_OUT_MM = 2;
/** The lower one goes on so far under the upper one, as stitches pull the cloth in. */
const UNDERLAP_MM = 0.6;
const SMALLEST_SEEN_MM2 = 0.4;

type BoxMm = ReturnType<typeof boxOfRings>;

/** The painted things at their size in mm, about the middle of the whole. */
export function layersAt(painted: readonly Painted[], factor: number, middle: Place): Layer[] {
  const to = ([x, y]: Place): Place => [(x - middle[0]) * factor, (y - middle[1]) * factor];
  return painted.map((one) => {
    if (one.kind === "area")
      return { colour: one.colour, rings: unitedRings(one.rings.map((ring) => ring.map(to)), one.rule), line: null }; // prettier-ignore
    const lines = one.lines.map(({ places, closed }) => ({ places: places.map(to), closed }));
    const widthMm = one.width * factor;
    return {
      colour: one.colour,
      rings: strokedRings(lines, Math.max(widthMm, 0.1), one.cap, one.join),
      line: { lines, widthMm, cap: one.cap },
    };
  });
}

/** The box of all that is painted, in the artwork's own units; null when nothing is. */
export function paintedBox(artwork: Artwork): BoxMm | null {
  const box = { left: Infinity, right: -Infinity, bottom: Infinity, top: -Infinity };
  for (const one of artwork.painted) {
    const own = boxOfRings(one.kind === "area" ? one.rings : one.lines.map(({ places }) => places));
    const half = one.kind === "line" ? one.width / 2 : 0;
    box.left = Math.min(box.left, own.left - half);
    box.right = Math.max(box.right, own.right + half);
    box.bottom = Math.min(box.bottom, own.bottom - half);
    box.top = Math.max(box.top, own.top + half);
  }
  return box.right > box.left ? box : null;
}

/**
 * What is seen of each layer, lowest first. Wide things on top are cut out of what lies under them, less a strip that
 * stays beneath; small ones are sewn over it, as holes for them would be ragged.
 */
export function seenLayers(layers: readonly Layer[]): Layer[] {
  const seen: Layer[] = [];
  let above: Place[][] = [];
  for (const layer of [...layers].reverse()) {
    let { rings } = layer;
    if (above.length > 0) {
      if (areaOfRings(cutRings(rings, above)) < SMALLEST_SEEN_MM2) continue;
      const wide = grownRings(above, -KNOCK_OUT_MM);
      if (wide.length > 0) rings = cutRings(rings, grownRings(wide, KNOCK_OUT_MM - UNDERLAP_MM));
    }
    if (areaOfRings(rings) < SMALLEST_SEEN_MM2 / 4) continue;
    seen.push({ ...layer, rings });
    above = unitedRings([...above, ...layer.rings]);
  }
  return seen.reverse();
}

/** Gives layers of nearly one colour the same one, that of the largest area; at most `most` colours stay. */
export function fewerColours(layers: readonly Layer[], most: number): { layers: Layer[]; merged: number } {
  const area = new Map<string, number>();
  for (const { colour, rings } of layers) area.set(colour, (area.get(colour) ?? 0) + areaOfRings(rings));
  const into = new Map<string, string>();
  const lab = (hex: string): Lab => labFromHex(hex) ?? { l: 0, a: 0, b: 0 };
  const left = [...area.keys()];
  for (;;) {
    let [one, two, nearest] = ["", "", Infinity];
    for (let i = 0; i < left.length; i++)
      for (let j = i + 1; j < left.length; j++) {
        const far = colourDifference(lab(left[i]!), lab(left[j]!));
        if (far < nearest) [one, two, nearest] = [left[i]!, left[j]!, far];
      }
    if (left.length < 2 || (nearest >= SAME_COLOUR && left.length <= most)) break;
    const [keep, drop] = area.get(one)! >= area.get(two)! ? [one, two] : [two, one];
    area.set(keep, area.get(keep)! + area.get(drop)!);
    into.set(drop, keep);
    left.splice(left.indexOf(drop), 1);
  }
  const final = (colour: string): string => {
    const next = into.get(colour);
    return next === undefined ? colour : final(next);
  };
  return { layers: layers.map((layer) => ({ ...layer, colour: final(layer.colour) })), merged: into.size };
}

/** Layers in parts: as few colour stops as a greedy choice needs, what lies above always later than what it lies on. */
export function partsOf(layers: readonly Layer[]): Layer[][] {
  const boxes = layers.map(({ rings }) => boxOfRings(rings));
  const waitsFor = layers.map((upper, j) =>
    layers.slice(0, j).flatMap((lower, i) => {
      const [a, b] = [boxes[i]!, boxes[j]!];
      if (a.left > b.right || b.left > a.right || a.bottom > b.top || b.bottom > a.top) return [];
      if (lower.colour === upper.colour) return [];
      return areaOfRings(commonRings(lower.rings, upper.rings)) > 0.02 ? [i] : [];
    }),
  );
  const sewn = new Set<number>();
  const parts: Layer[][] = [];
  while (sewn.size < layers.length) {
    /** What one colour can sew from here on without another. */
    const reach = (colour: string): number[] => {
      const own = new Set<number>();
      layers.forEach((layer, i) => {
        if (
          layer.colour === colour &&
          !sewn.has(i) &&
          waitsFor[i]!.every((other) => sewn.has(other) || own.has(other))
        )
          own.add(i);
      });
      return [...own];
    };
    const open = [...new Set(layers.filter((_, i) => !sewn.has(i)).map(({ colour }) => colour))];
    const left = (colour: string): number => layers.filter((layer, i) => layer.colour === colour && !sewn.has(i)).length; // prettier-ignore
    const choices = open
      .map((colour) => ({ colour, own: reach(colour) }))
      .filter(({ own }) => own.length > 0);
    // A colour that is done with is best; else the one that gets furthest.
    choices.sort((a, b) => {
      const [doneA, doneB] = [left(a.colour) === a.own.length, left(b.colour) === b.own.length];
      return Number(doneB) - Number(doneA) || b.own.length - a.own.length || a.own[0]! - b.own[0]!;
    });
    const { own } = choices[0]!;
    own.forEach((i) => sewn.add(i));
    parts.push(own.map((i) => layers[i]!));
  }
  return parts;
}
