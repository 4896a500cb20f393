import { ActionIcon, Button, TextInput } from "@mantine/core";
import type { ReactNode } from "react";
import { useAnswer } from "../asking";
import { useAll } from "../parts/all-of";
import { bound, type Editable, itemOf, within } from "../parts/bound";
import {
  AddRow,
  ChoiceField,
  choicesOf,
  DateField,
  Fields,
  ManyChoice,
  Note,
  NumberField,
  PlainChoice,
  Row,
  TextField,
} from "../parts/form";
import { clockWords, Cross } from "../parts/hours";
import {
  durationWords,
  DurationField,
  LengthField,
  MoneyField,
  sizeWords,
  useHabits,
} from "../parts/quantity";
import type { FormOf } from "../parts/record-list";
import { ThreadField } from "../parts/thread-picker";
import { kindWords, lineUpWords, type MachineBody, type Needle, sizeChoices, withNeedles } from "./words";

type Form = Pick<FormOf<"machines">, "form">;

const dayNow = (timeZone: string) => new Intl.DateTimeFormat("en-CA", { timeZone }).format(new Date());

export function MachineFields({ form, field }: FormOf<"machines">) {
  const { value, set } = form;
  const embroiders = value.kind !== "straight-stitch";
  const chooseKind = (kind: MachineBody["kind"]) =>
    set({
      kind,
      needles:
        kind === "straight-stitch"
          ? []
          : kind === "household"
            ? withNeedles(value.needles, 1)
            : withNeedles(value.needles, Math.max(6, value.needles.length)),
    });
  return (
    <>
      <Fields legend="The machine">
        <Row>
          <TextField {...field("name")} hint="as it is called in the room" />
          <ChoiceField
            {...field("kind")}
            hint="what it does"
            onChange={chooseKind}
            choices={choicesOf(kindWords)}
          />
        </Row>
        <Row>
          <NumberField
            {...field("stitchesPerMinute")}
            unit="stitches/min"
            hint={embroiders ? "custom work runs at 600 to 850 (common practice)" : undefined}
          />
        </Row>
        {embroiders && (
          <>
            <Row>
              <LengthField {...field("fieldWidthMm")} />
              <LengthField {...field("fieldHeightMm")} />
            </Row>
            <Hoops form={form} />
            <PlainChoice {...field("linesUpBy")} choices={choicesOf(lineUpWords)} />
          </>
        )}
        <Note kind="caution">
          {value.kind === "multi-needle" && "A multi-needle machine is a two-person lift. "}
          Power off and hands clear before you touch needles, hook or oil points.
        </Note>
      </Fields>
      {embroiders && <Needles form={form} />}
      <Away form={form} />
      <OwnTimes form={form} />
      <History form={form} note={<TextField long {...field("note")} />} />
    </>
  );
}

function Hoops({ form }: Form) {
  const hoops = useAll("hoops");
  const { lengthUnit } = useHabits();
  const chosen = form.value.hoopIds;
  return (
    <ManyChoice
      label="Hoops it takes"
      value={chosen}
      onChange={(hoopIds) => form.set({ hoopIds })}
      none="No hoop is described yet; add hoops first, then come back."
      choices={(hoops.data ?? [])
        .filter((hoop) => !hoop.archived || chosen.includes(hoop.id))
        .map((hoop) => ({
          value: hoop.id,
          words: `${hoop.name} · ${sizeWords(hoop.fieldWidthMm, hoop.fieldHeightMm, lengthUnit)}${hoop.archived ? " · archived" : ""}`,
        }))}
    />
  );
}

function Needles({ form }: Form) {
  const { needles } = form.value;
  const setCount = (count: number) => form.set({ needles: withNeedles(needles, count) });
  return (
    <Fields
      legend="Needles, in their order on the machine"
      hint="A fixed needle keeps its thread: the plan never takes it off."
    >
      <div className="count-row">
        <NumberField
          label="How many needles"
          value={needles.length}
          min={1}
          max={64}
          onChange={(count) => count !== null && count >= 1 && count <= 64 && setCount(count)}
          error={form.error("needles")}
        />
        <Button
          variant="default"
          size="md"
          disabled={needles.length <= 1}
          onClick={() => setCount(needles.length - 1)}
          aria-label="One needle fewer"
        >
          −
        </Button>
        <Button
          variant="default"
          size="md"
          disabled={needles.length >= 64}
          onClick={() => setCount(needles.length + 1)}
          aria-label="One needle more"
        >
          +
        </Button>
      </div>
      <div className="needle-rows">
        {needles.map((needle, index) => (
          <NeedleRow key={needle.number} needle={itemOf(form, "needles", index)} />
        ))}
      </div>
    </Fields>
  );
}

const needleLabels = { threadId: "Thread", sizeNm: "Size", point: "Point" };

function NeedleRow({ needle }: { readonly needle: Editable<Needle> }) {
  const { value, set } = needle;
  const field = bound(needle, needleLabels);
  return (
    <div className="needle-row" role="group" aria-label={`Needle ${value.number}`}>
      <span className="needle-row-number" aria-hidden>
        {value.number}
      </span>
      <ThreadField {...field("threadId")} noneWords="no thread" />
      <ChoiceField
        {...field("sizeNm")}
        value={String(value.sizeNm)}
        onChange={(size) => set({ sizeNm: Number(size) })}
        choices={sizeChoices(value.sizeNm)}
      />
      <ChoiceField {...field("point")} choices={choicesOf({ sharp: "sharp", ball: "ball" })} />
      <label className="needle-row-fixed">
        <input
          type="checkbox"
          checked={value.fixed}
          onChange={(event) => set({ fixed: event.currentTarget.checked })}
        />
        fixed
      </label>
    </div>
  );
}

function Away({ form }: Form) {
  const { timeZone } = useHabits();
  const { downTimes } = form.value;
  const today = dayNow(timeZone);
  return (
    <Fields legend="Away or stopped" hint="Service, repair, a fair: nothing is planned on it then.">
      {downTimes.map((_, index) => (
        <AwayRow
          key={index}
          down={itemOf(form, "downTimes", index)}
          number={index + 1}
          error={form.error(`downTimes.${index}`)}
          onRemove={() => form.set({ downTimes: downTimes.filter((_, at) => at !== index) })}
        />
      ))}
      <AddRow
        onClick={() =>
          form.set({
            downTimes: [
              ...downTimes,
              { fromDate: today, fromMinute: 480, toDate: today, toMinute: 1020, why: "" },
            ],
          })
        }
      >
        Add a time away
      </AddRow>
    </Fields>
  );
}

const awayLabels = { fromDate: "From", toDate: "To", why: "Why" };

function AwayRow({
  down,
  number,
  error,
  onRemove,
}: {
  readonly down: Editable<MachineBody["downTimes"][number]>;
  readonly number: number;
  /** What is wrong with the time as a whole. */
  readonly error: string | undefined;
  readonly onRemove: () => void;
}) {
  const { value, set } = down;
  const field = bound(down, awayLabels);
  const clock = (minute: number, onChange: (minute: number) => void) => (
    <TextInput
      type="time"
      size="md"
      label="at"
      value={clockWords(minute % 1440)}
      onChange={({ currentTarget: { value: typed } }) =>
        typed && onChange(Number(typed.slice(0, 2)) * 60 + Number(typed.slice(3, 5)))
      }
    />
  );
  return (
    <div className="away-row" role="group" aria-label={`Time away ${number}`}>
      <DateField
        {...field("fromDate")}
        onChange={(fromDate) => set({ fromDate, ...(value.toDate < fromDate ? { toDate: fromDate } : {}) })}
        error={down.error("fromDate") ?? error}
      />
      {clock(value.fromMinute, (fromMinute) => set({ fromMinute }))}
      <DateField {...field("toDate")} />
      {clock(value.toMinute, (toMinute) => set({ toMinute }))}
      <div className="away-why">
        <TextField {...field("why")} />
        <ActionIcon
          variant="subtle"
          color="gray"
          size={44}
          aria-label={`Take away the time from ${value.fromDate}`}
          onClick={onRemove}
        >
          <Cross />
        </ActionIcon>
      </div>
    </div>
  );
}

const timeLabels = {
  threadS: "Threading a needle",
  loadS: "Loading",
  unloadS: "Unloading",
  colourChangeS: "Colour change",
  trimS: "Trim",
};

function OwnTimes({ form }: Form) {
  const studio = useAnswer("studio", "readStudio", {});
  const { times, linesUpBy, kind } = form.value;
  const usual = studio.data?.stepTimes;
  if (kind === "straight-stitch") return null;
  const lineUp =
    usual && { laser: usual.lineUpLaserS, camera: usual.lineUpCameraS, eye: usual.lineUpEyeS }[linesUpBy];
  const words = (seconds: number | undefined) =>
    seconds === undefined ? "the studio’s" : `usual: ${durationWords(seconds)}`;
  const field = bound(within(form, "times", times), timeLabels);
  const own = (key: keyof MachineBody["times"], seconds: number | undefined, hint: string) => (
    <DurationField {...field(key)} hint={hint} usual={words(seconds)} />
  );
  return (
    <Fields legend="Its own times" hint="Leave a field empty and the studio’s time holds.">
      <Row>
        {own("threadS", usual?.threadS, "from the cone through the eye")}
        {own("loadS", usual && usual.chooseDesignS + (lineUp ?? 0), "choose the design, line up")}
        {own("unloadS", usual?.swapHoopS, "take the hoop off")}
      </Row>
      <Row>
        {own("colourChangeS", usual?.colourChangeS, "between needles, by itself")}
        {own("trimS", usual?.trimS, "by itself")}
      </Row>
    </Fields>
  );
}

const meterLabels = { hours: "Hour meter", readOn: "Read on" };
const boughtLabels = { on: "Bought on", priceCents: "Bought for" };

function History({ form, note }: Form & { readonly note: ReactNode }) {
  const { timeZone } = useHabits();
  const { hourMeter, bought, weightKg } = form.value;
  const today = dayNow(timeZone);
  const meterField = hourMeter && bound(within(form, "hourMeter", hourMeter), meterLabels);
  const boughtField = bought && bound(within(form, "bought", bought), boughtLabels);
  return (
    <Fields legend="Hours and history">
      {meterField ? (
        <>
          <Row>
            <NumberField {...meterField("hours")} unit="h" decimals={1} />
            <DateField {...meterField("readOn")} />
          </Row>
          <Button
            variant="subtle"
            size="md"
            className="add-row"
            onClick={() => form.set({ hourMeter: null })}
          >
            It has no hour meter
          </Button>
        </>
      ) : (
        <AddRow onClick={() => form.set({ hourMeter: { hours: 0, readOn: today } })}>
          Enter the hour meter
        </AddRow>
      )}
      {boughtField ? (
        <Row>
          <DateField {...boughtField("on")} />
          <MoneyField {...boughtField("priceCents")} />
        </Row>
      ) : (
        <AddRow onClick={() => form.set({ bought: { on: today, priceCents: 0 } })}>
          Enter when it was bought
        </AddRow>
      )}
      {typeof weightKg === "number" ? (
        <Row>
          <NumberField
            label="Weight without hoops and cones"
            unit="kg"
            decimals={1}
            value={weightKg}
            error={form.error("weightKg")}
            onChange={(next) => form.set({ weightKg: next })}
          />
          <Button variant="subtle" size="md" className="add-row" onClick={() => form.set({ weightKg: null })}>
            Leave it out
          </Button>
        </Row>
      ) : (
        <AddRow onClick={() => form.set({ weightKg: 40 })}>Enter its weight, for lifting</AddRow>
      )}
      {note}
    </Fields>
  );
}
