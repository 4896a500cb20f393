import type { whatIf } from "#contract";
import { Button } from "@mantine/core";
import { amountOf, minorUnits } from "#core/base";
import { ChoiceField, NumberField, Row } from "../parts/form";

export type Card = whatIf.WhatIfCard;
type Change = whatIf.WhatIfChange;
type Shop = whatIf.WhatIfShop;

/** The kinds of cards in the order they are offered; null where the shop has nothing to change that way. */
export const offers: readonly { readonly words: string; readonly make: (shop: Shop) => Change | null }[] = [
  {
    words: "Hoops more or fewer",
    make: ({ hoops }) => (hoops[0] ? { change: "hoops", hoopId: hoops[0].id, more: 1 } : null),
  },
  {
    words: "Magnetic instead of screw hoops",
    make: ({ hoops }) => {
      const screw = hoops.find(({ kind }) => kind === "screw");
      return screw ? { change: "magnetic", hoopId: screw.id } : null;
    },
  },
  {
    words: "A machine more",
    make: ({ machines }) =>
      machines[0]
        ? { change: "machine-added", likeId: machines[0].id, needles: null, stitchesPerMinute: null }
        : null,
  },
  {
    words: "A machine sold",
    make: ({ machines }) =>
      machines.length > 1 ? { change: "machine-removed", machineId: machines.at(-1)!.id } : null,
  },
  {
    words: "A person more",
    make: () => ({ change: "hand-added", weekdays: [1, 2, 3, 4, 5], startMinute: 540, endMinute: 780 }),
  },
  {
    words: "A person fewer",
    make: ({ people }) => (people.length > 1 ? { change: "hand-removed", personId: people.at(-1)!.id } : null),
  },
  {
    words: "Threads that stay on their needles",
    make: ({ machines }) =>
      machines[0]
        ? { change: "fixed-threads", machineId: machines[0].id, count: Math.max(1, Math.min(3, machines[0].needles - 1)) }
        : null,
  },
  { words: "A longer or shorter day", make: () => ({ change: "day-length", moreMinutes: 60 }) },
  {
    words: "Service nearer by",
    make: ({ turnaroundDays }) =>
      turnaroundDays > 0 ? { change: "service-days", days: Math.max(0, Math.floor(turnaroundDays / 2)) } : null,
  },
  {
    words: "A machine away for days",
    make: ({ machines }) => (machines[0] ? { change: "machine-away", machineId: machines[0].id, days: 5 } : null),
  },
  { words: "More or fewer orders", make: () => ({ change: "orders", percentMore: 20 }) },
]; // prettier-ignore

const titles: Readonly<Record<Change["change"], string>> = {
  hoops: "Hoops more or fewer",
  magnetic: "Magnetic instead of screw hoops",
  "machine-added": "A machine more",
  "machine-removed": "A machine sold",
  "hand-added": "A person more",
  "hand-removed": "A person fewer",
  "fixed-threads": "Threads that stay on their needles",
  "day-length": "A longer or shorter day",
  "service-days": "Service nearer by",
  "machine-away": "A machine away for days",
  orders: "More or fewer orders",
};

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
          <Row>
            <NumberField
              label="Needles"
              usual="as that one"
              value={change.needles}
              onChange={(needles) => onChange({ ...change, needles: needles === null ? null : whole(needles) })}
            />
            <NumberField
              label="Stitches a minute"
              usual="as that one"
              value={change.stitchesPerMinute}
              onChange={(speed) => onChange({ ...change, stitchesPerMinute: speed === null ? null : whole(speed) })}
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
