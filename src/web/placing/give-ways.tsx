import { useId } from "react";
import { errorWords, fromCentreWords, type Give, type Result, turnWords } from "./marks";
import type { Place } from "./use-place";

const words: Readonly<Record<Give, string>> = {
  file: "A file made anew, turned and shifted",
  enter: "Angle and shift to enter",
  laser: "Points for the laser cross",
};

/** What the machine can take: one of three ways, each with the error to expect. */
export function GiveWays({ place, result }: { readonly place: Place; readonly result: Result }) {
  const name = useId();
  return (
    <fieldset className="place-ways">
      <legend>{place.machine?.name} is given</legend>
      {result.ways
        .filter((way) => way.able)
        .map((way) => {
          const [mm, degrees] = errorWords(way.errorMm, way.errorDeg);
          return (
            <label key={way.give} className="place-give">
              <input
                type="radio"
                name={name}
                checked={place.give === way.give}
                onChange={() => place.setGive(way.give)}
              />
              <span>
                <b>{words[way.give]}</b>
                <span className="quiet">
                  {mm}, {degrees}
                </span>
                {!way.sure && <span className="words-late">{way.why}</span>}
                {place.give === way.give && <Detail way={way} />}
              </span>
            </label>
          );
        })}
      {result.ways
        .filter((way) => !way.able)
        .map((way) => (
          <p key={way.give} className="quiet">
            {words[way.give]}: {way.why}
          </p>
        ))}
    </fieldset>
  );
}

/** What a person does with it at the machine. */
export function Detail({ way }: { readonly way: Result["ways"][number] }) {
  if (way.give === "enter" && way.enter)
    return (
      <span className="place-detail">
        Turn {turnWords(way.enter.angleDeg)}; middle of the design{" "}
        {fromCentreWords(way.enter.shiftXMm, way.enter.shiftYMm)}.
      </span>
    );
  if (way.give === "laser" && way.laser)
    return (
      <span className="place-detail">
        Set the laser cross {fromCentreWords(way.laser.start.xMm, way.laser.start.yMm)}: the first cross in
        the picture. To check the angle, it must fall on the second,{" "}
        {fromCentreWords(way.laser.check.xMm, way.laser.check.yMm)} ({way.laser.leverMm.toFixed(0)} mm apart).
        Look at the cross on the cloth, never into the lamp.
      </span>
    );
  return <span className="place-detail">Load it as it is, on the field’s centre; nothing to enter.</span>;
}
