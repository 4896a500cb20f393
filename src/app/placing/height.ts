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
type Said = Pick<Height, "state" | "why"> & Partial<Pick<Height, "wrongPlace">>;

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
/** What photos that are asked alone are told of the height, standard deviation. */
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

function heightBy(asked: TwiceAsked, second: SecondPhoto): Height {
  const { taught } = asked;
  const photos = photosOf(asked, second);
  if (photos instanceof Refusal) return asTaught(taught, second, { state: "unusable", why: photos.message });
  const found = unlessRefused(() => clothHeight(photos, FOUND_AGAIN_MM));
  if (found instanceof Refusal)
    return asTaught(taught, second, { state: "apart", why: found.message, wrongPlace: oneWrong(photos) });
  const count = second.places.length;
  const { clothBelowMm, spreadMm, why } = pooled(taught, found, count);
  if (why !== "") return asTaught(taught, second, { state: "little", why });
  return {
    ...asTaught(taught, second, { state: "told", why: "" }),
    clothBelowMm,
    plusMinusMm: STATED * spreadMm,
  };
}

/** Both views with what was touched in each, asked alone: any height will do. The refusal where the second shows no hoop. */
function photosOf({ taught, seen, beliefOf }: TwiceAsked, second: SecondPhoto): HeightPhoto[] | Refusal {
  const loose = { ...taught, clothBelowSpreadMm: ANY_HEIGHT_MM };
  for (const { cornersPx } of second.markers) insidePhoto(cornersPx, second.photo);
  const [first, again] = [
    insidePhoto(
      second.places.map((one) => one.first),
      seen.photo,
    ),
    insidePhoto(
      second.places.map((one) => one.second),
      second.photo,
    ),
  ];
  const view = unlessRefused(() => viewHoop(loose, second.markers, beliefOf(second)));
  if (view instanceof Refusal) return view;
  return [
    { view: viewHoop(loose, seen.markers, beliefOf(seen)), placesPx: first },
    { view, placesPx: again },
  ];
}

/** What is said of the height as long as what was taught stands. */
function asTaught(taught: TaughtHoop, { places }: SecondPhoto, said: Said): Height {
  const [believedMm, believedPlusMinusMm] = [taught.clothBelowMm, STATED * taught.clothBelowSpreadMm];
  return {
    clothBelowMm: believedMm,
    plusMinusMm: believedPlusMinusMm,
    believedMm,
    believedPlusMinusMm,
    places: places.length,
    wrongPlace: null,
    ...said,
  };
}

/**
 * What the photos say together with what was taught, weighed by their variances; alone where the two are far apart.
 * `why` says why that is too little; empty where it is not.
 */
function pooled(taught: TaughtHoop, found: ClothHeight, places: number) {
  const { clothBelowMm: foundMm } = found;
  const { clothBelowMm: believedMm, clothBelowSpreadMm } = taught;
  const alone = found.clothBelowSpreadMm * roughness(found, places);
  const believed = Math.max(clothBelowSpreadMm, EACH_HOOPING_MM);
  const both = Math.hypot(alone, believed);
  if (Math.abs(foundMm - believedMm) > FAR * both) {
    const why = places === 1 ? saysAlone(foundMm, believedMm) : "";
    return { clothBelowMm: foundMm, spreadMm: alone, why };
  }
  const spreadMm = (alone * believed) / both;
  const isLittle = spreadMm > (1 - LITTLE) * clothBelowSpreadMm;
  return {
    clothBelowMm: believedMm + (foundMm - believedMm) * (believed / both) ** 2,
    spreadMm,
    why: isLittle ? tellsLittle(alone, clothBelowSpreadMm) : "",
  };
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
