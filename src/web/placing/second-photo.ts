import { degreesOf, type HoopView, type PointMm } from "#core/placing";
import type { AgainTouch } from "./body";
import { inPhoto, kindWords, type Mark, type Marks, type Result } from "./marks";
import type { ClothPicture, OpenedPhoto } from "./photo-messages";

/** A second photo from another side, and the places touched in both: what it asks of a person, and what it says. */

/** A place of the cloth: where the first picture shows it, and where the second does. Mm, each as its picture lies flat. */
export interface HeightPlace {
  readonly first: PointMm;
  readonly second: PointMm | null;
  /** "centre line, place 1". */
  readonly words: string;
}

export interface SecondPhoto {
  readonly opened: OpenedPhoto;
  readonly cloth: ClothPicture;
  readonly places: readonly HeightPlace[];
}

export type SecondBody = NonNullable<Extract<Marks["seen"], { way: "markers" }>["second"]>;
export type Height = NonNullable<Result["height"]>;

export const OWN_PLACE = "a place of my own";

/** What was touched in the first photo, as places to be touched again; those that fix a point before those on a line. */
export function placesOfMarks(marks: readonly Mark[]): HeightPlace[] {
  const all = marks.flatMap(({ kind, points }) =>
    points.map((first, i) => ({
      first,
      second: null,
      words: points.length > 1 ? `${kindWords[kind]}, place ${i + 1}` : kindWords[kind],
      isPoint: kind === "place" || kind === "area" || kind === "shoulder seam",
    })),
  );
  return [...all.filter((one) => one.isPoint), ...all.filter((one) => !one.isPoint)].map(
    ({ first, second, words }) => ({ first, second, words }),
  );
}

export const placesOfTouches = (touches: readonly AgainTouch[]): HeightPlace[] =>
  touches.flatMap(({ at }, i) =>
    at === null ? [] : [{ first: at, second: null, words: `place ${i + 1} of the design` }],
  );

/** Nothing that was touched is lost; what was touched in the first photo since comes to it. */
export function withFresh(kept: readonly HeightPlace[], fresh: readonly HeightPlace[]): HeightPlace[] {
  const isThere = ({ first }: HeightPlace, among: readonly HeightPlace[]) =>
    among.some((one) => Math.hypot(one.first.xMm - first.xMm, one.first.yMm - first.yMm) < 0.01);
  const stay = kept.filter((one) => one.second !== null || one.words === OWN_PLACE || isThere(one, fresh));
  return [...stay, ...fresh.filter((one) => !isThere(one, stay))];
}

type Touched = HeightPlace & { readonly second: PointMm };

/** Which places travel, by their number in the list: those that were touched in both. */
export const touchedInBoth = (places: readonly HeightPlace[]): number[] =>
  places.flatMap(({ second }, i) => (second === null ? [] : [i]));

/** The places touched in both photos as they travel, px of each. */
export function pairsInBoth(first: HoopView, { cloth, places }: SecondPhoto): SecondBody["places"] {
  const both = places.filter((one): one is Touched => one.second !== null);
  const [there, here] = [
    inPhoto(first, both.map((one) => one.first)),
    inPhoto(cloth.view, both.map((one) => one.second)),
  ]; // prettier-ignore
  return there.map((at, i) => ({ first: at, second: here[i]! }));
}

/** Which way a camera looks, in the hoop's axes: the third row of its turn, down where the last is negative. */
const sightOf = ({ pose }: Pick<HoopView, "pose">): readonly number[] => pose.rotation[2]!;

/** How far the sights of two photos are apart, degrees. */
export function sightsApartDeg(one: Pick<HoopView, "pose">, other: Pick<HoopView, "pose">): number {
  const [a, b] = [sightOf(one), sightOf(other)];
  const cos = a[0]! * b[0]! + a[1]! * b[1]! + a[2]! * b[2]!;
  return degreesOf(Math.acos(Math.min(1, Math.max(-1, cos))));
}

/** From nearer than this straight above, no side is to be named. */
const NO_SIDE_DEG = 8;

/** The picture's side that a photo was taken from and the one across from it; null from straight above. */
export function sidesOf(view: Pick<HoopView, "pose" | "tiltDeg">): readonly [string, string] | null {
  if (view.tiltDeg < NO_SIDE_DEG) return null;
  // A camera that looks towards +x stands on the left.
  const [x, y] = sightOf(view);
  if (Math.abs(x!) >= Math.abs(y!)) return x! > 0 ? ["left", "right"] : ["right", "left"];
  return y! > 0 ? ["near side", "far side"] : ["far side", "near side"];
}

/** Photos from nearly one side tell little: their sights meet at every height alike. */
export const FEW_APART_DEG = 20;

/** How much of the stated error is the cloth's height: a share of its square. */
export const heightShare = ({ error }: Result): number =>
  error.shares.find(({ source }) => source === "cloth height")?.share ?? 0;

/** Of an error that is too large, the height must be so much for a second photo to be worth its while. */
const WORTH_SHARE = 0.1;

/** Whether a second photo is what helps. */
export const wantsSecond = (result: Result): boolean =>
  heightShare(result) >= (result.sure ? 0.5 : WORTH_SHARE);

/** "The cloth lies 1.4 mm under the markers, ±0.1 mm." */
export function heightWords({ clothBelowMm, plusMinusMm }: Height): string {
  const where = clothBelowMm < 0 ? "over" : "under";
  return `The cloth lies ${Math.abs(clothBelowMm).toFixed(1)} mm ${where} the markers, ±${plusMinusMm.toFixed(1)} mm.`;
}

/** Whether the photos contradict what was taught with the hoop. */
export const isFarFromBelieved = ({ clothBelowMm, believedMm, believedPlusMinusMm }: Height): boolean =>
  Math.abs(clothBelowMm - believedMm) > Math.max(1, 1.5 * believedPlusMinusMm);
