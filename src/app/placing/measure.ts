import {
  degreesOf,
  designOutline,
  type DesignPose,
  enteredSetting,
  type ExpectedError,
  fieldRoom,
  judgeError,
  laserSetting,
  nudged,
  placeByTape,
  placeFromPhoto,
  posed,
  radiansOf,
  wrappedRad,
} from "#core/placing";
import type { Store } from "#store";
import type { MachineGround, RunGround } from "./ground";
import type { Marks } from "./placings";
import { atPlace, type PlacingResult } from "./records";
import { insidePhoto, type Placed, seenOf, TOUCH_MM } from "./marks";
import { registeredRun } from "./register";
import { type SeenHoop, seenHoop } from "./see";
import { withFoundLines } from "./touch-spread";
import { remainingStitches } from "./sewing";

/** From marks to numbers, all by core/placing: where the design goes, how sure that is, what the machine can take. */

interface MeasureAsked {
  readonly ground: RunGround;
  readonly on: MachineGround;
  readonly marks: Marks;
}

/** What a run's marks say. @throws Refusals of core/placing and of this room, in words about the marks. */
export async function measuredRun(db: Store["db"], asked: MeasureAsked): Promise<PlacingResult> {
  const { ground, on, marks } = asked;
  const seen = await seenHoop(db, ground, marks.seen);
  const placed =
    marks.kind === "first" ? placedFirst(ground, marks, seen) : registeredRun(ground, marks, seen);
  return judged({ ground, on, marks, placed, seen });
}

type FirstMarks = Extract<Marks, { kind: "first" }>;

function placedFirst(ground: RunGround, marks: FirstMarks, seen: SeenHoop): Placed {
  const rule = marks.by === "place" ? atPlace(ground.rule.rule) : ground.rule.rule;
  const asked = { rule, top: marks.top, outline: ground.outline };
  const places =
    seen.way === "tape"
      ? placeByTape({
          ...asked,
          marks: marks.touches.map(({ kind, readings }) => ({ kind, distances: readings })),
          innerWidthMm: seen.innerWidthMm,
          innerHeightMm: seen.innerHeightMm,
          readMm: seen.spreadMm,
        })
      : placeFromPhoto({
          ...asked,
          view: seen.view,
          marks: marks.touches.map(({ kind, points }) => ({
            kind,
            pointsPx: insidePhoto(points, seen.photo),
          })),
          touchMm: TOUCH_MM,
        });
  const uncertain = nudged(
    seen.way === "photo" ? withFoundLines(places, seen, { ...asked, marks: marks.touches }) : places,
    {
      xMm: marks.nudge.xMm,
      yMm: marks.nudge.yMm,
      turnRad: radiansOf(marks.nudge.deg),
    },
  );
  return { uncertain, ...(seen.way === "tape" ? NOTHING_SEEN : seenOf(seen.view)), remains: null };
}

const NOTHING_SEEN = { residuals: [], findings: [], view: null };

/** Angles of an upright design by which way the cloth's upper end lies. */
const UPRIGHT_DEG = { away: 0, left: 90, near: 180, right: -90 } as const;

interface Judging extends MeasureAsked {
  readonly placed: Placed;
  readonly seen: SeenHoop;
}

function judged({ ground, on, marks, placed, seen }: Judging): PlacingResult {
  const { uncertain, view } = placed;
  const { pose } = uncertain;
  const { rule } = ground;
  const outline = outlineToSew(ground, placed.remains);
  const sure = judgeError(uncertain, outline, rule.tolerance);
  const { roomMm, findings } = roomOf({ ...ground, outline }, on, pose);
  const straight = marks.kind === "first" ? UPRIGHT_DEG[marks.top] + rule.rule.turnDeg : nearestQuarter(pose);
  const { left, right, bottom, top } = ground.extentsMm;
  const middle = posed(pose, { xMm: (left + right) / 2, yMm: (bottom + top) / 2 });
  return {
    pose: { xMm: pose.xMm, yMm: pose.yMm, deg: degreesOf(wrappedRad(pose.angleRad)) },
    cloth: {
      deg: degreesOf(wrappedRad(pose.angleRad - radiansOf(straight))),
      xMm: middle.xMm,
      yMm: middle.yMm,
    },
    error: {
      mm: sure.expected.mm,
      degrees: sure.expected.degrees,
      shares: sure.expected.shares.filter(({ share }) => share > 0).map((one) => ({ ...one })),
    },
    tolerance: rule.tolerance,
    sure: sure.enough,
    advice: marks.seen.way === "tape" && !sure.enough ? [BY_TAPE] : [...sure.advice],
    residuals: placed.residuals,
    view: view && { tiltDeg: view.tiltDeg, distanceMm: view.distanceMm, noisePx: view.noisePx },
    height: seen.way === "photo" ? seen.height : null,
    room: { leftMm: roomMm.left, rightMm: roomMm.right, nearMm: roomMm.near, farMm: roomMm.far },
    ways: waysOf({
      pose,
      outline,
      steps: on.steps,
      linesUpBy: on.machine.linesUpBy,
      expected: sure.expected,
      allowed: rule.tolerance,
    }),
    remains: placed.remains,
    findings: [...placed.findings, ...findings].map((one) => ({ ...one })) as PlacingResult["findings"],
  };
}

/** Of a second run only what remains is turned, lined up and held against the field. */
const outlineToSew = (ground: RunGround, remains: Placed["remains"]): RunGround["outline"] =>
  remains === null
    ? ground.outline
    : designOutline(remainingStitches(ground.design, remains.lastGoodStitch).stitches);

/** A piece taken up again lies as it lay, up to how crooked it was hooped: the nearest quarter turn is straight. */
const nearestQuarter = ({ angleRad }: DesignPose): number => 90 * Math.round(degreesOf(angleRad) / 90);

function roomOf({ hoop, outline }: RunGround, { machine, steps }: MachineGround, pose: DesignPose) {
  const field = {
    fieldWidthMm: Math.min(machine.fieldWidthMm, hoop?.fieldWidthMm ?? Infinity),
    fieldHeightMm: Math.min(machine.fieldHeightMm, hoop?.fieldHeightMm ?? Infinity),
  };
  return fieldRoom({ pose, outline, ...field, footMm: steps.footMarginMm });
}

interface WaysAsked {
  readonly pose: DesignPose;
  readonly outline: RunGround["outline"];
  readonly steps: MachineGround["steps"];
  readonly linesUpBy: MachineGround["machine"]["linesUpBy"];
  readonly expected: ExpectedError;
  readonly allowed: PlacingResult["tolerance"];
}

/** By tape only the reading itself is uncertain. */
const BY_TAPE =
  "measuring at places further apart, at more of them, or reading to half a millimetre; a photo is surer than a tape";

/** The machine file's unit is a tenth: no stitch is off its place by more than half of one in each direction. */
const ROUNDING_MM = 0.05 * Math.SQRT2;

/** Each way to tell the machine, with what it adds to the error: by its steps, or by how well a cross is set. */
function waysOf({ pose, outline, steps, linesUpBy, expected, allowed }: WaysAsked): PlacingResult["ways"] {
  const way = (
    give: PlacingResult["ways"][number]["give"],
    { mm, degrees }: { readonly mm: number; readonly degrees: number },
    own: Partial<PlacingResult["ways"][number]> = {},
  ): PlacingResult["ways"][number] => {
    const isSure = mm <= allowed.mm && degrees <= allowed.degrees;
    return {
      give,
      errorMm: mm,
      errorDeg: degrees,
      able: true,
      sure: isSure,
      why: isSure ? "" : "That is more than the product allows.",
      enter: null,
      laser: null,
      ...own,
    };
  };
  const file = way("file", { mm: expected.mm + ROUNDING_MM, degrees: expected.degrees });
  const { angleStepDeg, shiftStepMm } = steps;
  const setting =
    shiftStepMm === null
      ? null
      : enteredSetting(pose, outline, { angleDeg: angleStepDeg ?? 0, shiftMm: shiftStepMm });
  const enter = setting
    ? way(
        "enter",
        { mm: expected.mm + setting.leftOver.mm, degrees: expected.degrees + setting.leftOver.degrees },
        { enter: { angleDeg: setting.angleDeg, shiftXMm: setting.xMm, shiftYMm: setting.yMm } },
      )
    : way("enter", expected, {
        able: false,
        sure: false,
        why: "This machine takes no shift: have the file made anew.",
      });
  const { start, check, checkInDesign, leverMm } = laserSetting(pose, outline, steps.laserSpreadMm);
  // The file is turned; the cross sets where it starts, and at the far place it proves the angle.
  const cross = 1.96 * Math.SQRT2 * steps.laserSpreadMm;
  const laser = way(
    "laser",
    { mm: Math.hypot(expected.mm, cross) + ROUNDING_MM, degrees: expected.degrees },
    { laser: { start, check, checkInDesign, leverMm } },
  );
  const hasCross = linesUpBy === "laser";
  return [
    file,
    enter,
    hasCross
      ? laser
      : {
          ...laser,
          able: false,
          sure: false,
          why: "This machine has no laser cross: have the file made anew.",
        },
  ];
}
