import type { Answer, Asked, Rows } from "#contract";
import { type HoopView, placeInPhoto, type PointMm, type PointPx } from "#core/placing";

/** What a person has touched so far, and the request it makes. Plain values; mm in the hoop's plane. */

export type Known = Answer<"knownForPlacing">;
export type Result = Answer<"previewPlacing">;
export type Placing = Answer<"keepPlacing">;
export type Marks = Asked<Rows["previewPlacing"]>["body"];
export type Touch = Known["rule"]["touch"][number];
export type MarkKind = Touch["oneOf"][number];
export type Side = "left" | "far" | "right" | "near";
export const SIDES: readonly Side[] = ["left", "far", "right", "near"];
export type Give = Result["ways"][number]["give"];

/** How kinds of marks are called on the page. */
export const kindWords: Readonly<Record<MarkKind, string>> = {
  "centre line": "centre line",
  "collar seam": "collar seam",
  "shoulder seam": "shoulder seam at the neck",
  hem: "hem",
  edge: "edge",
  stripe: "stripe",
  area: "area",
  place: "place of the design",
};

/** One thing the rule asks for, as far as it was touched. */
export interface Mark {
  readonly asked: Touch;
  readonly kind: MarkKind;
  readonly points: readonly PointMm[];
  /** Where the fingers were before the line was moved onto its edge; null where nothing was moved. */
  readonly touched: readonly PointMm[] | null;
  /** How well a line is known that was found in the picture; null where the fingers' places count. */
  readonly found: FoundLine | null;
}

/** Standard errors of a line found in the picture: across it at its middle, and of its direction. */
export interface FoundLine {
  readonly placeMm: number;
  readonly turnRad: number;
}

/** By the product's rule, or by a touched place where what it is measured from lies outside the hoop. */
export type By = "rule" | "place";

export const askedFor = (rule: Known["rule"], by: By): readonly Touch[] =>
  by === "rule" ? rule.touch : rule.touchPlace;

export const freshMarks = (rule: Known["rule"], by: By = "rule"): Mark[] =>
  askedFor(rule, by).map((asked) => ({
    asked,
    kind: asked.oneOf[0]!,
    points: [],
    touched: null,
    found: null,
  }));

/** Kinds that are one line by two places. */
const LINES: ReadonlySet<MarkKind> = new Set(["centre line", "hem", "edge", "stripe"]);
export const isLine = (kind: MarkKind): boolean => LINES.has(kind);

/** The most places of a kind: an area may have more corners, a curved collar more places. */
export const mostPoints = ({ kind }: Mark): number =>
  kind === "place" ? 1 : kind === "area" ? 8 : kind === "collar seam" ? 5 : kind === "shoulder seam" ? 1 : 2;

export const leastPoints = ({ asked, kind }: Mark): number =>
  kind === "shoulder seam" || kind === "place" ? 1 : Math.max(asked.leastPoints, kind === "area" ? 3 : 2);

export const isTouched = (mark: Mark): boolean => mark.points.length >= leastPoints(mark);

/** Whether everything the rule cannot do without was touched. */
export const isComplete = (marks: readonly Mark[]): boolean =>
  marks.every((mark) => isTouched(mark) || (mark.asked.optional && mark.points.length === 0));

/** The mark to touch next: the first that is begun or wanted and not done; null when all are. */
export function nextMark(marks: readonly Mark[], skipped: ReadonlySet<number>): number | null {
  const at = marks.findIndex((mark, i) => !isTouched(mark) && !(mark.asked.optional && skipped.has(i)));
  return at < 0 ? null : at;
}

/** "0.8 mm over on the left": sides where the field fails; empty where it holds. */
export function overWords(room: Result["room"]): string[] {
  return roomSides(room)
    .filter(({ mm }) => mm < 0)
    .map(({ side, mm }) => `${(-mm).toFixed(1)} mm over on the ${side}`);
}

export const roomSides = (
  room: Result["room"],
): readonly { readonly side: string; readonly mm: number }[] => [
  { side: "left", mm: room.leftMm },
  { side: "right", mm: room.rightMm },
  { side: "near side", mm: room.nearMm },
  { side: "far side", mm: room.farMm },
];

/** "±0.6 mm, ±0.3°" with as many digits as mean something. */
export const errorWords = (mm: number, degrees: number): readonly [string, string] => [
  `±${mm.toFixed(mm < 10 ? 1 : 0)} mm`,
  `±${degrees.toFixed(degrees < 1 ? 2 : 1)}°`,
];

/** Less than this reads as nothing: machines and eyes go by tenths. */
const NOTHING_MM = 0.05;

/** A shift read by a person at the machine: which way and how far. */
export function shiftWords(xMm: number, yMm: number): string {
  const across =
    Math.abs(xMm) < NOTHING_MM ? "" : `${Math.abs(xMm).toFixed(1)} mm to the ${xMm > 0 ? "right" : "left"}`;
  const along =
    Math.abs(yMm) < NOTHING_MM
      ? ""
      : `${Math.abs(yMm).toFixed(1)} mm ${yMm > 0 ? "away from you" : "towards you"}`;
  return [across, along].filter(Boolean).join(", ") || "no shift";
}

/** "3.2 mm to the left from the field’s centre": where a place of the field is. */
export const fromCentreWords = (xMm: number, yMm: number): string =>
  Math.max(Math.abs(xMm), Math.abs(yMm)) < NOTHING_MM
    ? "on the field’s centre"
    : `${shiftWords(xMm, yMm)} from the field’s centre`;

/** "1.8° to the left": counter-clockwise as it is seen from above. */
export const turnWords = (deg: number): string =>
  Math.abs(deg) < 0.005 ? "no turn" : `${Math.abs(deg).toFixed(2).replace(/0$/, "")}° to the ${deg > 0 ? "left" : "right"}`; // prettier-ignore

/** Touched places in the photo; those the photo does not show are refused before they travel. */
export function inPhoto(view: HoopView, points: readonly PointMm[]): PointPx[] {
  return points.map((point) => {
    const at = placeInPhoto(view, point);
    if (at === null) throw new Error("A touched place lies outside the photo.");
    return at;
  });
}

/** From a touched place of the sewn part to where the fit puts it, drawn so many times as long. */
export function missArrow(
  touched: PointMm,
  design: PointMm,
  pose: Result["pose"],
  times: number,
): readonly [from: PointMm, to: PointMm] {
  const [cos, sin] = [Math.cos((pose.deg * Math.PI) / 180), Math.sin((pose.deg * Math.PI) / 180)];
  const xMm = pose.xMm + cos * design.xMm - sin * design.yMm;
  const yMm = pose.yMm + sin * design.xMm + cos * design.yMm;
  return [
    touched,
    { xMm: touched.xMm + (xMm - touched.xMm) * times, yMm: touched.yMm + (yMm - touched.yMm) * times },
  ];
}

/** The field the design must stay in: the least of the machine's and the hoop's, mm. */
export function fieldOf(
  machine: Known["machines"][number] | undefined,
  hoop: Known["hoop"],
): { readonly widthMm: number; readonly heightMm: number } {
  const widthMm = Math.min(machine?.fieldWidthMm ?? Infinity, hoop?.widthMm ?? Infinity);
  const heightMm = Math.min(machine?.fieldHeightMm ?? Infinity, hoop?.heightMm ?? Infinity);
  return {
    widthMm: Number.isFinite(widthMm) ? widthMm : 300,
    heightMm: Number.isFinite(heightMm) ? heightMm : 200,
  };
}

/** Seen round the field in the true-scale picture, mm: the hoop's rim and what hangs over it. */
const ROUND_FIELD_MM = 12;

/** What of the cloth is laid flat. */
export function areaOf(field: { readonly widthMm: number; readonly heightMm: number }) {
  const [x, y] = [field.widthMm / 2 + ROUND_FIELD_MM, field.heightMm / 2 + ROUND_FIELD_MM];
  return { leftMm: -x, rightMm: x, bottomMm: -y, topMm: y };
}
