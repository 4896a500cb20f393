import type { whatIf } from "#contract";
import { Button } from "@mantine/core";
import { amountOf, minorUnits } from "#core/base";
import { ChoiceField, NumberField, Row, TextField } from "../parts/form";
import { savers, titles } from "./offers";

export type Card = whatIf.WhatIfCard;
type Change = whatIf.WhatIfChange;
type Shop = whatIf.WhatIfShop;

interface CardProps {
  readonly card: Card;
  readonly shop: Shop;
  readonly onChange: (card: Card) => void;
  readonly onRemove: () => void;
}

/** One thing that would be otherwise, with what it costs. */
export function CardForm({ card, shop, onChange, onRemove }: CardProps) {
  const money = (value: number | null) => (value === null ? null : amountOf(value, shop.currency));
  const cents = (amount: number | null) =>
    amount === null || Number.isNaN(amount) ? null : minorUnits(amount, shop.currency);
  const title = titles[card.change.change];
  return (
    <li className="what-if-card">
      <div className="what-if-card-head">
        <h3>{title}</h3>
        <Button size="md" variant="subtle" color="gray" onClick={onRemove} aria-label={`Take off: ${title}`}>
          Take off
        </Button>
      </div>
      <ChangeFields change={card.change} shop={shop} onChange={(change) => onChange({ ...card, change })} />
      <Row>
        <NumberField
          label="Price, once"
          unit={shop.currency}
          decimals={2}
          usual="not said"
          value={money(card.priceCents)}
          onChange={(amount) => onChange({ ...card, priceCents: cents(amount) })}
        />
        <NumberField
          label="Cost a month"
          unit={shop.currency}
          decimals={2}
          usual="not said"
          value={money(card.monthlyCents)}
          onChange={(amount) => onChange({ ...card, monthlyCents: cents(amount) })}
        />
      </Row>
    </li>
  );
}

interface FieldsProps {
  readonly change: Change;
  readonly shop: Shop;
  readonly onChange: (change: Change) => void;
}

const choices = (things: readonly { readonly id: string; readonly name: string }[]) =>
  things.map(({ id, name }) => ({ value: id, words: name }));
/** An emptied field counts as nothing typed yet; the question is checked again when it is asked. */
const whole = (value: number | null): number =>
  value === null || Number.isNaN(value) ? 0 : Math.round(value);

function ChangeFields({ change, shop, onChange }: FieldsProps) {
  const { hoops, machines, people } = shop;
  switch (change.change) {
    case "hoops":
      return (
        <Row>
          <ChoiceField
            label="Hoop"
            hint={`${hoops.find(({ id }) => id === change.hoopId)?.count ?? 0} here now`}
            choices={choices(hoops)}
            value={change.hoopId}
            onChange={(hoopId) => onChange({ ...change, hoopId })}
          />
          <NumberField
            label="How many more"
            hint="with a minus: fewer"
            min={-20}
            value={change.more}
            onChange={(more) => onChange({ ...change, more: whole(more) })}
          />
        </Row>
      );
    case "magnetic":
      return (
        <ChoiceField
          label="In the place of"
          choices={choices(hoops.filter(({ kind }) => kind === "screw"))}
          value={change.hoopId}
          onChange={(hoopId) => onChange({ ...change, hoopId })}
          hint="Magnetic hoops pinch, and their field can disturb implanted medical devices: keep them away from anyone who has one."
        />
      );
    case "machine-added":
      return (
        <>
          <ChoiceField
            label="It takes the pieces of"
            choices={choices(machines)}
            value={change.likeId}
            onChange={(likeId) => onChange({ ...change, likeId })}
          />
          <MachineOwnFields change={change} onChange={onChange} />
        </>
      );
    case "machine-swapped":
      return (
        <>
          <ChoiceField
            label="In the place of"
            choices={choices(machines)}
            value={change.machineId}
            onChange={(machineId) => onChange({ ...change, machineId })}
            hint="What the old one brings: take it off the price."
          />
          <MachineOwnFields change={change} onChange={onChange} />
        </>
      );
    case "new-product":
      return <NewProductFields change={change} shop={shop} onChange={onChange} />;
    case "seam-handling":
      return (
        <>
          <ChoiceField
            label="With"
            choices={Object.entries(savers).map(([value, { words }]) => ({ value: value as keyof typeof savers, words }))}
            value={change.by}
            onChange={(by) => onChange({ ...change, by, savedS: savers[by].savedS })}
          />
          <Row>
            <NumberField
              label="Seams a piece"
              value={change.seams}
              onChange={(seams) => onChange({ ...change, seams: whole(seams) })}
            />
            <NumberField
              label="Saved at each seam"
              unit="s"
              decimals={1}
              hint="a guess: measure ten seams"
              value={change.savedS}
              onChange={(savedS) => onChange({ ...change, savedS: number(savedS) })}
            />
          </Row>
        </>
      ); // prettier-ignore
    case "machine-removed":
      return (
        <ChoiceField
          label="Machine"
          choices={choices(machines)}
          value={change.machineId}
          onChange={(machineId) => onChange({ ...change, machineId })}
        />
      );
    case "hand-added":
      return (
        <Row>
          <ChoiceField
            label="Days"
            choices={[1, 2, 3, 4, 5, 6, 7].map((count) => ({ value: String(count), words: dayWords(count) }))}
            value={String(change.weekdays.length)}
            onChange={(count) =>
              onChange({ ...change, weekdays: Array.from({ length: Number(count) }, (_, at) => at + 1) })
            }
          />
          <TimeField
            label="From"
            value={change.startMinute}
            onChange={(startMinute) => onChange({ ...change, startMinute })}
          />
          <TimeField
            label="To"
            value={change.endMinute}
            onChange={(endMinute) => onChange({ ...change, endMinute })}
          />
        </Row>
      );
    case "hand-removed":
      return (
        <ChoiceField
          label="Person"
          choices={choices(people)}
          value={change.personId}
          onChange={(personId) => onChange({ ...change, personId })}
        />
      );
    case "fixed-threads":
      return (
        <Row>
          <ChoiceField
            label="On"
            choices={choices(machines)}
            value={change.machineId}
            onChange={(machineId) => onChange({ ...change, machineId })}
          />
          <NumberField
            label="Commonest threads"
            value={change.count}
            onChange={(count) => onChange({ ...change, count: whole(count) })}
          />
        </Row>
      );
    case "day-length":
      return (
        <NumberField
          label="Longer by"
          hint="with a minus: shorter"
          unit="min"
          min={-240}
          value={change.moreMinutes}
          onChange={(minutes) => onChange({ ...change, moreMinutes: whole(minutes) })}
        />
      );
    case "service-days":
      return (
        <NumberField
          label={`Days away for a service, instead of ${shop.turnaroundDays}`}
          value={change.days}
          onChange={(days) => onChange({ ...change, days: whole(days) })}
        />
      );
    case "machine-away":
      return (
        <Row>
          <ChoiceField
            label="Machine"
            choices={choices(machines)}
            value={change.machineId}
            onChange={(machineId) => onChange({ ...change, machineId })}
          />
          <NumberField
            label="Days"
            value={change.days}
            onChange={(days) => onChange({ ...change, days: whole(days) })}
          />
        </Row>
      );
    case "orders":
      return (
        <NumberField
          label="More orders"
          hint="with a minus: fewer"
          unit="%"
          min={-90}
          value={change.percentMore}
          onChange={(percentMore) => onChange({ ...change, percentMore: whole(percentMore) })}
        />
      );
  }
}

type With<C extends Change["change"]> = Extract<Change, { change: C }>;
type Own = With<"machine-added"> | With<"machine-swapped">;

/** What the new one has of its own; a used machine is one with its own figures and its price. */
function MachineOwnFields({
  change,
  onChange,
}: {
  readonly change: Own;
  readonly onChange: (change: Own) => void;
}) {
  const field = (
    name: "needles" | "stitchesPerMinute" | "fieldWidthMm" | "fieldHeightMm" | "usedHours",
    label: string,
    unit?: string,
    usual = "as that one",
  ) => (
    <NumberField
      label={label}
      {...(unit ? { unit } : {})}
      usual={usual}
      value={change[name]}
      onChange={(value) => onChange({ ...change, [name]: value === null ? null : whole(value) })}
    />
  );
  return (
    <>
      <Row>
        {field("needles", "Needles")}
        {field("stitchesPerMinute", "Stitches a minute")}
      </Row>
      <Row>
        {field("fieldWidthMm", "Sewing field, width", "mm")}
        {field("fieldHeightMm", "Sewing field, height", "mm")}
      </Row>
      {field("usedHours", "Hours it has run already", "h", "a new one")}
    </>
  );
}

function NewProductFields({
  change,
  shop,
  onChange,
}: {
  readonly change: With<"new-product">;
  readonly shop: Shop;
  readonly onChange: (change: Change) => void;
}) {
  const money = (name: "soldForCents" | "goodsCents", label: string, hint: string) => (
    <NumberField
      label={label}
      hint={hint}
      unit={shop.currency}
      decimals={2}
      value={amountOf(change[name], shop.currency)}
      onChange={(amount) => onChange({ ...change, [name]: minorUnits(number(amount), shop.currency) })}
    />
  );
  return (
    <>
      <Row>
        <TextField label="Name" value={change.name} onChange={(name) => onChange({ ...change, name })} />
        <NumberField
          label="For a hundred pieces that come now"
          value={change.percent}
          decimals={1}
          onChange={(percent) => onChange({ ...change, percent: number(percent) })}
        />
      </Row>
      <Row>
        <NumberField
          label="Sewing at a machine"
          unit="min"
          decimals={1}
          value={change.machineMinutes}
          onChange={(minutes) => onChange({ ...change, machineMinutes: number(minutes) })}
        />
        <NumberField
          label="Colours"
          value={change.colours}
          onChange={(colours) => onChange({ ...change, colours: whole(colours) })}
        />
        <NumberField
          label="Work of hands"
          unit="min"
          decimals={1}
          usual="as is usual"
          value={change.handMinutes}
          onChange={(minutes) => onChange({ ...change, handMinutes: minutes === null ? null : number(minutes) })}
        />
      </Row>
      <ChoiceField
        label="Hoop"
        choices={[{ value: "", words: "none" }, ...choices(shop.hoops)]}
        value={change.hoopId ?? ""}
        onChange={(id) => onChange({ ...change, hoopId: id === "" ? null : id })}
      />
      <Row>
        {money("soldForCents", "Sold for", "after tax and fees")}
        {money("goodsCents", "Goods of one", "blank, thread, packing")}
      </Row>
    </>
  );
} // prettier-ignore

const number = (value: number | null): number => (value === null || Number.isNaN(value) ? 0 : value);

const dayWords = (count: number): string =>
  count === 1
    ? "Mondays"
    : `Monday to ${["Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"][count - 2]!}`;

const clock = (value: number): string =>
  `${String(Math.floor(value / 60)).padStart(2, "0")}:${String(value % 60).padStart(2, "0")}`;

function TimeField({
  label,
  value,
  onChange,
}: {
  readonly label: string;
  readonly value: number;
  readonly onChange: (value: number) => void;
}) {
  const times = Array.from({ length: 49 }, (_, at) => at * 30);
  const all = times.includes(value) ? times : [...times, value].sort((a, b) => a - b);
  return (
    <ChoiceField
      label={label}
      choices={all.map((time) => ({ value: String(time), words: clock(time) }))}
      value={String(value)}
      onChange={(text) => onChange(Number(text))}
    />
  );
}
