import { grownRings, ringLength, unitedRings } from "../rings";
import type { Sewer } from "../sewer";
import type { Place } from "../spine";
import { Region } from "./region";
import { type FillShape, resample, rowsBeneath, steps, travel } from "./row-fill";

/**
 * A fill whose lines follow the shape: rings at even distances inside the edge (offsets of the outline). Rings that lie
 * next to each other are the knots of a graph; its shortest spanning tree (R. C. Prim, Bell System Technical Journal 36
 * (1957) 1389–1401) is walked depth first: along a ring, at the place nearest to the next one over into it, all round
 * there, and back. Invariant: a step between rings is no longer than the rings stand apart, so nothing is run over
 * finished stitches and one piece needs no cut.
 */
export interface ContourOptions {
  /** Distance of the rings. */
  readonly spacingMm?: number;
  readonly stitchMm?: number;
  readonly pullMm?: number;
  /** Rows beneath the rings, or none. */
  readonly underlay?: "rows" | "none";
}

/** So far may a stitch leave its line in a bend; more would open gaps between lines. */
const CHORD_MM = 0.09;
/** Lines part where opposite sides meet: rows of this distance lie beneath. */
const BENEATH_MM = 0.75;

interface Ring {
  readonly places: readonly Place[];
  /** Which place of this ring is nearest to which place of that one. */
  readonly links: { other: number; here: number; there: number; far: number }[];
}

/** Sews rows beneath, then rings from the edge inwards. */
export function contourFill(sewer: Sewer, shape: FillShape, options: ContourOptions = {}): void {
  const { spacingMm = 0.37, stitchMm = 3, pullMm = 0.2, underlay = "rows" } = options;
  const area = unitedRings(shape.rings, "evenodd");
  if (area.length === 0) return;
  const region = new Region(area);
  if (underlay === "rows") rowsBeneath(sewer, region, BENEATH_MM, 45);
  const rings = ringsOf(area, { spacingMm, stitchMm, pullMm });
  join(rings, spacingMm);
  const done = new Uint8Array(rings.length);
  for (;;) {
    const [x, y] = sewer.place;
    let [best, start, far] = [-1, 0, Infinity];
    rings.forEach(({ places }, r) => {
      if (done[r]) return;
      places.forEach((place, i) => {
        const own = Math.hypot(place[0] - x, place[1] - y);
        if (own < far) [best, start, far] = [r, i, own];
      });
    });
    if (best < 0) return;
    const within = nearestInside(region, rings[best]!.places[start]!, area);
    travel(sewer, region, within);
    sewTree(sewer, rings, done, best, start);
  }
}

function ringsOf(
  area: Place[][],
  { spacingMm, stitchMm, pullMm }: Required<Omit<ContourOptions, "underlay">>,
): Ring[] {
  const rings: Ring[] = [];
  // The outermost line of thread lies with its outer side on the edge, the pull added.
  for (let inset = 0.2 - pullMm; ; inset += spacingMm) {
    const level = grownRings(area, -inset);
    if (level.length === 0) return rings;
    for (const ring of level) {
      const places = resample(ring, stitchMm, CHORD_MM);
      if (ringLength(ring) > 1) rings.push({ places, links: [] });
    }
    if (rings.length > 20_000) return rings;
  }
}

/** Finds which rings lie side by side, through a grid of places set close along them. */
function join(rings: readonly Ring[], spacingMm: number): void {
  const reach = 2.2 * spacingMm;
  const cells = new Map<number, { ring: number; at: number; place: Place }[]>();
  const key = (x: number, y: number): number => Math.floor(x / reach) * 100_003 + Math.floor(y / reach);
  const known = new Map<number, Ring["links"][number]>();
  rings.forEach((ring, r) => {
    ring.places.forEach((place, i) => {
      const next = ring.places[(i + 1) % ring.places.length]!;
      for (const [x, y] of [place, ...steps(place, next, 0.4)].slice(0, -1)) {
        for (let dx = -1; dx <= 1; dx++)
          for (let dy = -1; dy <= 1; dy++)
            for (const other of cells.get(key(x + dx * reach, y + dy * reach)) ?? []) {
              if (other.ring === r) continue;
              const far = Math.hypot(other.place[0] - x, other.place[1] - y);
              if (far > reach) continue;
              const pair = other.ring * rings.length + r;
              const before = known.get(pair);
              if (!before || far < before.far - 1e-9)
                known.set(pair, { other: r, here: other.at, there: i, far });
            }
        const list = cells.get(key(x, y)) ?? [];
        cells.set(key(x, y), list);
        list.push({ ring: r, at: i, place: [x, y] });
      }
    });
  });
  for (const [pair, link] of known) {
    const first = Math.floor(pair / rings.length);
    rings[first]!.links.push(link);
    rings[link.other]!.links.push({ other: first, here: link.there, there: link.here, far: link.far });
  }
}

/** One tree of rings, the shortest steps first; sewn with a stack of our own, as it may be deep. */
function sewTree(sewer: Sewer, rings: readonly Ring[], done: Uint8Array, root: number, start: number): void {
  const children: { readonly other: number; readonly here: number; readonly there: number }[][] = rings.map(
    () => [],
  );
  const front: { from: number; link: Ring["links"][number] }[] = [];
  const take = (ring: number): void => {
    done[ring] = 1;
    for (const link of rings[ring]!.links) if (!done[link.other]) front.push({ from: ring, link });
  };
  take(root);
  while (front.length > 0) {
    let best = 0;
    for (let i = 1; i < front.length; i++) if (front[i]!.link.far < front[best]!.link.far) best = i;
    const [{ from, link }] = front.splice(best, 1) as [(typeof front)[number]];
    if (done[link.other]) continue;
    children[from]!.push(link);
    take(link.other);
  }
  const stack = [{ ring: root, start, step: 0, next: 0 }];
  const childrenAt = (ring: number, at: number) => children[ring]!.filter(({ here }) => here === at);
  while (stack.length > 0) {
    const top = stack.at(-1)!;
    const { places } = rings[top.ring]!;
    if (top.step > places.length) {
      stack.pop();
      continue;
    }
    const at = (top.start + top.step) % places.length;
    if (top.next === 0) sewer.sewTo(places[at]![0], places[at]![1]);
    const child = top.step < places.length ? childrenAt(top.ring, at)[top.next] : undefined;
    if (child) {
      top.next++;
      stack.push({ ring: child.other, start: child.there, step: 0, next: 0 });
      continue;
    }
    if (top.next > 0) sewer.sewTo(places[at]![0], places[at]![1]);
    top.step++;
    top.next = 0;
  }
}

/** A place on a ring that may lie outside by the pull: its nearest place in the area, for the way there. */
function nearestInside(region: Region, place: Place, area: readonly (readonly Place[])[]): Place {
  if (region.inside(place[0], place[1])) return place;
  let [best, far] = [place, Infinity];
  for (const ring of area)
    for (const at of ring) {
      const own = Math.hypot(at[0] - place[0], at[1] - place[1]);
      if (own < far) [best, far] = [at, own];
    }
  return best;
}
