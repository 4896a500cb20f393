import type { Finding } from "#core/base";
import {
  type ClothTop,
  degreesOf,
  type DesignPose,
  type HoopView,
  placeFromPhoto,
  placeOnCloth,
  type PointMm,
  registerPiece,
  stitchesAt,
  tapePlace,
  type TouchedPoint,
  type UncertainPose,
} from "#core/placing";
import type { RunGround } from "./ground";
import { insidePhoto, type Placed, remainsOf, seenOf, TOUCH_MM } from "./marks";
import type { Marks } from "./placings";
import { placingRefusals } from "./refusals";
import type { SeenHoop } from "./see";

/** Back onto a piece: touched places of the sewn part against the design, and where to start again. */

type AgainMarks = Extract<Marks, { kind: "again" }>;

export function registeredRun(ground: RunGround, marks: AgainMarks, seen: SeenHoop): Placed {
  const points = marks.touches.map((touch, at): TouchedPoint => ({
    design: touch.design,
    touched: touchedPlace(touch, at, seen),
  }));
  const registration = registerPiece(points, seen.way === "tape" ? seen.spreadMm : TOUCH_MM);
  const { pose, misses, wrongTouch } = registration;
  const ofView = seen.way === "tape" ? null : seenOf(seen.view);
  const uncertain =
    seen.way === "tape"
      ? registration
      : withView(registration, {
          view: seen.view,
          points,
          touches: marks.touches.map((one) => one.points[0]!),
        });
  const { remains, findings } = remainsFor(ground, marks, seen, pose);
  return {
    uncertain,
    view: ofView?.view ?? null,
    residuals: [
      ...(ofView?.residuals ?? []),
      ...misses.map(({ xMm, yMm }, at) => ({
        what: `Touch ${at + 1}`,
        offMm: Math.hypot(xMm, yMm),
        wrong: wrongTouch?.index === at,
      })),
    ],
    findings: [...(ofView?.findings ?? []), ...registration.findings, ...findings],
    remains,
  };
}

function touchedPlace(
  { points, readings }: AgainMarks["touches"][number],
  at: number,
  seen: SeenHoop,
): PointMm {
  if (seen.way === "photo") {
    const [point] = insidePhoto(points, seen.photo);
    if (!point) throw missing(at, "in the photo");
    return placeOnCloth(seen.view, point);
  }
  const [one, other] = readings;
  if (!one) throw missing(at, "by tape");
  const place = tapePlace(one, seen);
  // Two distances, one from a side and one from a side next to it, fix a place without measuring along.
  const isAcross = (from: string) => from === "left" || from === "right";
  if (!other || isAcross(one.from) === isAcross(other.from)) return place;
  const second = tapePlace(other, seen);
  return isAcross(one.from) ? { xMm: place.xMm, yMm: second.yMm } : { xMm: second.xMm, yMm: place.yMm };
}

const missing = (at: number, how: string) =>
  placingRefusals("placing-touch-missing", `Touch ${at + 1} has no place ${how}.`, [
    { field: `touches.${at}`, found: "none", expected: "one place" },
  ]);

interface ViewAsked {
  readonly view: HoopView;
  readonly points: readonly TouchedPoint[];
  readonly touches: AgainMarks["touches"][number]["points"];
}

/**
 * The registration with the camera's own errors. They move all touches together, as a turn and a shift that two touches
 * far apart show as well as many: the pose those two fix is carried through the view, source by source.
 */
function withView(registration: UncertainPose, { view, points, touches }: ViewAsked): UncertainPose {
  const [a, b] = farthest(points);
  const [from, to] = [points[a]!, points[b]!];
  const way = { x: to.touched.xMm - from.touched.xMm, y: to.touched.yMm - from.touched.yMm };
  const { pose } = registration;
  const upright = Math.atan2(-way.x, way.y);
  const shown = placeFromPhoto({
    view,
    rule: { rule: "at place", anchor: "middle", turnDeg: degreesOf(pose.angleRad - upright) },
    top: topOf(way),
    outline: [from.design, from.design],
    marks: [
      { kind: "place", pointsPx: [touches[a]!] },
      { kind: "centre line", pointsPx: [touches[a]!, touches[b]!] },
    ],
    touchMm: 0,
  });
  return {
    pose,
    spread: [...shown.spread.filter(({ source }) => source !== "touch"), ...registration.spread],
  };
}

function farthest(points: readonly TouchedPoint[]): [number, number] {
  let best: [number, number] = [0, 1];
  let most = -1;
  points.forEach(({ touched: one }, i) =>
    points.forEach(({ touched: other }, j) => {
      const apart = Math.hypot(one.xMm - other.xMm, one.yMm - other.yMm);
      if (i < j && apart > most) [best, most] = [[i, j], apart];
    }),
  );
  return best;
}

const topOf = ({ x, y }: { readonly x: number; readonly y: number }): ClothTop =>
  Math.abs(y) >= Math.abs(x) ? (y > 0 ? "away" : "near") : x > 0 ? "right" : "left";

function remainsFor(
  ground: RunGround,
  { restart }: AgainMarks,
  seen: SeenHoop,
  pose: DesignPose,
): { readonly remains: Placed["remains"]; readonly findings: readonly Finding[] } {
  if (restart === null) return { remains: null, findings: [] };
  if ("stitch" in restart)
    return { remains: remainsOf(ground, restart.stitch, []), findings: sewnFindings(ground) };
  const touched = "design" in restart ? restart.design : inDesign(pose, onCloth(restart.point, seen));
  const [meant, ...others] = stitchesAt(ground.design, touched, ground.design.kind.length);
  const orMeant = others.slice(0, 5).map(({ stitch, part, offMm }) => ({ stitch, part, offMm }));
  const ask: Finding[] =
    orMeant.length === 0
      ? []
      : [
          {
            code: "placing-stitch-ambiguous",
            level: "warning",
            message: `The needle passes there ${orMeant.length + 1} times; the last time at stitch ${meant!.stitch}, before that at ${orMeant.map((one) => one.stitch).join(", ")}.`,
            advice:
              "Look at the thread's colour and at what lies on top, and choose the stitch by its number.",
          },
        ];
  return { remains: remainsOf(ground, meant!.stitch, orMeant), findings: [...sewnFindings(ground), ...ask] };
}

function onCloth(point: { readonly xPx: number; readonly yPx: number }, seen: SeenHoop): PointMm {
  if (seen.way === "photo") {
    insidePhoto([point], seen.photo);
    return placeOnCloth(seen.view, point);
  }
  throw placingRefusals(
    "placing-touch-missing",
    "Without a photo the last good stitch cannot be touched in one: give its number, or touch it on the design.",
  );
}

function inDesign({ xMm, yMm, angleRad }: DesignPose, at: PointMm): PointMm {
  const [cos, sin] = [Math.cos(angleRad), Math.sin(angleRad)];
  const [x, y] = [at.xMm - xMm, at.yMm - yMm];
  return { xMm: cos * x + sin * y, yMm: cos * y - sin * x };
}

/** The plan knows only runs that are not sewn: one that was told as sewn must be told otherwise first. */
const sewnFindings = ({ job }: RunGround): Finding[] =>
  job.sewn === 0
    ? []
    : [
        {
          code: "placing-run-told-sewn",
          level: "warning",
          message: "The run was told as sewn, so the plan does not know of its second run.",
          advice:
            "Take the telling back at the station, or move the piece back to sewing; the file is ready either way.",
        },
      ];
