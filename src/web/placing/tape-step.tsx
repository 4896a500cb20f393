import { tapePlace } from "#core/placing";
import { Button } from "@mantine/core";
import { ChoiceField, choicesOf, NumberField, PlainChoice, Row } from "../parts/form";
import { isRead, type TapeReading } from "./body";
import { Cross } from "./plane";
import { FieldLines, HaloPath } from "./cloth-layer";
import { pathOf, toPicture } from "./geometry";
import { areaOf, type Side } from "./marks";
import { Plane } from "./plane";
import { BLANK_PX_PER_MM, sizeOf } from "./scale";
import { ByChoice, ClothTopChoice } from "./touch-step";
import { freshReading, type Place } from "./use-place";

/** Without a photo: how far each mark lies from the hoop's inner sides, by tape measure. */

const sides = choicesOf<Side>({
  left: "from the left side",
  right: "from the right side",
  near: "from the near side",
  far: "from the far side",
});

export function TapeStep({ place }: { readonly place: Place }) {
  const { known, marks, readings, setReadings, field, machine } = place;
  const inner = {
    innerWidthMm: known.hoop?.widthMm ?? field.widthMm,
    innerHeightMm: known.hoop?.heightMm ?? field.heightMm,
  };
  const scale = { areaMm: areaOf(field), pxPerMm: BLANK_PX_PER_MM };
  const { width, height } = sizeOf(scale);
  const set = (at: number, next: readonly TapeReading[]) =>
    setReadings((all) => all.map((one, i) => (i === at ? next : one)));
  const placesOf = (some: readonly TapeReading[]) =>
    some.filter(isRead).flatMap((reading) => {
      try {
        return [tapePlace(reading, inner)];
      } catch {
        // Outside the hoop: said beside the number.
        return [];
      }
    });
  return (
    <div className="place-columns">
      <section className="place-main" aria-label="Measured by tape">
        <h2>Measure from the hoop’s inner sides</h2>
        <p className="quiet">
          Left and right, near and far as you stand before the machine. Along a side counts from the left, or
          from the near end.
        </p>
        <Plane picture={null} width={width} height={height} label="The hoop from above" handles={[]} step={1}>
          <FieldLines scale={scale} field={field} footMm={machine?.steps.footMarginMm ?? 0} room={null} />
          {readings.map((some, i) => {
            const places = placesOf(some);
            return (
              <g key={i}>
                <HaloPath d={pathOf(scale, places)} />
                {places.map((one, k) => (
                  <Cross key={k} {...toPicture(scale, one)} size={14} />
                ))}
              </g>
            );
          })}
        </Plane>
        {place.body && (
          <div className="place-acts">
            <Button size="lg" onClick={() => place.setStep("answer")}>
              Show where it goes
            </Button>
          </div>
        )}
      </section>
      <aside className="place-aside" aria-label="Distances">
        {marks.map(({ asked, kind }, at) => (
          <fieldset key={at} className="place-tape">
            <legend>
              {asked.words.replace(/^Touch/, "Measure")}{" "}
              {asked.optional && <span className="quiet">may be left out</span>}
            </legend>
            {(readings[at] ?? []).map((reading, i) => (
              <Reading
                key={i}
                number={i + 1}
                reading={reading}
                isOutside={isRead(reading) && placesOf([reading]).length === 0}
                onChange={(next) =>
                  set(
                    at,
                    (readings[at] ?? []).map((one, k) => (k === i ? next : one)),
                  )
                }
                onRemove={() =>
                  set(
                    at,
                    (readings[at] ?? []).filter((_, k) => k !== i),
                  )
                }
              />
            ))}
            <Button
              size="md"
              variant="default"
              onClick={() => set(at, [...(readings[at] ?? []), freshReading(kind)])}
            >
              {(readings[at]?.length ?? 0) === 0 ? "Add a place" : "Add another place"}
            </Button>
          </fieldset>
        ))}
        <TapeRead place={place} />
        <ByChoice place={place} />
        <ClothTopChoice place={place} />
      </aside>
    </div>
  );
}

/** How exactly the tape was read: an error to expect is no better than that. */
export function TapeRead({ place }: { readonly place: Place }) {
  return (
    <PlainChoice
      label="Read"
      value={place.tapeMm === 1 ? "usual" : "careful"}
      onChange={(how) => place.setTapeMm(how === "usual" ? 1 : 0.5)}
      choices={[
        { value: "usual", words: "to the millimetre" },
        { value: "careful", words: "to half of one", meaning: "a steel rule, the cloth lying still" },
      ]}
    />
  );
}

function Reading({
  number,
  reading,
  isOutside,
  onChange,
  onRemove,
}: {
  readonly number: number;
  readonly reading: TapeReading;
  readonly isOutside: boolean;
  readonly onChange: (reading: TapeReading) => void;
  readonly onRemove: () => void;
}) {
  const read = (value: number | null) => (value === null || Number.isNaN(value) ? null : value);
  return (
    <div className="place-reading" role="group" aria-label={`Place ${number}`}>
      <ChoiceField
        label={`Place ${number}`}
        value={reading.from}
        onChange={(from) => onChange({ ...reading, from })}
        choices={sides}
      />
      <Row>
        <NumberField
          label="So far along that side"
          unit="mm"
          decimals={1}
          usual="not measured"
          value={reading.alongMm}
          onChange={(mm) => onChange({ ...reading, alongMm: read(mm) })}
        />
        <NumberField
          label="Distance"
          unit="mm"
          decimals={1}
          usual="not measured"
          value={reading.distanceMm}
          error={isOutside ? "outside the hoop" : undefined}
          onChange={(mm) => onChange({ ...reading, distanceMm: read(mm) })}
        />
      </Row>
      <Button size="md" variant="subtle" onClick={onRemove}>
        Take place {number} away
      </Button>
    </div>
  );
}
