import { Button } from "@mantine/core";
import { useQueryClient } from "@tanstack/react-query";
import { type ReactNode, useRef, useState } from "react";
import { rows, type shapes } from "#contract";
import { defaultCostWeights, defaultStepTimes } from "#core/shop";
import { ask } from "../client";
import { bound, type Editable, within } from "../parts/bound";
import { Fields, Note, NumberField, PlainChoice, Row, TextField } from "../parts/form";
import { DaysOffEditor, hoursInWeek, weekWords, WeekEditor } from "../parts/hours";
import { same } from "../parts/merge";
import { offerUndo } from "../parts/notices";
import { durationWords, DurationField } from "../parts/quantity";
import { FormSheet } from "../parts/record-drawer";
import { type RecordForm, useDraft } from "../parts/record-form";
import { BasicFields, basicLabels, type Basics } from "../start/basics";
import { priorities, priorityOf } from "./priorities";

type Body = shapes.StudioBody;
type Studio = shapes.StudioRecord;

function bodyOf(record: Studio): Body {
  const { version: _version, updatedAtMs: _updatedAtMs, ...body } = record;
  return body;
}

const labels: Readonly<Record<string, string>> = {
  name: "Name",
  ...basicLabels,
  openHours: "Open hours",
  closedDays: "Closed days",
  dealerTurnaroundDays: "The dealer’s service takes",
  shipLeadDays: "A parcel is on its way",
  costWeights: "Priorities",
};

const weightLabels = {
  perLateMinute: "A minute late",
  perThreading: "A threading",
  perMidStop: "A stop inside a design",
  perFinishMinute: "A minute until the end",
};

/** The label of a field, for what was not taken and for what somebody else changed. */
function fieldLabel(path: string): string {
  const [whole = "", part = ""] = path.split(".");
  if (whole === "costWeights" && part in weightLabels) return weightLabels[part as keyof typeof weightLabels];
  if (whole === "stepTimes")
    return steps.flatMap(({ fields }) => fields).find(([key]) => key === part)?.[1] ?? "Step times";
  return labels[whole] ?? path;
}

/** The leaves of the studio share one record: each shows some of its fields and saves the whole. */
function StudioForm({
  studio,
  children,
}: {
  readonly studio: Studio;
  readonly children: (form: RecordForm<Body>) => ReactNode;
}) {
  const queries = useQueryClient();
  const leaving = useRef(false);
  const form = useDraft<Body>({
    start: { body: bodyOf(studio), version: studio.version },
    now: { body: bodyOf(studio), version: studio.version },
    shape: rows.changeStudio.body,
    readCurrent: (current) => {
      const parsed = rows.readStudio.output.safeParse(current);
      return parsed.success ? { body: bodyOf(parsed.data), version: parsed.data.version } : null;
    },
    send: async (body, version) => {
      const told = await ask("changeStudio", { body, version: version! });
      void queries.invalidateQueries({ queryKey: ["studio"] });
      void queries.invalidateQueries({ queryKey: ["status"] });
      void queries.invalidateQueries({ queryKey: ["changes"] });
      offerUndo("Studio changed.", told.changeId);
      return told.version;
    },
  });
  return (
    <div className="studio-form sheet">
      <FormSheet
        form={form}
        what="The studio"
        fieldWords={{
          label: fieldLabel,
          show: (path, value) => (path === "openHours" ? weekWords(value as Body["openHours"]) : undefined),
        }}
        leaving={leaving}
        onSubmit={(event) => {
          event.preventDefault();
          void form.save();
        }}
        saveWords={studio.version === 1 ? "Save, this is right" : "Save"}
      >
        {children(form)}
      </FormSheet>
    </div>
  );
}

export function PlaceForm({ studio }: { readonly studio: Studio }) {
  return (
    <StudioForm studio={studio}>
      {(form) => {
        const field = bound(form, labels);
        return (
          <>
            <Fields legend="The studio">
              <TextField {...field("name")} />
              <BasicFields
                form={form as Editable<Basics>}
                zoneHint="in which hours and dates are meant"
                currencyHint="prices keep their number when it changes"
              />
            </Fields>
            <Fields legend="Out of the house">
              <Row>
                <NumberField
                  {...field("shipLeadDays")}
                  unit="working days"
                  hint="ship-by lies that long before the promise date"
                />
                <NumberField
                  {...field("dealerTurnaroundDays")}
                  unit="days"
                  hint="a machine is away that long"
                />
              </Row>
            </Fields>
          </>
        );
      }}
    </StudioForm>
  );
}

export function HoursForm({ studio }: { readonly studio: Studio }) {
  const today = new Intl.DateTimeFormat("en-CA", { timeZone: studio.timeZone }).format(new Date());
  return (
    <StudioForm studio={studio}>
      {({ value, set, error }) => (
        <>
          <Fields
            legend="Open hours"
            hint={`When machines may sew: ${Math.round(hoursInWeek(value.openHours) * 10) / 10} hours a week. A machine sews on through a person’s lunch.`}
          >
            <WeekEditor
              week={value.openHours}
              closed="closed"
              onChange={(openHours) =>
                set({ openHours: openHours.map((day) => day.map((span) => ({ ...span }))) })
              }
            />
          </Fields>
          <Fields legend="Closed">
            <DaysOffEditor
              legend="Closed days"
              none="No closed day is entered. Holidays and fairs belong here: nothing is planned on them."
              today={today}
              days={value.closedDays}
              onChange={(closedDays) => set({ closedDays })}
              error={(path) => error(`closedDays.${path}`)}
            />
          </Fields>
        </>
      )}
    </StudioForm>
  );
}

const steps: readonly {
  readonly title: string;
  readonly who: string;
  readonly fields: readonly (readonly [keyof Body["stepTimes"], string])[];
}[] = [
  {
    title: "Hooping and after",
    who: "a person, away from the machine",
    fields: [
      ["hoopMagneticS", "Hooping, magnetic hoop"],
      ["hoopScrewS", "Hooping, screw hoop"],
      ["unhoopS", "Un-hoop, trim tails, backing off"],
      ["finishS", "Press, check, pack"],
    ],
  },
  {
    title: "At the machine",
    who: "a person, the machine stands",
    fields: [
      ["threadS", "Threading one needle"],
      ["chooseDesignS", "Choosing design and needles"],
      ["swapHoopS", "Swapping the hoop"],
      ["lineUpLaserS", "Lining up, laser cross"],
      ["lineUpCameraS", "Lining up, camera"],
      ["lineUpEyeS", "Lining up, by eye"],
    ],
  },
  {
    title: "By itself",
    who: "the machine alone",
    fields: [
      ["colourChangeS", "Colour change"],
      ["trimS", "Trim"],
    ],
  },
];

export function TimesForm({ studio }: { readonly studio: Studio }) {
  return (
    <StudioForm studio={studio}>
      {({ value, set, error }) => (
        <>
          <Note>
            <p>
              The usual times are common practice without a published source. Time a few pieces with a watch
              and put your own here; machines, hoops and products can have theirs.
            </p>
          </Note>
          {steps.map(({ title, who, fields }) => (
            <Fields key={title} legend={title} hint={`Busy: ${who}.`}>
              <div className="step-times">
                {fields.map(([field, label]) => {
                  const usual = defaultStepTimes[field];
                  const isUsual = value.stepTimes[field] === usual;
                  return (
                    <div key={field} className="step-time">
                      <DurationField
                        label={label}
                        value={value.stepTimes[field]}
                        onChange={(time) => set({ stepTimes: { ...value.stepTimes, [field]: time! } })}
                        error={error(`stepTimes.${field}`)}
                      />
                      <span className="step-usual">
                        {isUsual ? (
                          <span className="quiet">the usual time, common practice</span>
                        ) : (
                          <>
                            <b>your own</b>
                            <Button
                              variant="subtle"
                              size="md"
                              px={6}
                              onClick={() => set({ stepTimes: { ...value.stepTimes, [field]: usual } })}
                              aria-label={`${label}: back to the usual ${durationWords(usual)}`}
                            >
                              usual: {durationWords(usual)}
                            </Button>
                          </>
                        )}
                      </span>
                    </div>
                  );
                })}
              </div>
            </Fields>
          ))}
        </>
      )}
    </StudioForm>
  );
}

export function PrioritiesForm({ studio }: { readonly studio: Studio }) {
  const [numbers, setNumbers] = useState(priorityOf(studio.costWeights) === null);
  return (
    <StudioForm studio={studio}>
      {(form) => {
        const weights = form.value.costWeights;
        const field = bound(within(form, "costWeights", weights), weightLabels);
        const weight = (key: keyof Body["costWeights"], hint: string) => (
          <NumberField {...field(key)} unit="points" decimals={3} hint={hint} />
        );
        return (
          <>
            <Fields
              legend="What matters most to the plan"
              hint="The plan weighs lateness, threading and an early finish against one another. This says how."
            >
              <PlainChoice
                label="Priorities"
                value={priorityOf(weights)}
                onChange={(key) =>
                  form.set({ costWeights: { ...priorities.find((one) => one.key === key)!.weights } })
                }
                choices={priorities.map((one) => ({
                  value: one.key,
                  words: one.words,
                  meaning: one.meaning,
                }))}
              />
              {priorityOf(weights) === null && <p className="quiet">You have numbers of your own.</p>}
              <Button
                variant="subtle"
                size="md"
                className="add-row"
                aria-expanded={numbers}
                onClick={() => setNumbers(!numbers)}
              >
                {numbers ? "Hide the numbers" : "Show the numbers"}
              </Button>
            </Fields>
            {numbers && (
              <Fields
                legend="The numbers"
                hint="Points, not money: only how they stand to one another matters."
              >
                <Row>
                  {weight("perLateMinute", "for each piece past its time")}
                  {weight("perThreading", "a thread put on a needle")}
                </Row>
                <Row>
                  {weight("perMidStop", "to thread in the middle of a run")}
                  {weight("perFinishMinute", "until the last piece is done")}
                </Row>
                <Note>
                  <p>
                    With these, one threading saved is worth{" "}
                    {weights.perLateMinute > 0
                      ? `${(weights.perThreading / weights.perLateMinute).toFixed(1)} late minutes`
                      : "any lateness"}
                    .
                    {!same(weights, defaultCostWeights) &&
                      ` The usual numbers are ${Object.values(defaultCostWeights).join(", ")}.`}
                  </p>
                </Note>
              </Fields>
            )}
          </>
        );
      }}
    </StudioForm>
  );
}
