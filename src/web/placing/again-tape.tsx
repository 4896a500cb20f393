import type { PointMm } from "#core/placing";
import { Button } from "@mantine/core";
import { useState } from "react";
import { NumberField, PlainChoice, Row } from "../parts/form";
import { DesignPlace, MissList, missesOf, WrongTouch } from "./again-step";
import { LEAST_AGAIN, type SewnByTape } from "./body";
import { DesignOutline, FieldLines } from "./cloth-layer";
import { toPicture } from "./geometry";
import { areaOf } from "./marks";
import { Cross, Plane } from "./plane";
import { BLANK_PX_PER_MM, sizeOf } from "./scale";
import { TapeRead } from "./tape-step";
import { TroubleNote } from "./trouble-note";
import type { Place } from "./use-place";

/** Back onto a piece without a photo: each place of the sewn part by two distances from the hoop's inner sides. */

const acrossSides = [
  { value: "left", words: "left side" },
  { value: "right", words: "right side" },
] as const;
const upSides = [
  { value: "near", words: "near side" },
  { value: "far", words: "far side" },
] as const;

const FRESH: SewnByTape = { across: "left", acrossMm: null, up: "near", upMm: null };

/** Where two distances meet, mm in the hoop's plane; null until both were read, or outside the hoop. */
export function tapedPlace(
  { across, acrossMm, up, upMm }: SewnByTape,
  inner: { readonly widthMm: number; readonly heightMm: number },
): PointMm | null {
  if (acrossMm === null || upMm === null) return null;
  if (!(0 <= acrossMm && acrossMm <= inner.widthMm && 0 <= upMm && upMm <= inner.heightMm)) return null;
  return {
    xMm: across === "left" ? acrossMm - inner.widthMm / 2 : inner.widthMm / 2 - acrossMm,
    yMm: up === "near" ? upMm - inner.heightMm / 2 : inner.heightMm / 2 - upMm,
  };
}

export function AgainTape({ place }: { readonly place: Place }) {
  const { touches, setTouches, known, field, machine, answer } = place;
  const [chosen, setChosen] = useState(0);
  const one = touches[chosen];
  const inner = known.hoop ?? field;
  const scale = { areaMm: areaOf(field), pxPerMm: BLANK_PX_PER_MM };
  const { width, height } = sizeOf(scale);
  if (!one)
    return (
      <p>The design has no corner or end that could be found again; hoop the piece anew and place it.</p>
    );
  const tape = one.tape ?? FRESH;
  const set = (change: Partial<SewnByTape>) =>
    setTouches((all) =>
      all.map((each, i) => {
        if (i !== chosen) return each;
        const next = { ...tape, ...change };
        return { ...each, tape: next, at: tapedPlace(next, inner) };
      }),
    );
  const isOver = (mm: number | null, most: number) =>
    mm !== null && !(0 <= mm && mm <= most) ? "outside the hoop" : undefined;
  const done = touches.filter((each) => each.at !== null).length;
  const next = touches.findIndex((each, i) => i !== chosen && each.at === null);
  const misses = missesOf(answer.result, touches);
  const wrong = misses.find((miss) => miss.wrong);
  return (
    <div className="place-columns">
      <section className="place-main" aria-label="Measure the sewn part">
        <h2 className="place-say" aria-live="polite">
          Measure place {chosen + 1} from two of the hoop’s inner sides{" "}
          <span className="quiet">
            {done} measured; {LEAST_AGAIN} at least, 4 or 5 are better
          </span>
        </h2>
        <div className="place-twin">
          <DesignPlace design={known.design} at={one.design} number={chosen + 1} />
          <div className="place-reading">
            <Row>
              <PlainChoice
                label="From the"
                value={tape.across}
                onChange={(across) => set({ across })}
                choices={acrossSides}
              />
              <NumberField
                label="so far"
                unit="mm"
                decimals={1}
                usual="not measured"
                value={tape.acrossMm}
                error={isOver(tape.acrossMm, inner.widthMm)}
                onChange={(mm) => set({ acrossMm: readMm(mm) })}
              />
            </Row>
            <Row>
              <PlainChoice
                label="and from the"
                value={tape.up}
                onChange={(up) => set({ up })}
                choices={upSides}
              />
              <NumberField
                label="so far"
                unit="mm"
                decimals={1}
                usual="not measured"
                value={tape.upMm}
                error={isOver(tape.upMm, inner.heightMm)}
                onChange={(mm) => set({ upMm: readMm(mm) })}
              />
            </Row>
          </div>
        </div>
        {wrong && (
          <WrongTouch
            wrong={wrong}
            words="Measure"
            onAgain={() => {
              setTouches((all) =>
                all.map((each, i) => (i === wrong.at ? { ...each, at: null, tape: null } : each)),
              );
              setChosen(wrong.at);
            }}
          />
        )}
        {answer.trouble && <TroubleNote trouble={answer.trouble.problem} onAgain={answer.askAgain} />}
        <div className="place-acts">
          {one.at && next >= 0 && (
            <Button
              size="lg"
              variant={done > LEAST_AGAIN ? "default" : "filled"}
              onClick={() => setChosen(next)}
            >
              Next place
            </Button>
          )}
          {done >= LEAST_AGAIN && !wrong && (
            <Button
              size="lg"
              variant={done > LEAST_AGAIN ? "filled" : "default"}
              onClick={() => place.setStep("answer")}
            >
              Show where it goes
            </Button>
          )}
          {!one.at && next >= 0 && (
            <Button size="lg" variant="default" onClick={() => setChosen(next)}>
              I cannot see this one
            </Button>
          )}
        </div>
        <Plane picture={null} width={width} height={height} label="The hoop from above" handles={[]} step={1}>
          <FieldLines scale={scale} field={field} footMm={machine?.steps.footMarginMm ?? 0} room={null} />
          {answer.result && <DesignOutline scale={scale} design={known.design} pose={answer.result.pose} />}
          {touches.map(({ at }, i) => at && <Cross key={i} {...toPicture(scale, at)} size={14} />)}
        </Plane>
      </section>
      <aside className="place-aside" aria-label="Places of the design">
        <MissList touches={touches} misses={misses} chosen={chosen} onChoose={setChosen} />
        <TapeRead place={place} />
        <p className="quiet">
          Left and right, near and far as you stand before the machine; from the inner edge, the tape square
          to the side. Expect about ±1 to 2 mm.
        </p>
        <Button size="lg" variant="default" onClick={() => place.setStep("photo")}>
          With a photo instead
        </Button>
      </aside>
    </div>
  );
}

const readMm = (mm: number | null): number | null => (mm === null || Number.isNaN(mm) ? null : mm);
