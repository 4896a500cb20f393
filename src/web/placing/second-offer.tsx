import { Button } from "@mantine/core";
import type { Result } from "./marks";
import {
  type Height,
  heightShare,
  heightWords,
  isFarFromBelieved,
  touchedInBoth,
  wantsSecond,
} from "./second-photo";
import type { Place } from "./use-place";
import "./second.css";

/** Beside the answer: that a second photo would make it surer, or what one has said. Only where the hoop has markers. */
export function SecondOffer({ place, result }: { readonly place: Place; readonly result: Result }) {
  const { second, way, cloth } = place;
  if (way !== "markers" || !cloth) return null;
  const go = () => {
    second.goOn();
    place.setStep("second");
  };
  const { height } = result;
  if (height)
    return (
      <section className="place-second" aria-label="The second photo">
        <HeightSaid height={height} wrong={wrongPlaceOf(place, height)} />
        <div className="place-acts">
          <Button size="md" variant="default" onClick={go}>
            {height.state === "told" ? "Look at its places" : "Touch its places again"}
          </Button>
          <Button size="md" variant="subtle" onClick={second.leaveOut}>
            Leave the second photo out
          </Button>
        </div>
      </section>
    );
  return <Offer result={result} isBegun={second.photo !== null} onGo={go} />;
}

function Offer({
  result,
  isBegun,
  onGo,
}: {
  readonly result: Result;
  readonly isBegun: boolean;
  readonly onGo: () => void;
}) {
  const isWanted = wantsSecond(result);
  const percent = Math.round(100 * heightShare(result));
  return (
    <section className={`place-second ${isWanted ? "place-second-wanted" : ""}`} aria-label="A second photo">
      {isWanted && <h2>A second photo, from the other side, makes this surer</h2>}
      <p className={isWanted ? "" : "quiet"}>
        {isWanted
          ? `${percent} % of this error is how far the cloth lies under the markers, which is only believed. Leave hoop and cloth as they are, take one more photo from the other side and touch the same places in it.`
          : `A second photo, from the other side, measures how far the cloth lies under the markers: ${percent < 1 ? "hardly any" : `${percent} %`} of this error.`}
      </p>
      <Button size={isWanted ? "lg" : "md"} variant={isWanted ? "outline" : "default"} onClick={onGo}>
        {isBegun ? "Go on with the second photo" : "Take a second photo"}
      </Button>
    </section>
  );
}

const heads: Readonly<Record<Exclude<Height["state"], "told">, string>> = {
  little: "The second photo tells too little yet",
  apart: "The two photos do not meet",
  unusable: "The hoop is not seen well enough in the second photo",
};

const whatHelps: typeof heads = {
  little: "Touch more places in both.",
  apart: "Touch them again, or take the second photo anew.",
  unusable: "Take it anew, with all markers in sight.",
};

/** What the second photo said of the cloth's height, or why the first one's answer stands. */
export function HeightSaid({
  height,
  wrong,
}: {
  readonly height: Height;
  /** The place, from 0, without which the others agree. */
  readonly wrong: number | null;
}) {
  if (height.state !== "told")
    return (
      <div className="place-trouble" role="status">
        <b>{heads[height.state]}</b>
        <p>{height.why}</p>
        {wrong !== null && <p>Without place {wrong + 1} the others agree.</p>}
        <p>{whatHelps[height.state]} Until then the first photo’s answer stands.</p>
      </div>
    );
  return (
    <div className="place-error" role="status">
      <p>
        <b>{heightWords(height)}</b>
      </p>
      <p className="quiet">
        From {height.places === 1 ? "one place" : `${height.places} places`} in both photos; taught with the
        hoop: {height.believedMm.toFixed(1)} mm, ±{height.believedPlusMinusMm.toFixed(1)} mm.
      </p>
      {isFarFromBelieved(height) && (
        <p>
          That is far from what was taught. Look at the cloth: does it lie so? A hoop whose markers were stuck
          on anew is taught again.
        </p>
      )}
    </div>
  );
}

/** Which place of the list the program names as the wrong one; null where it names none. */
export function wrongPlaceOf({ second }: Place, height: Height | null): number | null {
  if (height === null || height.wrongPlace === null || !second.photo) return null;
  return touchedInBoth(second.photo.places)[height.wrongPlace - 1] ?? null;
}
