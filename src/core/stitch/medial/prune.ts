import type { Place } from "../spine";
import type { Branch, Skeleton } from "./skeleton";

export const lengthOf = (places: readonly Place[]): number => {
  let sum = 0;
  for (let i = 1; i < places.length; i++)
    sum += Math.hypot(places[i]![0] - places[i - 1]![0], places[i]![1] - places[i - 1]![1]);
  return sum;
};

/** The branch ends at each knot; a loop stands there twice. */
export function endsAt(skeleton: Skeleton): Map<number, { branch: Branch; atStart: boolean }[]> {
  const ends = new Map<number, { branch: Branch; atStart: boolean }[]>();
  const add = (knot: number, branch: Branch, atStart: boolean): void => {
    const list = ends.get(knot);
    if (list === undefined) ends.set(knot, [{ branch, atStart }]);
    else list.push({ branch, atStart });
  };
  for (const branch of skeleton.branches) {
    add(branch.a, branch, true);
    add(branch.b, branch, false);
  }
  return ends;
}

const reversed = ({ a, b, places, radii }: Branch): Branch => ({
  a: b,
  b: a,
  places: [...places].reverse(),
  radii: [...radii].reverse(),
});

/** Joins the two branches of every knot that has no more than two branch ends. */
function joinThrough(skeleton: Skeleton): void {
  for (const [knot, ends] of endsAt(skeleton)) {
    const live = ends.filter(({ branch }) => skeleton.branches.has(branch));
    if (live.length !== ends.length || live.length !== 2) continue;
    const [one, two] = live;
    if (one!.branch === two!.branch) continue;
    const first = one!.atStart ? reversed(one!.branch) : one!.branch;
    const second = two!.atStart ? two!.branch : reversed(two!.branch);
    skeleton.branches.delete(one!.branch);
    skeleton.branches.delete(two!.branch);
    skeleton.branches.add({
      a: first.a,
      b: second.b,
      places: [...first.places, ...second.places.slice(1)],
      radii: [...first.radii, ...second.radii.slice(1)],
    });
    skeleton.knots.delete(knot);
    // The lists of the far knots still name the old branches; the next round sees the new one.
    joinThrough(skeleton);
    return;
  }
}

/**
 * Drops twigs that stand out of the shape they leave by less than `leastMm` or `share` of the radius there: their
 * protrusion is their length and the radius at the tip, less the radius where they leave. The least goes first, and
 * what it leaves is looked at afresh.
 */
export function pruneTwigs(skeleton: Skeleton, share: number, leastMm: number): void {
  for (;;) {
    const ends = endsAt(skeleton);
    let worst: Branch | null = null;
    let worstBy = 0;
    for (const branch of skeleton.branches) {
      const [a, b] = [ends.get(branch.a)!.length, ends.get(branch.b)!.length];
      if (branch.a === branch.b || (a > 1 && b > 1) || (a === 1 && b === 1)) continue;
      const tip = a === 1 ? branch.radii[0]! : branch.radii.at(-1)!;
      const root = a === 1 ? branch.radii.at(-1)! : branch.radii[0]!;
      const by = Math.max(leastMm, share * root) - (lengthOf(branch.places) + tip - root);
      if (by > worstBy) [worst, worstBy] = [branch, by];
    }
    if (worst === null) break;
    skeleton.branches.delete(worst);
    joinThrough(skeleton);
  }
  dropSpecks(skeleton, leastMm);
}

/** Pieces of axis cut off from the rest and shorter than they are wide say nothing about the shape; the longest stays. */
function dropSpecks(skeleton: Skeleton, leastMm: number): void {
  const ends = endsAt(skeleton);
  const longest = Math.max(0, ...[...skeleton.branches].map(({ places }) => lengthOf(places)));
  for (const branch of [...skeleton.branches]) {
    if (ends.get(branch.a)!.length > 1 || ends.get(branch.b)!.length > 1) continue;
    const length = lengthOf(branch.places);
    if (length < longest && length < Math.max(leastMm, Math.max(...branch.radii)))
      skeleton.branches.delete(branch);
  }
}

/** Junctions nearer to each other than `share` of their radius become one, in the middle of the way between them. */
export function mergeJunctions(skeleton: Skeleton, share: number): void {
  for (;;) {
    const ends = endsAt(skeleton);
    const short = [...skeleton.branches]
      .filter(({ a, b }) => a !== b && ends.get(a)!.length > 2 && ends.get(b)!.length > 2)
      .map((branch) => ({ branch, length: lengthOf(branch.places) }))
      .filter(({ branch, length }) => length < share * Math.max(branch.radii[0]!, branch.radii.at(-1)!))
      .sort((one, two) => one.length - two.length)[0];
    if (short === undefined) return;
    const { branch } = short;
    const middle = Math.floor(branch.places.length / 2);
    const place = branch.places[middle]!;
    const radius = Math.max(...branch.radii);
    skeleton.branches.delete(branch);
    skeleton.knots.set(branch.a, { place, radius });
    for (const other of [...skeleton.branches]) {
      const atA = [branch.a, branch.b].includes(other.a);
      const atB = [branch.a, branch.b].includes(other.b);
      if (!atA && !atB) continue;
      skeleton.branches.delete(other);
      skeleton.branches.add({
        a: atA ? branch.a : other.a,
        b: atB ? branch.a : other.b,
        places: [...(atA ? [place] : []), ...other.places, ...(atB ? [place] : [])],
        radii: [...(atA ? [radius] : []), ...other.radii, ...(atB ? [radius] : [])],
      });
    }
    skeleton.knots.delete(branch.b);
  }
}
