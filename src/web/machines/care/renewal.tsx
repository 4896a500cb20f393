import { useState } from "react";
import { fittedWear, renewalAge } from "#core/costing";
import { useAnswer } from "../../asking";
import { NumberField } from "../../parts/form";
import { MoneyField, moneyWords, useHabits } from "../../parts/quantity";

/** Below so many needles that failed their spread says little of wear. */
const FEW = 5;
/** Common practice, no source: a needle lives 8 to 40 hours; that it wears is a guess until a log tells. */
const guessed = { shape: 2, scaleHours: 25 };

/** At what age a needle is best renewed in good time: from the studio's own log, else from a guess that can be changed. */
export function RenewalAge() {
  const { currency } = useHabits();
  const lives = useAnswer("floor", "needleLives", {});
  const [costs, setCosts] = useState({ planned: 100, afterFailure: 900 });
  const [guess, setGuess] = useState(guessed);
  const log = lives.data ?? { failedHours: [], soundHours: [] };
  const measured = log.failedHours.length >= FEW ? fittedWear(log) : null;
  const wear = measured ?? guess;
  const isTold =
    [costs.planned, costs.afterFailure, wear.shape, wear.scaleHours].every(Number.isFinite) &&
    costs.planned > 0 &&
    wear.shape > 0 &&
    wear.scaleHours > 0;
  const age = isTold ? renewalAge(wear, costs) : null;
  const money = (cents: number) => moneyWords(Math.round(cents), currency);
  return (
    <section className="sheet care-trips">
      <h2>At what age a needle is renewed</h2>
      <p className="quiet">
        {measured
          ? `Measured: ${log.failedHours.length} of your needles failed, ${log.soundHours.length} were sound when they were changed or still are.`
          : `A guess: ${log.failedHours.length === 0 ? "no needle of your log has failed yet" : `only ${log.failedHours.length} of your log failed`}; from ${FEW} on your own log counts.`}
      </p>
      <div className="care-ages">
        <MoneyField
          label="Changing it in good time costs"
          hint="needle and minutes"
          value={costs.planned}
          onChange={(planned) => setCosts({ ...costs, planned: planned ?? Number.NaN })}
        />
        <MoneyField
          label="Changing it too late costs"
          hint="with the stop, and the piece it may spoil"
          value={costs.afterFailure}
          onChange={(cents) => setCosts({ ...costs, afterFailure: cents ?? Number.NaN })}
        />
        {!measured && (
          <>
            <NumberField
              label="63 of 100 have failed by"
              unit="h"
              decimals={1}
              min={0.5}
              max={10_000}
              hint="8–40 h of sewing are common"
              value={guess.scaleHours}
              onChange={(hours) => setGuess({ ...guess, scaleHours: hours ?? Number.NaN })}
            />
            <NumberField
              label="How they wear"
              decimals={1}
              min={0.5}
              max={10}
              hint="1: by chance at any age; above: the older the sooner"
              value={guess.shape}
              onChange={(shape) => setGuess({ ...guess, shape: shape ?? Number.NaN })}
            />
          </>
        )}
      </div>
      {age && (
        <p>
          {age.hours === null ? (
            <>
              <b>Run needles until they fail.</b> Renewing sound ones costs more than it saves:{" "}
              {wear.shape <= 1
                ? "they fail by chance, old or new."
                : "failing costs hardly more than a change."}
            </>
          ) : (
            <>
              <b>Renew a needle after {age.hours.toFixed(age.hours < 10 ? 1 : 0)} hours of sewing.</b> That
              costs {money(100 * age.costPerHour)} in 100 hours, waiting for the failure{" "}
              {money(100 * age.costPerHourUntilFailure)}. Set it above as the needle’s rule; power off and
              hands clear before touching needles.
            </>
          )}
        </p>
      )}
    </section>
  );
}
