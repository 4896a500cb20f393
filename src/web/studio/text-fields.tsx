import { Button } from "@mantine/core";
import { FaceField } from "../designs/making/lettering-fields";
import { bound, type Editable, within } from "../parts/bound";
import { AddRow, ChoiceField, choicesOf, NumberField, Row } from "../parts/form";
import { LengthField } from "../parts/quantity";
import type { BodyOf } from "../parts/record-form";
import { ThreadField } from "../parts/thread-picker";

type Placement = BodyOf<"products">["placements"][number];
type Text = NonNullable<Placement["lettering"]>;
type FurtherText = NonNullable<Text["further"]>[number];

const labels = {
  heightMm: "Letter height",
  maxWidthMm: "At most this wide",
  place: "Place",
  threadId: "Thread",
};
const ordinals = ["first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth"] as const;
const MOST_FURTHER = 5;

/** The texts of an order that a placement sews: one, or several lines each with its own letters and place. */
export function Lettering({ placement }: { readonly placement: Editable<Placement> }) {
  const { lettering, designId } = placement.value;
  if (!lettering)
    return (
      <AddRow
        onClick={() =>
          placement.set({
            lettering: {
              heightMm: 15,
              maxWidthMm: 90,
              threadId: null,
              place: designId ? "below" : "alone",
            },
          })
        }
      >
        The customer’s text is sewn here
      </AddRow>
    );
  const own = within(placement, "lettering", lettering);
  const further = lettering.further ?? [];
  const setFurther = (next: FurtherText[]) => own.set({ further: next });
  const whole = lettering.text === undefined && further.length === 0;
  return (
    <div className="placement-lettering">
      <b>The customer’s text</b>
      <ChoiceField
        label="Which of the order’s texts"
        hint="an order gives several on lines of their own, or with a slash between: Ada / 2019"
        value={whole ? "0" : String(lettering.text ?? 1)}
        choices={[
          ...(further.length === 0 ? [{ value: "0", words: "all of it, as one" }] : []),
          ...ordinals.map((words, at) => ({ value: String(at + 1), words: `the ${words}` })),
        ]}
        onChange={(number) => own.set({ text: number === "0" ? undefined : Number(number) })}
      />
      <TextLine
        line={own}
        places={{ below: "below the design", above: "above the design", alone: "alone, no design" }}
      />
      {further.map((line, at) => {
        const one: Editable<FurtherText> = {
          value: line,
          set: (change) =>
            setFurther(further.map((other, index) => (index === at ? { ...other, ...change } : other))),
          error: (field) => placement.error(`lettering.further.${at}.${field}`),
        };
        return (
          <div key={at} className="placement-further" role="group" aria-label={`Text line ${at + 2}`}>
            <ChoiceField
              label={`Line ${at + 2}: which of the order’s texts`}
              value={String(line.text ?? at + 2)}
              choices={ordinals.map((words, index) => ({ value: String(index + 1), words: `the ${words}` }))}
              onChange={(number) => one.set({ text: Number(number) })}
            />
            <TextLine line={one} places={{ below: "below what is there", above: "above what is there" }} />
            <Button
              variant="subtle"
              size="md"
              className="add-row"
              aria-label={`Take away text line ${at + 2}`}
              onClick={() => setFurther(further.filter((_, index) => index !== at))}
            >
              Take this line away
            </Button>
          </div>
        );
      })}
      {further.length < MOST_FURTHER && (
        <AddRow
          onClick={() => {
            const { heightMm, maxWidthMm, threadId, face } = lettering;
            const used = [lettering.text ?? 1, ...further.map((line, at) => line.text ?? at + 2)];
            const line: FurtherText = {
              heightMm: Math.max(5, Math.round(heightMm * 0.7)),
              maxWidthMm,
              threadId,
              ...(face ? { face } : {}),
              text: Math.min(8, Math.max(...used) + 1),
              place: "below",
            };
            own.set({ text: lettering.text ?? 1, further: [...further, line] });
          }}
        >
          Another text line
        </AddRow>
      )}
      <Button
        variant="subtle"
        size="md"
        className="add-row"
        onClick={() => placement.set({ lettering: null })}
      >
        No text here
      </Button>
    </div>
  );
}

/** Letters, room, place and thread of one text. */
function TextLine<L extends Text | FurtherText>({
  line,
  places,
}: {
  readonly line: Editable<L>;
  readonly places: Readonly<Partial<Record<Text["place"], string>>>;
}) {
  // Both kinds of line have these fields alike.
  const one = line as unknown as Editable<Omit<Text, "further">>;
  const field = bound(one, labels);
  const { leastHeightMm, face, arcDeg } = one.value;
  return (
    <>
      <Row>
        <LengthField {...field("heightMm")} hint="5–6 mm at least in 40 weight (common practice)" />
        <LengthField {...field("maxWidthMm")} hint="longer text is made smaller" />
        <LengthField
          label="Not under"
          hint="text that needs smaller letters waits for a person"
          usual="as low as sews"
          value={leastHeightMm ?? null}
          onChange={(least) => one.set({ leastHeightMm: least })}
        />
      </Row>
      <Row>
        <FaceField value={face ?? "alphabet:upright"} onChange={(to) => one.set({ face: to })} />
        <NumberField
          label="On an arc of"
          unit="°"
          min={-330}
          usual="straight"
          value={arcDeg ?? null}
          onChange={(degrees) => one.set({ arcDeg: degrees ?? 0 })}
        />
      </Row>
      <Row>
        <ChoiceField {...field("place")} choices={choicesOf(places as Record<string, string>) as never} />
        <ThreadField {...field("threadId")} noneWords="as the order says" />
      </Row>
    </>
  );
}
