import { CLOTHS } from "../cloth";
import { areaOfRings, boxOfRings, commonRings, type Rings, strokedRings } from "../rings";
import type { Making, MakingObject, MakingPart } from "./making";

/** What a person has set for one part; what is left out stays as it was proposed. */
export interface PartChange {
  readonly lines?: "rows" | "along the edge";
  readonly angleDeg?: number;
  readonly spacingMm?: number;
  readonly underlay?: "double" | "full" | "edge" | "none";
}

/** The part with its filled areas sewn as a person wants them; satin and runs follow their own shape and stay. */
export function changedPart(part: MakingPart, change: PartChange): MakingPart {
  if (Object.keys(change).length === 0) return part;
  return {
    ...part,
    objects: part.objects.map((object): MakingObject => (object.sew === "fill" ? { ...object, ...change } : object)), // prettier-ignore
  };
}

/**
 * The parts by names that stay when the design is made at another size: the colour, and `/2`, `/3` … where it is
 * sewn more than once.
 */
export function partNames({ parts }: Making): string[] {
  const times = new Map<string, number>();
  return parts.map(({ colour }) => {
    const time = (times.get(colour) ?? 0) + 1;
    times.set(colour, time);
    return time === 1 ? colour : `${colour}/${time}`;
  });
}

/** Two parts lie on one another where they share more than this. */
const SHARED_MM2 = 0.02;

/** For each part the earlier ones it lies on: those must stay before it. Given by their places in the making. */
export function partsBeneath(making: Making): number[][] {
  const pieces = making.parts.map((part) =>
    part.objects.map((object) => {
      const rings = ringsOf(object, making);
      return { rings, box: boxOfRings(rings) };
    }),
  );
  return pieces.map((upper, j) =>
    pieces.slice(0, j).flatMap((lower, i) => {
      const touches = upper.some((a) =>
        lower.some(
          (b) =>
            a.box.left <= b.box.right &&
            b.box.left <= a.box.right &&
            a.box.bottom <= b.box.top &&
            b.box.bottom <= a.box.top &&
            areaOfRings(commonRings(a.rings, b.rings)) > SHARED_MM2,
        ),
      );
      return touches ? [i] : [];
    }),
  );
}

/** What an object covers. */
function ringsOf(object: MakingObject, { cloth }: Making): Rings {
  if (object.sew === "fill") return object.rings;
  if (object.sew === "run") return strokedRings(object.lines, 0.4, "butt", "round");
  if (object.clip) return object.clip;
  const { pullMm } = CLOTHS[cloth];
  return object.strokes.flatMap((stroke) => {
    const half = typeof stroke.halfMm === "number" ? stroke.halfMm : Math.max(...stroke.halfMm);
    return strokedRings([{ places: stroke.places, closed: stroke.closed }], 2 * (half + pullMm), "butt", "round"); // prettier-ignore
  });
}

/**
 * The wanted order of parts as far as what lies on what allows: each takes its place, and waits for the parts beneath
 * it. `wanted` names places in the making; those it does not name come last, as proposed.
 */
export function allowedOrder(wanted: readonly number[], beneath: readonly (readonly number[])[]): number[] {
  const left = [...wanted.filter((part) => part in beneath), ...beneath.map((_, part) => part)];
  const waiting = [...new Set(left)];
  const order: number[] = [];
  while (waiting.length > 0) {
    const next = waiting.findIndex((part) => beneath[part]!.every((lower) => order.includes(lower)));
    order.push(...waiting.splice(Math.max(0, next), 1));
  }
  return order;
}
