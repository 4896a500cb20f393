import { useState } from "react";
import type { PointMm } from "#core/placing";
import { unique } from "./body";
import { areaOf, type Known } from "./marks";
import type { PhotoDesk } from "./photo-desk";
import { type HeightPlace, OWN_PLACE, type SecondPhoto, withFresh } from "./second-photo";
import { useDeskWork } from "./use-photo";

interface SecondAsked {
  readonly known: Known;
  readonly phoneId: string | null;
  readonly taughtHoopId: string | null;
  readonly field: { readonly widthMm: number; readonly heightMm: number };
  /** What was touched in the first photo, as places to touch again. */
  readonly fresh: readonly HeightPlace[];
}

/** A second photo of the hoop and what was touched in it. The first one and its answer stay whatever becomes of it. */
export function useSecond(desk: PhotoDesk, { known, phoneId, taughtHoopId, field, fresh }: SecondAsked) {
  const { doing, trouble, setTrouble, work } = useDeskWork(desk);
  const [photo, setPhoto] = useState<SecondPhoto | null>(null);
  const [use, setUse] = useState<"counts" | "left out">("counts");

  /** Whether it could be used; what was there before stays where it could not. */
  const take = async (file: Blob): Promise<boolean> => {
    const taught = known.taughtHoops.find((one) => one.id === taughtHoopId)?.taught;
    if (!taught) return false;
    const measured = known.phones.find((one) => one.id === phoneId)?.lens ?? null;
    const opened = await work("open", { file, lens: measured, as: "second" }, "Opening the second photo");
    if (!opened) return false;
    const cloth = await work(
      "lay",
      {
        as: "second",
        lens: { measured, focal35Mm: opened.focal35Mm },
        areaMm: areaOf(field),
        by: { way: "markers", hoop: taught, seen: unique(opened.markers) },
      },
      "Reckoning how the hoop lies",
    );
    if (!cloth) return false;
    setUse("counts");
    // Another photo shows the same places elsewhere.
    setPhoto((before) => ({
      opened,
      cloth,
      places: withFresh(before?.places ?? [], fresh).map((one) => ({ ...one, second: null })),
    }));
    return true;
  };

  const change = (changed: (places: readonly HeightPlace[]) => readonly HeightPlace[]) =>
    setPhoto((now) => now && { ...now, places: changed(now.places) });

  return {
    photo,
    /** The photo that counts for the answer; one that was left out stays, to be gone on with. */
    counted: use === "counts" ? photo : null,
    doing,
    trouble,
    take,
    /** Taken up again: what was touched in the first photo meanwhile comes to the places. */
    goOn: () => {
      setUse("counts");
      change((places) => withFresh(places, fresh));
    },
    leaveOut: () => setUse("left out"),
    touch: (at: number, second: PointMm | null) =>
      change((places) => places.map((one, i) => (i === at ? { ...one, second } : one))),
    /** A place that was not touched before, in the first photo. */
    addPlace: (first: PointMm) => change((places) => [...places, { first, second: null, words: OWN_PLACE }]),
    movePlace: (at: number, first: PointMm) =>
      change((places) => places.map((one, i) => (i === at ? { ...one, first } : one))),
    takeAway: (at: number) => change((places) => places.filter((_, i) => i !== at)),
    forget: () => {
      setPhoto(null);
      setUse("counts");
      setTrouble(null);
    },
  } as const;
}

export type Second = ReturnType<typeof useSecond>;
