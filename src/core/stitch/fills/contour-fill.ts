import { grownRings, ringLength, unitedRings } from "../rings";
import type { Sewer } from "../sewer";
import type { Place } from "../spine";
import { Region } from "./region";
import { type FillShape, resample, rowsBeneath, travel } from "./row-fill";

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
  /** How many rings deep it lies; neighbours lie on the same level or the next. */
  readonly level: number;
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
  // The outermost line of thread lies with its outer side on the edge, the pull added. Each level is offset from the
  // one before: offsets by a round pen add up, and a short way makes few crossings to clear.
  let inner = grownRings(area, pullMm - 0.2);
  for (let level = 0; ; level++) {
    if (inner.length === 0) return rings;
    for (const ring of inner) {
      const places = resample(ring, stitchMm, CHORD_MM);
      if (ringLength(ring) > 1) rings.push({ level, places, links: [] });
    }
    if (rings.length > 20_000) return rings;
    inner = grownRings(inner, -spacingMm);
  }
}

/**
 * Finds which rings lie side by side, through a grid of places set close along them. The places of a cell are a chain
 * through `before`, from the one put in last: no list is made for each of many thousand cells.
 */
function join(rings: readonly Ring[], spacingMm: number): void {
  const reach = 2.2 * spacingMm;
  // Places so close that a neighbour at its distance is never missed between two of them.
  const apart = Math.max(0.4, 2 * spacingMm);
  const last = new Map<number, number>();
  const key = (column: number, row: number): number => column * 100_003 + row;
  const known = new Map<number, Ring["links"][number]>();
  const [xs, ys, of, at, before]: [number[], number[], number[], number[], number[]] = [[], [], [], [], []];
  const look = (r: number, i: number, x: number, y: number): void => {
    const [column, row] = [Math.floor(x / reach), Math.floor(y / reach)];
    for (let dx = -1; dx <= 1; dx++)
      for (let dy = -1; dy <= 1; dy++)
        for (let other = last.get(key(column + dx, row + dy)) ?? -1; other >= 0; other = before[other]!) {
          // Those put in earlier lie further out still.
          if (rings[of[other]!]!.level < rings[r]!.level - 1) break;
          const [offX, offY] = [xs[other]! - x, ys[other]! - y];
          const square = offX * offX + offY * offY;
          if (of[other] === r || square > reach * reach) continue;
          const pair = of[other]! * rings.length + r;
          const far = Math.sqrt(square);
          const link = known.get(pair);
          if (!link) known.set(pair, { other: r, here: at[other]!, there: i, far });
          else if (far < link.far - 1e-9) Object.assign(link, { here: at[other]!, there: i, far });
        }
    before.push(last.get(key(column, row)) ?? -1);
    last.set(key(column, row), xs.length);
    xs.push(x);
    ys.push(y);
    of.push(r);
    at.push(i);
  };
  rings.forEach(({ places }, r) => {
    places.forEach((place, i) => {
      const next = places[(i + 1) % places.length]!;
      const parts = Math.max(1, Math.ceil(Math.hypot(next[0] - place[0], next[1] - place[1]) / apart));
      for (let part = 0; part < parts; part++)
        look(r, i, place[0] + ((next[0] - place[0]) * part) / parts, place[1] + ((next[1] - place[1]) * part) / parts); // prettier-ignore
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
