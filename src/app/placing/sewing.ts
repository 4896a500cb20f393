import { type DesignPose, restartBefore } from "#core/placing";
import { countStitches, JUMP, STITCH, type Stitches, stitchExtents } from "#core/stitch";

/**
 * What placing does to stitches: turned and shifted as a whole, and the rest of a design after what is sewn. The
 * machine's file starts at the middle of the hoop's field, so a record stands at ten times its mm in the hoop's plane.
 */

/** Every record turned about the design's start and shifted, rounded once to whole tenths. */
export function posedStitches(design: Stitches, pose: DesignPose): Stitches {
  const cos = Math.cos(pose.angleRad);
  const sin = Math.sin(pose.angleRad);
  const x = new Int32Array(design.x.length);
  const y = new Int32Array(design.y.length);
  for (let i = 0; i < x.length; i++) {
    x[i] = Math.round(10 * pose.xMm + cos * design.x[i]! - sin * design.y[i]!);
    y[i] = Math.round(10 * pose.yMm + sin * design.x[i]! + cos * design.y[i]!);
  }
  return { kind: design.kind.slice(), x, y };
}

/** So much is sewn over again before the last good stitch (common practice, no source). */
const BACK_MM = 6;

export interface Remaining {
  readonly stitches: Stitches;
  /** The last good stitch (from 1), as it was said. */
  readonly lastGoodStitch: number;
  /** The design's stitch (from 1) it really begins with. */
  readonly fromStitch: number;
  /** The design's part (from 0) that is the first of what remains. */
  readonly firstPart: number;
  /** Stitches of each remaining part, the tie-in among them. */
  readonly partStitches: readonly number[];
  readonly trims: number;
}

/**
 * The rest of a design after its last good stitch (from 1): from a little before it, with a tie-in; parts sewn whole
 * are left out, their stops too.
 * @throws Refusal placing-stitch-unknown where the design has no such stitch.
 */
export function remainingStitches(design: Stitches, lastGoodStitch: number): Remaining {
  const { kind, x, y } = design;
  const { record, stitch, part, tieIn } = restartBefore(design, { stitch: lastGoodStitch, backMm: BACK_MM });
  const before = [
    [JUMP, x[record]!, y[record]!] as const,
    ...tieIn.map((at) => [STITCH, at.xTenths, at.yTenths] as const),
  ];
  const stitches = {
    kind: Uint8Array.from([...before.map((one) => one[0]), ...kind.subarray(record)]),
    x: Int32Array.from([...before.map((one) => one[1]), ...x.subarray(record)]),
    y: Int32Array.from([...before.map((one) => one[2]), ...y.subarray(record)]),
  };
  const { parts, trims } = countStitches(stitches);
  return {
    stitches,
    lastGoodStitch,
    fromStitch: stitch,
    firstPart: part,
    partStitches: parts.map((one) => one.stitches),
    trims,
  };
}

/** How far the stitches stay within a field about its middle, mm each way; negative where they leave it. */
export interface FieldRoom {
  readonly leftMm: number;
  readonly rightMm: number;
  readonly nearMm: number;
  readonly farMm: number;
}

/** The room between posed stitches and a field `widthMm × heightMm` less `marginMm` all round; null without stitches. */
export function roomIn(
  posed: Stitches,
  field: { readonly widthMm: number; readonly heightMm: number; readonly marginMm: number },
): FieldRoom | null {
  const box = stitchExtents(posed);
  if (box.right < box.left) return null;
  const [halfX, halfY] = [field.widthMm / 2 - field.marginMm, field.heightMm / 2 - field.marginMm];
  return {
    leftMm: box.left / 10 + halfX,
    rightMm: halfX - box.right / 10,
    nearMm: box.bottom / 10 + halfY,
    farMm: halfY - box.top / 10,
  };
}

export const leastRoomMm = (room: FieldRoom): number =>
  Math.min(room.leftMm, room.rightMm, room.nearMm, room.farMm);
