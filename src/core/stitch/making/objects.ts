import { boxOfRings } from "../rings";
import type { Place } from "../spine";
import { type MakingObject, type MakingPart, movedObject } from "./making";

/** Single objects of a part: where each lies, which one is meant, and one moved, turned or sized by itself. */

export interface ObjectBox {
  readonly left: number;
  readonly right: number;
  readonly bottom: number;
  readonly top: number;
}

/** What a person has done with one object; turned and sized about its own middle. */
export interface ObjectChange {
  readonly shiftMm: Place;
  readonly turnDeg: number;
  /** 1 leaves it as large as it is. */
  readonly factor: number;
  readonly leaveOut: boolean;
}

/** The box of an object's geometry in mm: of a fill its edge, of satin and runs the line along their middle. */
export function boxOfObject(object: MakingObject): ObjectBox {
  if (object.sew === "fill") return boxOfRings(object.rings);
  if (object.sew === "satin" && object.clip) return boxOfRings(object.clip);
  return boxOfRings((object.sew === "satin" ? object.strokes : object.lines).map(({ places }) => places));
}

/** The object with its change, about the middle of its own box. Stitch length and density stay. */
export function changedObject(object: MakingObject, change: ObjectChange): MakingObject {
  const { shiftMm, turnDeg, factor } = change;
  if (turnDeg === 0 && factor === 1 && shiftMm[0] === 0 && shiftMm[1] === 0) return object;
  const { left, right, bottom, top } = boxOfObject(object);
  const [midX, midY] = [(left + right) / 2, (bottom + top) / 2];
  const angle = (turnDeg * Math.PI) / 180;
  const [cos, sin] = [factor * Math.cos(angle), factor * Math.sin(angle)];
  const to = ([x, y]: Place): Place => [
    midX + cos * (x - midX) - sin * (y - midY) + shiftMm[0],
    midY + sin * (x - midX) + cos * (y - midY) + shiftMm[1],
  ];
  return movedObject(object, { to, factor, turnDeg });
}

/** The part with changes by object; those left out are not in it. */
export function changedObjects(part: MakingPart, changes: ReadonlyMap<number, ObjectChange>): MakingPart {
  if (changes.size === 0) return part;
  return {
    ...part,
    objects: part.objects.flatMap((object, index) => {
      const change = changes.get(index);
      if (!change) return [object];
      return change.leaveOut ? [] : [changedObject(object, change)];
    }),
  };
}

/**
 * Which of the boxes is meant by a remembered one, when the design has been made again and may differ a little: the
 * one whose farthest edge lies nearest. -1 where none comes within `reachMm`.
 */
export function nearestBox(boxes: readonly ObjectBox[], wanted: ObjectBox, reachMm: number): number {
  let [best, least] = [-1, reachMm];
  boxes.forEach((box, index) => {
    const off = Math.max(
      Math.abs(box.left - wanted.left),
      Math.abs(box.right - wanted.right),
      Math.abs(box.bottom - wanted.bottom),
      Math.abs(box.top - wanted.top),
    );
    if (off < least) [best, least] = [index, off];
  });
  return best;
}
