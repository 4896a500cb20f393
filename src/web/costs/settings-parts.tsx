import { Button } from "@mantine/core";
import type { costs } from "#contract";
import { amountOf, minorDigits, minorUnits } from "#core/base";
import { ChoiceField, NumberField, TextField } from "../parts/form";
import { MoneyField, useHabits } from "../parts/quantity";
import { FigureField, FromChoice, MoneyFigure } from "./figure-field";

/** Parts of the studio's figures that have several fields. */

type Settings = costs.CostSettings;
type Overhead = NonNullable<Settings["overhead"]>;

const keys: Readonly<Record<Overhead["key"], string>> = {
  "per-hand-hour": "by hours of hands",
  "per-machine-hour": "by hours of machines",
  "per-piece": "by pieces",
  "share-of-cost": "by a share of the cost",
};

export function OverheadFields({
  value,
  onChange,
}: {
  readonly value: Settings["overhead"];
  readonly onChange: (value: Settings["overhead"]) => void;
}) {
  const key = value?.key ?? "per-hand-hour";
  const figure = value && { value: value.rate, from: value.from };
  const take = (next: { value: number; from: Overhead["from"] } | null) =>
    onChange(next && { key, rate: next.value, from: next.from });
  const hint = "rent, insurance, this computer; 0 where there is none";
  return (
    <div className="costs-fields">
      {key === "share-of-cost" ? (
        <FigureField
          label="Overhead"
          unit="%"
          decimals={1}
          scale={0.01}
          hint={hint}
          value={figure}
          onChange={take}
        />
      ) : (
        <MoneyFigure
          label="Overhead"
          hint={hint}
          per={key === "per-piece" ? "a piece" : "an hour"}
          value={figure}
          onChange={take}
        />
      )}
      <ChoiceField
        label="Shared out"
        value={key}
        choices={(Object.keys(keys) as Overhead["key"][]).map((one) => ({ value: one, words: keys[one] }))}
        hint="the key by which pieces carry it"
        onChange={(next) =>
          // An amount an hour is no share: the figure starts anew where its unit changes.
          onChange({
            key: next,
            rate: (next === "share-of-cost") === (key === "share-of-cost") ? (value?.rate ?? 0) : 0,
            from: value?.from ?? "entered",
          })
        }
      />
    </div>
  );
}

export function PackingFields({
  value,
  onChange,
}: {
  readonly value: Settings["packing"];
  readonly onChange: (value: Settings["packing"]) => void;
}) {
  const whole = value ?? { cents: 0, seconds: 0, from: "entered" as const };
  return (
    <div className="costs-fields">
      <MoneyField
        label="A parcel’s box and filling"
        usual="not entered"
        hint="one for each order"
        value={value?.cents ?? null}
        onChange={(cents) => onChange(cents === null || Number.isNaN(cents) ? null : { ...whole, cents })}
      />
      {value && (
        <>
          <NumberField
            label="Packing it"
            unit="min"
            decimals={1}
            value={Math.round(value.seconds / 6) / 10}
            onChange={(minutes) => onChange({ ...whole, seconds: Math.round((minutes ?? 0) * 60) || 0 })}
          />
          <div className="costs-figure">
            <FromChoice label="Parcel" value={value.from} onChange={(from) => onChange({ ...whole, from })} />
          </div>
        </>
      )}
    </div>
  );
}

export function Channels({
  value,
  onChange,
}: {
  readonly value: Settings["channels"];
  readonly onChange: (value: Settings["channels"]) => void;
}) {
  const set = (at: number, own: Partial<costs.CostChannel>) =>
    onChange(value.map((one, index) => (index === at ? { ...one, ...own } : one)));
  const nextId = () => {
    for (let number = value.length + 1; ; number += 1)
      if (!value.some((one) => one.id === `channel-${number}`)) return `channel-${number}`;
  };
  return (
    <>
      <h4>Where you sell</h4>
      <p className="quiet">
        By the name orders carry. What the channel takes of the price, and for each order.
      </p>
      {value.map((channel, at) => (
        <div key={channel.id} className="costs-fields costs-channel">
          <TextField label="Channel" value={channel.name} onChange={(name) => set(at, { name })} />
          <NumberField
            label="Takes"
            unit="%"
            decimals={2}
            max={95}
            value={Math.round(channel.feeShare * 1e4) / 100}
            onChange={(percent) => set(at, { feeShare: (percent ?? Number.NaN) / 100 })}
          />
          <MoneyField
            label="And an order"
            value={channel.feeCents}
            onChange={(cents) => set(at, { feeCents: cents ?? Number.NaN })}
          />
          <div className="costs-figure">
            <FromChoice
              label={`Fee of ${channel.name}`}
              value={channel.from}
              onChange={(from) => set(at, { from })}
            />
            <Button
              size="md"
              variant="subtle"
              color="gray"
              onClick={() => onChange(value.filter((_, index) => index !== at))}
            >
              Take it away
            </Button>
          </div>
        </div>
      ))}
      <div>
        <Button
          size="md"
          variant="default"
          disabled={value.length >= 30}
          onClick={() =>
            onChange([
              ...value,
              {
                id: nextId(),
                name: `Channel ${value.length + 1}`,
                feeShare: 0,
                feeCents: 0,
                from: "entered",
              },
            ])
          }
        >
          Another channel
        </Button>
      </div>
    </>
  );
}

export function RoundingFields({
  value,
  onChange,
}: {
  readonly value: Settings["rounding"];
  readonly onChange: (value: Settings["rounding"]) => void;
}) {
  const { currency } = useHabits();
  const decimals = minorDigits(currency);
  return (
    <div className="costs-fields">
      <NumberField
        label="Prices in steps of"
        unit={currency}
        decimals={decimals}
        value={amountOf(value.stepCents, currency)}
        onChange={(amount) =>
          onChange({ ...value, stepCents: amount === null ? Number.NaN : minorUnits(amount, currency) })
        }
      />
      <NumberField
        label="Ending within a step at"
        unit={currency}
        decimals={decimals}
        hint="0.95 in steps of 1 gives 12.95"
        value={amountOf(value.endCents, currency)}
        onChange={(amount) =>
          onChange({ ...value, endCents: amount === null ? Number.NaN : minorUnits(amount, currency) })
        }
      />
      <ChoiceField
        label="Rounded"
        value={value.way}
        choices={[
          { value: "up", words: "up: never below the margin" },
          { value: "nearest", words: "to the nearest" },
        ]}
        onChange={(way) => onChange({ ...value, way })}
      />
    </div>
  );
}

export function TierFields({
  tiers,
  rush,
  onTiers,
  onRush,
}: {
  readonly tiers: Settings["tiers"];
  readonly rush: Settings["rush"];
  readonly onTiers: (value: Settings["tiers"]) => void;
  readonly onRush: (value: Settings["rush"]) => void;
}) {
  const set = (at: number, own: Partial<Settings["tiers"][number]>) =>
    onTiers(tiers.map((one, index) => (index === at ? { ...one, ...own } : one)));
  return (
    <>
      <h4>By quantity</h4>
      {tiers.map((tier, at) => (
        <div key={at} className="costs-fields">
          <NumberField
            label="From"
            unit="pieces"
            min={2}
            value={tier.from}
            onChange={(from) => set(at, { from: from ?? Number.NaN })}
          />
          <NumberField
            label="Margin"
            unit="%"
            decimals={1}
            max={95}
            value={Math.round(tier.margin * 1000) / 10}
            onChange={(percent) => set(at, { margin: (percent ?? Number.NaN) / 100 })}
          />
          <Button
            size="md"
            variant="subtle"
            color="gray"
            onClick={() => onTiers(tiers.filter((_, index) => index !== at))}
          >
            Take it away
          </Button>
        </div>
      ))}
      <div>
        <Button
          size="md"
          variant="default"
          disabled={tiers.length >= 8}
          onClick={() =>
            onTiers([...tiers, { from: (tiers.at(-1)?.from ?? 5) * 2, margin: tiers.at(-1)?.margin ?? 0.25 }])
          }
        >
          Another quantity
        </Button>
      </div>
      <h4>In a hurry</h4>
      <div className="costs-fields">
        <NumberField
          label="On top of the price"
          unit="%"
          decimals={1}
          max={500}
          value={Math.round(rush.share * 1000) / 10}
          onChange={(percent) => onRush({ ...rush, share: (percent ?? Number.NaN) / 100 })}
        />
        <MoneyField
          label="And a piece"
          value={rush.cents}
          onChange={(cents) => onRush({ ...rush, cents: cents ?? Number.NaN })}
        />
      </div>
    </>
  );
}
