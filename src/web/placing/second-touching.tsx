import { Button } from "@mantine/core";
import { useState } from "react";
import { Patch } from "./patch";
import type { ClothPicture } from "./photo-messages";
import { HeightSaid, wrongPlaceOf } from "./second-offer";
import { FEW_APART_DEG, type SecondPhoto, sightsApartDeg, touchedInBoth } from "./second-photo";
import { FirstPicture, Picking, SecondPlane } from "./second-planes";
import { TroubleNote } from "./trouble-note";
import type { Place } from "./use-place";

/** The same places in the second photo, one after another, with what they say of the cloth's height so far. */
export function SecondTouching({
  place,
  cloth,
  photo,
  onAnew,
}: {
  readonly place: Place;
  readonly cloth: ClothPicture;
  readonly photo: SecondPhoto;
  readonly onAnew: () => void;
}) {
  const { second, answer } = place;
  const { places } = photo;
  const done = touchedInBoth(places).length;
  const [chosen, setChosen] = useState(() =>
    Math.max(
      0,
      places.findIndex((one) => one.second === null),
    ),
  );
  const [isPicking, setPicking] = useState(false);
  const one = places[chosen];
  const next = places.findIndex((each, i) => i !== chosen && each.second === null);
  const height = done > 0 ? (answer.result?.height ?? null) : null;
  const wrong = wrongPlaceOf(place, height);
  const pick = () => {
    setChosen(places.length);
    setPicking(true);
  };
  if (isPicking)
    return (
      <Picking
        cloth={cloth}
        place={place}
        at={chosen}
        onDone={() => setPicking(false)}
        onLeave={() => {
          if (one) second.takeAway(chosen);
          setChosen(0);
          setPicking(false);
        }}
      />
    );
  return (
    <div className="place-columns">
      <section className="place-main" aria-label="Touch the second photo">
        <h2 className="place-say" aria-live="polite">
          {one?.second
            ? `Place ${chosen + 1}: move it until it lies exactly where the first photo shows it`
            : one
              ? `Touch place ${chosen + 1} in the second photo, exactly where the first shows it`
              : "Which place?"}
        </h2>
        <p className="quiet">
          {done} touched; one is enough, three or four are surer. Bring the picture closer first.
        </p>
        {sightsApartDeg(cloth.view, photo.cloth.view) < FEW_APART_DEG && (
          <p className="caution">
            Both photos look from nearly the same side, which tells little. Take the second one from across
            the hoop.
          </p>
        )}
        <div className="place-twin place-twin-second">
          {one && <Patch cloth={cloth} at={one.first} number={chosen + 1} words={one.words} />}
          <SecondPlane place={place} photo={photo} chosen={chosen} />
        </div>
        {height && <HeightSaid height={height} wrong={wrong} />}
        {answer.trouble && <TroubleNote trouble={answer.trouble.problem} onAgain={answer.askAgain} />}
        <div className="place-acts">
          {wrong !== null && (
            <Button
              size="lg"
              onClick={() => {
                second.touch(wrong, null);
                setChosen(wrong);
              }}
            >
              Touch place {wrong + 1} again
            </Button>
          )}
          {done > 0 && (
            <Button
              size="lg"
              variant={height?.state === "told" && (next < 0 || done > 2) ? "filled" : "default"}
              onClick={() => place.setStep("answer")}
            >
              Show where it goes
            </Button>
          )}
          {one?.second && next >= 0 && (
            <Button size="lg" variant={done > 2 ? "default" : "filled"} onClick={() => setChosen(next)}>
              Next place
            </Button>
          )}
          {one && !one.second && next >= 0 && (
            <Button size="lg" variant="default" onClick={() => setChosen(next)}>
              I cannot find this one
            </Button>
          )}
          {one?.second && wrong === null && (
            <Button size="lg" variant="default" onClick={() => second.touch(chosen, null)}>
              Touch it again
            </Button>
          )}
          {one && !one.second && (
            <Button size="lg" variant="subtle" onClick={() => second.touch(chosen, one.first)}>
              Lay it in the ring
            </Button>
          )}
        </div>
      </section>
      <aside className="place-aside" aria-label="Places in both photos">
        <p className="quiet">
          Only a place that can be found again exactly helps: a cross, a corner, a crossing of lines, a knot
          in the weave. Along a plain line none can: leave such a place out.
        </p>
        <div className="place-sides" role="group" aria-label="Which place">
          {places.map((each, i) => (
            <button
              key={i}
              type="button"
              className="place-chip"
              aria-pressed={i === chosen}
              onClick={() => setChosen(i)}
            >
              {each.second ? "✓ " : ""}place {i + 1}
            </button>
          ))}
        </div>
        <Button size="lg" variant="default" onClick={pick}>
          Take another place of the cloth
        </Button>
        <h2>Touched in the first photo</h2>
        <FirstPicture cloth={cloth} places={places} />
        <Button size="lg" variant="default" onClick={onAnew}>
          Another second photo
        </Button>
        {done === 0 && (
          <Button size="lg" variant="default" onClick={() => place.setStep("answer")}>
            Back to the answer
          </Button>
        )}
        <Button
          size="lg"
          variant="subtle"
          onClick={() => {
            second.leaveOut();
            place.setStep("answer");
          }}
        >
          Leave the second photo out
        </Button>
      </aside>
    </div>
  );
}
