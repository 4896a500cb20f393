import { Refusal } from "#core/base";
import {
  type ClothHeight,
  clothHeight,
  type HeightPhoto,
  type HoopView,
  type LensBelief,
  type TaughtHoop,
  viewHoop,
} from "#core/placing";
import { insidePhoto } from "./marks";
import type { Marks } from "./placings";
import type { PlacingResult } from "./records";

/**
 * The cloth's height by a second photo from another side, in which the places of the first were touched again. Where
 * the two tell it, place and stated error rest on it; where they do not meet, the first photo's answer stands and it is
 * said why.
 */

type SeenMarkers = Extract<Marks["seen"], { way: "markers" }>;
type SecondPhoto = NonNullable<SeenMarkers["second"]>;
type OnePhoto = Pick<SecondPhoto, "photo" | "focal35Mm" | "markers">;
type Height = NonNullable<PlacingResult["height"]>;
type NotTold = Pick<Height, "state" | "why"> & Partial<Pick<Height, "wrongPlace">>;

/** The view of a hoop with what a second photo, if there is one, makes of it. */
export interface SeenTwice {
  readonly view: HoopView;
  readonly height: Height | null;
}

interface TwiceAsked {
  readonly taught: TaughtHoop;
  readonly seen: SeenMarkers;
  readonly beliefOf: (photo: OnePhoto) => LensBelief;
}

/**
 * One place as it was touched in both photos, standard deviation in each direction and photo, mm on the cloth: what the
 * first photo shows under its cross is looked for in the second, so what was meant does not come in (our own reckoning).
 */
const FOUND_AGAIN_MM = 0.3;
/** Degrees of freedom that this weighs beside how far the sights pass each other, as touches do in core/placing. */
const USUAL_FREEDOM = 16;
/**
 * Each hooping's cloth lies a little differently, however well it was measured when the hoop was taught: what was taught
 * counts as a measurement of this standard deviation at least, and not at all where the photos plainly say otherwise.
 */
const EACH_HOOPING_MM = 0.5;
/** Further apart than so many standard deviations, photos and belief are not averaged. */
const FAR = 2;
/** The photos are first asked alone: any height will do, with this standard deviation. */
const ANY_HEIGHT_MM = 20;
/** Less of the belief's error taken away than this share is not worth telling. */
const LITTLE = 0.1;
/** 95 % of a normal law lie within so many standard deviations. */
const STATED = 1.96;

/** @throws Refusals of core/placing about the first photo; placing-marks-invalid for touches outside a photo. */
export function seenTwice(asked: TwiceAsked): SeenTwice {
  const { taught, seen, beliefOf } = asked;
  const view = viewHoop(taught, seen.markers, beliefOf(seen));
  if (seen.second === null) return { view, height: null };
  const height = heightBy(asked, seen.second);
  if (height.state !== "told") return { view, height };
  const { clothBelowMm, plusMinusMm } = height;
  const told = { ...taught, clothBelowMm, clothBelowSpreadMm: plusMinusMm / STATED };
  return { view: viewHoop(told, seen.markers, beliefOf(seen)), height };
}

function heightBy({ taught, seen, beliefOf }: TwiceAsked, second: SecondPhoto): Height {
  const { clothBelowMm: believedMm, clothBelowSpreadMm: spreadMm } = taught;
  const count = second.places.length;
  const believed = { believedMm, believedPlusMinusMm: STATED * spreadMm, places: count };
  const notTold = (why: NotTold): Height => ({
    ...believed,
    clothBelowMm: believedMm,
    plusMinusMm: STATED * spreadMm,
    wrongPlace: null,
    ...why,
  });
  const loose = { ...taught, clothBelowSpreadMm: ANY_HEIGHT_MM };
  const [inFirst, inSecond] = [second.places.map((one) => one.first), second.places.map((one) => one.second)];
  for (const { cornersPx } of second.markers) insidePhoto(cornersPx, second.photo);
  insidePhoto([...inFirst], seen.photo);
  insidePhoto([...inSecond], second.photo);
  const other = unlessRefused(() => viewHoop(loose, second.markers, beliefOf(second)));
  if (other instanceof Refusal) return notTold({ state: "unusable", why: other.message });
  const photos: HeightPhoto[] = [
    { view: viewHoop(loose, seen.markers, beliefOf(seen)), placesPx: inFirst },
    { view: other, placesPx: inSecond },
  ];
  const found = unlessRefused(() => clothHeight(photos, FOUND_AGAIN_MM));
  if (found instanceof Refusal)
    return notTold({ state: "apart", why: found.message, wrongPlace: oneWrong(photos) });
  const { clothBelowMm, aloneSpreadMm, spreadMm: toldSpreadMm, isFar } = pooled(taught, found, count);
  if (isFar && count === 1) return notTold({ state: "little", why: saysAlone(clothBelowMm, believedMm) });
  if (!isFar && toldSpreadMm > (1 - LITTLE) * spreadMm)
    return notTold({ state: "little", why: tellsLittle(aloneSpreadMm, spreadMm) });
  const plusMinusMm = STATED * toldSpreadMm;
  return { ...believed, state: "told", clothBelowMm, plusMinusMm, wrongPlace: null, why: "" };
}

/** What the photos say together with what was taught, weighed by their variances; alone where the two are far apart. */
function pooled(taught: TaughtHoop, found: ClothHeight, places: number) {
  const { clothBelowMm } = found;
  const alone = found.clothBelowSpreadMm * roughness(found, places);
  const believed = Math.max(taught.clothBelowSpreadMm, EACH_HOOPING_MM);
  const offMm = clothBelowMm - taught.clothBelowMm;
  const both = Math.hypot(alone, believed);
  if (Math.abs(offMm) > FAR * both)
    return { clothBelowMm, aloneSpreadMm: alone, spreadMm: alone, isFar: true } as const;
  return {
    clothBelowMm: taught.clothBelowMm + offMm * (believed / both) ** 2,
    aloneSpreadMm: alone,
    spreadMm: (alone * believed) / both,
    isFar: false,
  } as const;
}

/** So many times as rough as usual the touches were, by how far their sights pass each other; never less. */
function roughness({ leftMm }: ClothHeight, places: number): number {
  const freedom = 2 * places - 1;
  const told = (USUAL_FREEDOM + freedom * (leftMm / FOUND_AGAIN_MM) ** 2) / (USUAL_FREEDOM + freedom);
  return Math.max(1, Math.sqrt(told));
}

const tellsLittle = (foundMm: number, believedMm: number): string =>
  `These touches tell the height to ±${(STATED * foundMm).toFixed(1)} mm, and it is believed to ±${(STATED * believedMm).toFixed(1)} mm already: more places tell it better, and a photo that looks more from the other side.`;

/** A wrong touch and cloth that lies otherwise look alike from one place. */
const saysAlone = (foundMm: number, believedMm: number): string =>
  `One place alone says that the cloth lies ${foundMm.toFixed(1)} mm under the markers, where ${believedMm.toFixed(1)} mm was taught: touch another place too, so that a wrong touch shows.`;

/** Which place, from 1, the others agree without; null where that is none or not one alone. */
function oneWrong(photos: readonly HeightPhoto[]): number | null {
  const count = photos[0]!.placesPx.length;
  if (count < 3) return null;
  const without = (left: number): readonly HeightPhoto[] =>
    photos.map(({ view, placesPx }) => ({ view, placesPx: placesPx.filter((_, i) => i !== left) }));
  const agreeing = Array.from({ length: count }, (_, i) => i).filter(
    (i) => !(unlessRefused(() => clothHeight(without(i), FOUND_AGAIN_MM)) instanceof Refusal),
  );
  return agreeing.length === 1 ? agreeing[0]! + 1 : null;
}

function unlessRefused<T>(work: () => T): T | Refusal {
  try {
    return work();
  } catch (reason) {
    if (reason instanceof Refusal) return reason;
    throw reason;
  }
}
