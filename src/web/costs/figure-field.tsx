import { amountOf, minorDigits } from "#core/base";
import { NumberField } from "../parts/form";
import { useHabits } from "../parts/quantity";
import { type From, fromWords } from "./words";

/** A figure with where it comes from. Emptied it is missing, and asked for. */

export interface Figure {
  readonly value: number;
  readonly from: From;
}

/** Where a figure comes from, beside its field. */
export function FromChoice({
  label,
  value,
  onChange,
}: {
  readonly label: string;
  readonly value: From;
  readonly onChange: (from: From) => void;
}) {
  return (
    <select
      className="costs-from"
      aria-label={`${label}: where it comes from`}
      value={value}
      onChange={(event) => onChange(event.currentTarget.value as From)}
    >
      {(Object.keys(fromWords) as From[]).map((from) => (
        <option key={from} value={from}>
          {fromWords[from]}
        </option>
      ))}
    </select>
  );
}

export function FigureField({
  label,
  unit,
  hint,
  value,
  onChange,
  scale = 1,
  decimals = 0,
}: {
  readonly label: string;
  readonly unit?: string;
  readonly hint?: string;
  readonly value: Figure | null;
  readonly onChange: (figure: Figure | null) => void;
  /** What is typed times this is what is kept: 0.01 for percent, 60 for minutes. */
  readonly scale?: number;
  readonly decimals?: number;
}) {
  const round = (number: number) => Math.round(number * 1e9) / 1e9;
  return (
    <div className="costs-figure">
      <NumberField
        label={label}
        unit={unit}
        hint={hint}
        usual="not entered"
        decimals={decimals}
        value={value === null ? null : round(value.value / scale)}
        onChange={(typed) =>
          onChange(
            typed === null || Number.isNaN(typed)
              ? null
              : { value: round(typed * scale), from: value?.from ?? "entered" },
          )
        }
      />
      {value && (
        <FromChoice label={label} value={value.from} onChange={(from) => onChange({ ...value, from })} />
      )}
    </div>
  );
}

/** Money as a figure: kept in minor units, typed in the currency; `parts` allows parts of a minor unit. */
export function MoneyFigure({
  parts = 0,
  per,
  ...rest
}: Omit<Parameters<typeof FigureField>[0], "scale" | "decimals" | "unit"> & {
  readonly parts?: number;
  /** "an hour": told beside the currency. */
  readonly per?: string;
}) {
  const { currency } = useHabits();
  return (
    <FigureField
      {...rest}
      unit={per === undefined ? currency : `${currency} ${per}`}
      scale={1 / amountOf(1, currency)}
      decimals={minorDigits(currency) + parts}
    />
  );
}
