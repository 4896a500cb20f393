import { Button } from "@mantine/core";
import { useState } from "react";
import { Waiting } from "../parts/states";
import type { ClothPicture } from "./photo-messages";
import { FileButton } from "./photo-step";
import { sidesOf } from "./second-photo";
import { FirstPicture } from "./second-planes";
import { SecondTouching } from "./second-touching";
import { TroubleNote } from "./trouble-note";
import type { Place } from "./use-place";
import "./second.css";

/** A photo more, from the other side, and the same places touched in it: how far the cloth lies under the markers. */
export function SecondStep({ place }: { readonly place: Place }) {
  const { second, cloth } = place;
  const [isAnew, setAnew] = useState(false);
  if (!cloth)
    return (
      <div className="place-main">
        <p>The first photo has to be laid flat again.</p>
        <Button size="lg" onClick={() => place.setStep("photo")}>
          Back to the photo
        </Button>
      </div>
    );
  if (second.doing) return <Waiting words={second.doing} />;
  if (!second.photo || isAnew)
    return (
      <Taking
        place={place}
        cloth={cloth}
        onTake={async (file) => {
          if (await second.take(file)) setAnew(false);
        }}
        onKeep={second.photo ? () => setAnew(false) : null}
      />
    );
  return <SecondTouching place={place} cloth={cloth} photo={second.photo} onAnew={() => setAnew(true)} />;
}

function Taking({
  place,
  cloth,
  onTake,
  onKeep,
}: {
  readonly place: Place;
  readonly cloth: ClothPicture;
  readonly onTake: (file: File) => void;
  /** Back to the second photo from before; null where there is none. */
  readonly onKeep: (() => void) | null;
}) {
  const sides = sidesOf(cloth.view);
  const tilt = cloth.view.tiltDeg.toFixed(0);
  return (
    <div className="place-columns">
      <section className="place-main" aria-label="Take a second photo">
        <svg className="place-hold" viewBox="0 0 240 130" aria-hidden>
          <rect x="68" y="100" width="104" height="12" rx="6" className="place-hold-hoop" />
          <path d="M80 100h80" className="place-hold-cloth" />
          <g className="place-hold-before">
            <rect x="-22" y="-4" width="44" height="8" rx="3" transform="translate(44 34) rotate(-38)" />
            <path d="M58 44 108 96" className="place-hold-sight" />
          </g>
          <rect x="-22" y="-4" width="44" height="8" rx="3" transform="translate(196 34) rotate(38)" />
          <path d="M182 44l-50 52" className="place-hold-sight" />
        </svg>
        <h2>One more photo, from the other side</h2>
        <p>
          {sides
            ? `The first photo was taken from the ${sides[0]} of the hoop as the picture shows it, ${tilt}° slanted. Take this one from the ${sides[1]}, slanted by about 35°.`
            : "The first photo was taken from nearly straight above. Take this one from any side, slanted by about 40°."}{" "}
          The whole hoop in the picture, all its markers in sight.
        </p>
        <p className="caution">Leave hoop and cloth exactly as they are until the photo is taken.</p>
        {place.second.trouble && <TroubleNote trouble={place.second.trouble} />}
        <div className="place-acts">
          <FileButton look="filled" capture onFile={onTake}>
            Take the second photo
          </FileButton>
          <FileButton look="default" onFile={onTake}>
            Choose a photo
          </FileButton>
        </div>
        {onKeep && (
          <Button size="lg" variant="default" onClick={onKeep}>
            Go on with the second photo from before
          </Button>
        )}
        <Button size="lg" variant="default" onClick={() => place.setStep("answer")}>
          Back to the answer
        </Button>
      </section>
      <aside className="place-aside" aria-label="What it is for">
        <p className="quiet">
          Seen at a slant, cloth that lies deeper than believed looks shifted: one way from here, the other
          way from across. Two photos from opposite sides show how deep it lies, and so where the design
          really goes. The first photo’s answer stays as it is until then.
        </p>
        <h2>Touched in the first photo</h2>
        <FirstPicture cloth={cloth} places={place.second.photo?.places ?? place.freshPlaces} />
      </aside>
    </div>
  );
}
