import { ActionIcon, Button, TextInput } from "@mantine/core";
import { useAnswer } from "../asking";
import { useAll } from "../parts/all-of";
import {
  AddRow,
  ChoiceField,
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
import type { RecordForm } from "../parts/record-form";
import { ThreadField } from "../parts/thread-picker";
import { kindWords, lineUpWords, type MachineBody, type Needle, sizeChoices, withNeedles } from "./words";

type Form = { readonly form: RecordForm<MachineBody> };

const dayNow = (timeZone: string) => new Intl.DateTimeFormat("en-CA", { timeZone }).format(new Date());

export function MachineFields({ form }: Form) {
  const { value, set, error } = form;
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
          <TextField
            label="Name"
            hint="as it is called in the room"
            value={value.name}
            onChange={(name) => set({ name })}
            error={error("name")}
          />
          <ChoiceField
            label="Kind"
            hint="what it does"
            value={value.kind}
            onChange={(kind) => chooseKind(kind as MachineBody["kind"])}
            choices={Object.entries(kindWords).map(([kind, words]) => ({ value: kind, words }))}
            error={error("kind")}
          />
        </Row>
        <Row>
          <NumberField
            label="Speed"
            unit="stitches/min"
            value={value.stitchesPerMinute}
            onChange={(stitchesPerMinute) => set({ stitchesPerMinute: stitchesPerMinute! })}
            error={error("stitchesPerMinute")}
            hint={embroiders ? "custom work runs at 600 to 850 (common practice)" : undefined}
          />
        </Row>
        {embroiders && (
          <Row>
            <LengthField
              label="Sewing field, width"
              value={value.fieldWidthMm}
              onChange={(fieldWidthMm) => set({ fieldWidthMm: fieldWidthMm! })}
              error={error("fieldWidthMm")}
            />
            <LengthField
              label="Sewing field, height"
              value={value.fieldHeightMm}
              onChange={(fieldHeightMm) => set({ fieldHeightMm: fieldHeightMm! })}
              error={error("fieldHeightMm")}
            />
          </Row>
        )}
        {embroiders && <Hoops form={form} />}
        {embroiders && (
          <PlainChoice
            legend="A piece is lined up"
            value={value.linesUpBy}
            onChange={(linesUpBy) => set({ linesUpBy: linesUpBy as MachineBody["linesUpBy"] })}
            choices={Object.entries(lineUpWords).map(([way, words]) => ({ value: way, words }))}
          />
        )}
        <Note kind="caution">
          {value.kind === "multi-needle" && "A multi-needle machine is a two-person lift. "}
          Power off and hands clear before you touch needles, hook or oil points.
        </Note>
      </Fields>
      {embroiders && <Needles form={form} />}
      <Away form={form} />
      <OwnTimes form={form} />
      <History form={form} />
    </>
  );
}

function Hoops({ form }: Form) {
  const hoops = useAll("hoops");
  const { lengthUnit } = useHabits();
  const chosen = form.value.hoopIds;
  return (
    <ManyChoice
      legend="Hoops it takes"
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
  const setNeedle = (index: number, patch: Partial<Needle>) =>
    form.set({ needles: needles.map((needle, at) => (at === index ? { ...needle, ...patch } : needle)) });
  const error = (index: number, field: string) => form.error(`needles.${index}.${field}`);
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
          onChange={(count) =>
            count !== null && count >= 1 && count <= 64 && form.set({ needles: withNeedles(needles, count) })
          }
          error={form.error("needles")}
        />
        <Button
          variant="default"
          size="md"
          disabled={needles.length <= 1}
          onClick={() => form.set({ needles: withNeedles(needles, needles.length - 1) })}
          aria-label="One needle fewer"
        >
          −
        </Button>
        <Button
          variant="default"
          size="md"
          disabled={needles.length >= 64}
          onClick={() => form.set({ needles: withNeedles(needles, needles.length + 1) })}
          aria-label="One needle more"
        >
          +
        </Button>
      </div>
      <div className="needle-rows">
        {needles.map((needle, index) => (
          <div key={needle.number} className="needle-row" role="group" aria-label={`Needle ${needle.number}`}>
            <span className="needle-row-number" aria-hidden>
              {needle.number}
            </span>
            <ThreadField
              label="Thread"
              value={needle.threadId}
              noneWords="no thread"
              onChange={(threadId) => setNeedle(index, { threadId })}
              error={error(index, "threadId")}
            />
            <ChoiceField
              label="Size"
              value={String(needle.sizeNm)}
              onChange={(size) => setNeedle(index, { sizeNm: Number(size) })}
              choices={sizeChoices(needle.sizeNm)}
              error={error(index, "sizeNm")}
            />
            <ChoiceField
              label="Point"
              value={needle.point}
              onChange={(point) => setNeedle(index, { point: point as Needle["point"] })}
              choices={[
                { value: "sharp", words: "sharp" },
                { value: "ball", words: "ball" },
              ]}
              error={error(index, "point")}
            />
            <label className="needle-row-fixed">
              <input
                type="checkbox"
                checked={needle.fixed}
                onChange={(event) => setNeedle(index, { fixed: event.currentTarget.checked })}
              />
              fixed
            </label>
          </div>
        ))}
      </div>
    </Fields>
  );
}

function Away({ form }: Form) {
  const { timeZone } = useHabits();
  const { downTimes } = form.value;
  const today = dayNow(timeZone);
  const setDown = (index: number, patch: Partial<MachineBody["downTimes"][number]>) =>
    form.set({ downTimes: downTimes.map((down, at) => (at === index ? { ...down, ...patch } : down)) });
  const minute = (text: string) => Number(text.slice(0, 2)) * 60 + Number(text.slice(3, 5));
  return (
    <Fields legend="Away or stopped" hint="Service, repair, a fair: nothing is planned on it then.">
      {downTimes.map((down, index) => (
        <div key={index} className="away-row" role="group" aria-label={`Time away ${index + 1}`}>
          <DateField
            label="From"
            value={down.fromDate}
            onChange={(fromDate) =>
              setDown(index, { fromDate, ...(down.toDate < fromDate ? { toDate: fromDate } : {}) })
            }
            error={form.error(`downTimes.${index}.fromDate`) ?? form.error(`downTimes.${index}`)}
          />
          <TextInput
            type="time"
            size="md"
            label="at"
            value={clockWords(down.fromMinute % 1440)}
            onChange={(event) =>
              event.currentTarget.value && setDown(index, { fromMinute: minute(event.currentTarget.value) })
            }
          />
          <DateField
            label="To"
            value={down.toDate}
            onChange={(toDate) => setDown(index, { toDate })}
            error={form.error(`downTimes.${index}.toDate`)}
          />
          <TextInput
            type="time"
            size="md"
            label="at"
            value={clockWords(down.toMinute % 1440)}
            onChange={(event) =>
              event.currentTarget.value && setDown(index, { toMinute: minute(event.currentTarget.value) })
            }
          />
          <div className="away-why">
            <TextField
              label="Why"
              value={down.why}
              onChange={(why) => setDown(index, { why })}
              error={form.error(`downTimes.${index}.why`)}
            />
            <ActionIcon
              variant="subtle"
              color="gray"
              size={44}
              aria-label={`Take away the time from ${down.fromDate}`}
              onClick={() => form.set({ downTimes: downTimes.filter((_, at) => at !== index) })}
            >
              <Cross />
            </ActionIcon>
          </div>
        </div>
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

function OwnTimes({ form }: Form) {
  const studio = useAnswer("studio", "readStudio", {});
  const { times, linesUpBy, kind } = form.value;
  const usual = studio.data?.stepTimes;
  if (kind === "straight-stitch") return null;
  const lineUp =
    usual && { laser: usual.lineUpLaserS, camera: usual.lineUpCameraS, eye: usual.lineUpEyeS }[linesUpBy];
  const words = (seconds: number | undefined) =>
    seconds === undefined ? "the studio’s" : `usual: ${durationWords(seconds)}`;
  const own = (key: keyof MachineBody["times"], label: string, seconds: number | undefined, hint: string) => (
    <DurationField
      label={label}
      hint={hint}
      usual={words(seconds)}
      value={times[key]}
      onChange={(time) => form.set({ times: { ...times, [key]: time } })}
      error={form.error(`times.${key}`)}
    />
  );
  return (
    <Fields legend="Its own times" hint="Leave a field empty and the studio’s time holds.">
      <Row>
        {own("threadS", "Threading a needle", usual?.threadS, "from the cone through the eye")}
        {own("loadS", "Loading", usual && usual.chooseDesignS + (lineUp ?? 0), "choose the design, line up")}
        {own("unloadS", "Unloading", usual?.swapHoopS, "take the hoop off")}
      </Row>
      <Row>
        {own("colourChangeS", "Colour change", usual?.colourChangeS, "between needles, by itself")}
        {own("trimS", "Trim", usual?.trimS, "by itself")}
      </Row>
    </Fields>
  );
}

function History({ form }: Form) {
  const { timeZone } = useHabits();
  const { hourMeter, bought, note } = form.value;
  const today = dayNow(timeZone);
  return (
    <Fields legend="Hours and history">
      {hourMeter ? (
        <Row>
          <NumberField
            label="Hour meter"
            unit="h"
            decimals={1}
            value={hourMeter.hours}
            onChange={(hours) => form.set({ hourMeter: { ...hourMeter, hours: hours! } })}
            error={form.error("hourMeter.hours")}
          />
          <DateField
            label="Read on"
            value={hourMeter.readOn}
            onChange={(readOn) => form.set({ hourMeter: { ...hourMeter, readOn } })}
            error={form.error("hourMeter.readOn")}
          />
        </Row>
      ) : (
        <AddRow onClick={() => form.set({ hourMeter: { hours: 0, readOn: today } })}>
          Enter the hour meter
        </AddRow>
      )}
      {hourMeter && (
        <Button variant="subtle" size="md" className="add-row" onClick={() => form.set({ hourMeter: null })}>
          It has no hour meter
        </Button>
      )}
      {bought ? (
        <Row>
          <DateField
            label="Bought on"
            value={bought.on}
            onChange={(on) => form.set({ bought: { ...bought, on } })}
            error={form.error("bought.on")}
          />
          <MoneyField
            label="Bought for"
            value={bought.priceCents}
            onChange={(priceCents) => form.set({ bought: { ...bought, priceCents: priceCents! } })}
            error={form.error("bought.priceCents")}
          />
        </Row>
      ) : (
        <AddRow onClick={() => form.set({ bought: { on: today, priceCents: 0 } })}>
          Enter when it was bought
        </AddRow>
      )}
      <TextField
        long
        label="Note"
        value={note}
        onChange={(text) => form.set({ note: text })}
        error={form.error("note")}
      />
    </Fields>
  );
}
