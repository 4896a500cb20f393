/**
 * What a machine can take of a placed design: a re-made file, or an angle and a shift in its own steps, or two places
 * for a laser cross. And whether the design stays in the field with room for the presser foot.
 */
import type { Finding } from "#core/base";
import { anchorOf } from "./placement-rule";
import { degreesOf, type DesignPose, type PointMm, posed, radiansOf, wrappedRad } from "./points";
import { refusePlacing } from "./refusals";

/**
 * The pose as one change of a design's file: turned by so many degrees counter-clockwise about a place (tenths of mm;
 * it need not be whole), or for a pose without a turn shifted. Every record is worked out from its first place and rounded once, so that no rounding adds up.
 */
export type RemadeFile =
  | {
      readonly how: "turn";
      readonly degrees: number;
      readonly about: { readonly x: number; readonly y: number };
    }
  | { readonly how: "shift"; readonly dxTenths: number; readonly dyTenths: number };

/** Turns under this move no stitch of the largest field by a hundredth of a tenth; they are shifts. */
const NO_TURN_RAD = 1e-7;

/** A turn and a shift together are one turn about the place that stays where it is. */
export function remadeFile({ xMm, yMm, angleRad }: DesignPose): RemadeFile {
  const turn = wrappedRad(angleRad);
  if (Math.abs(turn) < NO_TURN_RAD)
    return { how: "shift", dxTenths: Math.round(xMm * 10), dyTenths: Math.round(yMm * 10) };
  const half = 1 / Math.tan(turn / 2);
  return {
    how: "turn",
    degrees: degreesOf(turn),
    about: { x: 5 * (xMm - half * yMm), y: 5 * (yMm + half * xMm) },
  };
}

/** The steps in which a machine takes an angle and a shift. An angle step of 0: it cannot turn a design. */
export interface MachineSteps {
  readonly angleDeg: number;
  readonly shiftMm: number;
}

export interface EnteredSetting {
  readonly angleDeg: number;
  /** Of the design's middle, from the field's centre. */
  readonly xMm: number;
  readonly yMm: number;
  /** What rounding to the machine's steps leaves: the outline's worst place, and the angle. */
  readonly leftOver: { readonly mm: number; readonly degrees: number };
}

/** The angle and shift to enter at a machine that turns a design about the middle of its box. */
export function enteredSetting(
  pose: DesignPose,
  outline: readonly PointMm[],
  steps: MachineSteps,
): EnteredSetting {
  if (!(steps.shiftMm > 0 && steps.angleDeg >= 0))
    throw refusePlacing(
      "placing-value-invalid",
      `Steps of ${steps.shiftMm} mm and ${steps.angleDeg}° are none; a shift step over 0 is needed.`,
    );
  const middle = anchorOf(outline, "middle");
  const wanted = posed(pose, middle);
  const stepped = (value: number, step: number) => Math.round(value / step) * step;
  const turn = degreesOf(wrappedRad(pose.angleRad));
  const angleDeg = steps.angleDeg === 0 ? 0 : stepped(turn, steps.angleDeg);
  const [xMm, yMm] = [stepped(wanted.xMm, steps.shiftMm), stepped(wanted.yMm, steps.shiftMm)];
  const entered = poseAbout(middle, { xMm, yMm }, radiansOf(angleDeg));
  return {
    angleDeg,
    xMm,
    yMm,
    leftOver: { mm: worstMiss(pose, entered, outline), degrees: Math.abs(turn - angleDeg) },
  };
}

function poseAbout(from: PointMm, to: PointMm, angleRad: number): DesignPose {
  const moved = posed({ xMm: 0, yMm: 0, angleRad }, from);
  return { xMm: to.xMm - moved.xMm, yMm: to.yMm - moved.yMm, angleRad };
}

const worstMiss = (one: DesignPose, other: DesignPose, outline: readonly PointMm[]): number =>
  Math.max(
    ...outline.map((point) => {
      const [a, b] = [posed(one, point), posed(other, point)];
      return Math.hypot(a.xMm - b.xMm, a.yMm - b.yMm);
    }),
  );

export interface LaserSetting {
  /** Where the cross is set for the design's start, in the hoop's plane. */
  readonly start: PointMm;
  /** Where it must fall when the machine has moved to the design's far place. */
  readonly check: PointMm;
  /** That far place in the design, mm from its start. */
  readonly checkInDesign: PointMm;
  readonly leverMm: number;
  /** What a cross read to `crossMm` at both ends says of the angle, degrees at 95 %. */
  readonly angleDeg: number;
}

/** Two places for a laser cross: the design's start, and the outline's place farthest from it to check the angle. */
export function laserSetting(pose: DesignPose, outline: readonly PointMm[], crossMm: number): LaserSetting {
  const far = outline.reduce(
    (most, one) => (Math.hypot(one.xMm, one.yMm) > Math.hypot(most.xMm, most.yMm) ? one : most),
    { xMm: 0, yMm: 0 },
  );
  const leverMm = Math.hypot(far.xMm, far.yMm);
  return {
    start: { xMm: pose.xMm, yMm: pose.yMm },
    check: posed(pose, far),
    checkInDesign: far,
    leverMm,
    angleDeg: leverMm > 0 ? degreesOf(Math.atan((1.96 * Math.SQRT2 * crossMm) / leverMm)) : 180,
  };
}

export type FieldSide = "left" | "right" | "near" | "far";

export interface FieldRoom {
  /** Free between the design and the presser foot's limit, mm; negative: over it. */
  readonly roomMm: Readonly<Record<FieldSide, number>>;
  readonly findings: readonly Finding[];
}

export interface FieldAsked {
  readonly pose: DesignPose;
  readonly outline: readonly PointMm[];
  readonly fieldWidthMm: number;
  readonly fieldHeightMm: number;
  /** How far from the field's rim the needle must stay for the presser foot, mm. */
  readonly footMm: number;
}

const SIDE_WORDS: Readonly<Record<FieldSide, string>> = {
  left: "on the left",
  right: "on the right",
  near: "on the side towards you",
  far: "on the side away from you",
};

/** The room on each side, by the design's real outline where it lies, and a finding for each side it goes over. */
export function fieldRoom({ pose, outline, fieldWidthMm, fieldHeightMm, footMm }: FieldAsked): FieldRoom {
  const places = outline.map((point) => posed(pose, point));
  const [halfX, halfY] = [fieldWidthMm / 2 - footMm, fieldHeightMm / 2 - footMm];
  const least = (room: (at: PointMm) => number) => Math.min(...places.map(room));
  const roomMm: Record<FieldSide, number> = {
    left: least(({ xMm }) => xMm + halfX),
    right: least(({ xMm }) => halfX - xMm),
    near: least(({ yMm }) => yMm + halfY),
    far: least(({ yMm }) => halfY - yMm),
  };
  const findings = (Object.keys(roomMm) as FieldSide[])
    .filter((side) => roomMm[side] < -1e-9)
    .map((side): Finding => ({
      code: "placing-outside-field",
      level: "stop",
      message: `The design goes ${(-roomMm[side]).toFixed(1)} mm too far ${SIDE_WORDS[side]}: the needle must stay ${footMm} mm inside the ${fieldWidthMm} × ${fieldHeightMm} mm field for the presser foot.`,
      advice: "Hoop the piece again nearer to where the design belongs, or take a larger hoop.",
    }));
  return { roomMm, findings };
}
