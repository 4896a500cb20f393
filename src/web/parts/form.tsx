import { Button, NativeSelect, NumberInput, Textarea, TextInput } from "@mantine/core";
import { useId, type ReactNode } from "react";
import "./form.css";

/** Parts of forms: a label in the trade's words, the unit beside the field, the reason under it. */

export function Fields({
  legend,
  hint,
  children,
}: {
  readonly legend: string;
  readonly hint?: ReactNode;
  readonly children: ReactNode;
}) {
  return (
    <fieldset className="fields">
      <legend>{legend}</legend>
      {hint && <p className="fields-hint quiet">{hint}</p>}
      {children}
    </fieldset>
  );
}

/** Fields side by side where there is room. */
export const Row = ({ children }: { readonly children: ReactNode }) => (
  <div className="form-row">{children}</div>
);

interface Common {
  readonly label: string;
  readonly hint?: ReactNode;
  readonly error?: string | undefined;
  readonly required?: boolean;
}

export function TextField({
  value,
  onChange,
  hint,
  placeholder,
  long,
  ...rest
}: Common & {
  readonly value: string;
  readonly onChange: (text: string) => void;
  readonly placeholder?: string;
  readonly long?: true;
  readonly autoFocus?: boolean;
}) {
  const props = {
    size: "md" as const,
    description: hint,
    placeholder,
    value,
    ...rest,
    withAsterisk: false,
    "data-autofocus": rest.autoFocus || undefined,
    autoFocus: undefined,
  };
  if (long)
    return (
      <Textarea
        {...props}
        autosize
        minRows={2}
        maxRows={8}
        onChange={(event) => onChange(event.currentTarget.value)}
      />
    );
  return (
    <TextInput {...props} autoComplete="off" onChange={(event) => onChange(event.currentTarget.value)} />
  );
}

/**
 * A number with its unit. An emptied field is NaN, which no shape accepts and the form says so; where `usual` is
 * given the field may stay empty (null) and the usual value holds.
 */
export function NumberField({
  label,
  unit,
  value,
  onChange,
  usual,
  hint,
  decimals = 0,
  max,
  min = 0,
  step,
  error,
}: Common & {
  readonly unit?: string;
  readonly value: number | null;
  readonly onChange: (value: number | null) => void;
  /** What holds while nothing is typed, in words: "45 s". */
  readonly usual?: string;
  readonly decimals?: number;
  readonly min?: number;
  readonly max?: number;
  readonly step?: number;
}) {
  return (
    <NumberInput
      size="md"
      className="number-field"
      label={
        <>
          {label}
          {unit && <span className="visually-hidden"> in {unit}</span>}
        </>
      }
      description={hint}
      placeholder={usual}
      error={error}
      value={value === null || Number.isNaN(value) ? "" : value}
      onChange={(typed) =>
        onChange(typed === "" || typed === "-" ? (usual === undefined ? Number.NaN : null) : Number(typed))
      }
      decimalScale={decimals}
      allowDecimal={decimals > 0}
      allowNegative={min < 0}
      allowedDecimalSeparators={[".", ","]}
      max={max}
      step={step ?? 1}
      clampBehavior="none"
      hideControls
      rightSection={unit ? <span className="field-unit">{unit}</span> : undefined}
      rightSectionWidth={unit ? `calc(${unit.length}ch + 1.25rem)` : undefined}
      rightSectionPointerEvents="none"
    />
  );
}

export interface Choice<V extends string = string> {
  readonly value: V;
  readonly words: string;
}

/** Words by value, as choices in that order. */
export const choicesOf = <V extends string>(words: Readonly<Record<V, string>>): Choice<V>[] =>
  (Object.keys(words) as V[]).map((value) => ({ value, words: words[value] }));

/** One of a few. */
export function ChoiceField<V extends string>({
  value,
  onChange,
  choices,
  hint,
  ...rest
}: Common & {
  readonly value: V;
  readonly onChange: (value: V) => void;
  readonly choices: readonly Choice<V>[];
}) {
  return (
    <NativeSelect
      size="md"
      description={hint}
      data={choices.map((choice) => ({ value: choice.value as string, label: choice.words }))}
      value={value}
      onChange={(event) => onChange(event.currentTarget.value as V)}
      {...rest}
      withAsterisk={false}
    />
  );
}

/** One of a few, beside a list: what is shown of it. Its label is heard, not seen. */
export function FilterChoice({
  label,
  value,
  choices,
  onChange,
}: {
  readonly label: string;
  readonly value: string;
  readonly choices: readonly Choice[];
  readonly onChange: (value: string) => void;
}) {
  return (
    <NativeSelect
      size="md"
      aria-label={label}
      value={value}
      data={choices.map((choice) => ({ value: choice.value, label: choice.words }))}
      onChange={(event) => onChange(event.currentTarget.value)}
    />
  );
}

/** One of two to four, each with what it means under it. */
export function PlainChoice<V extends string>({
  label,
  value,
  onChange,
  choices,
}: {
  readonly label: string;
  readonly value: V | null;
  readonly onChange: (value: V) => void;
  readonly choices: readonly (Choice<V> & { readonly meaning?: string })[];
}) {
  const name = useId();
  return (
    <fieldset className="plain-choice">
      <legend>{label}</legend>
      <div className="plain-choice-cards">
        {choices.map((choice) => (
          <label key={choice.value} className="plain-choice-card">
            <input
              type="radio"
              name={name}
              value={choice.value}
              checked={value === choice.value}
              onChange={() => onChange(choice.value)}
            />
            <span>
              <b>{choice.words}</b>
              {choice.meaning && <span className="quiet">{choice.meaning}</span>}
            </span>
          </label>
        ))}
      </div>
    </fieldset>
  );
}

/** Any of several, as boxes to tick. */
export function ManyChoice<V extends string>({
  label,
  hint,
  value,
  onChange,
  choices,
  none,
}: {
  readonly label: string;
  readonly hint?: ReactNode;
  readonly value: readonly V[];
  readonly onChange: (value: V[]) => void;
  readonly choices: readonly { readonly value: V; readonly words: ReactNode }[];
  readonly none?: ReactNode;
}) {
  return (
    <fieldset className="many-choice">
      <legend>{label}</legend>
      {hint && <p className="fields-hint quiet">{hint}</p>}
      {choices.length === 0 && <p className="quiet">{none}</p>}
      <div className="many-choice-boxes">
        {choices.map((choice) => (
          <label key={choice.value} className="many-choice-box">
            <input
              type="checkbox"
              checked={value.includes(choice.value)}
              onChange={(event) =>
                onChange(
                  event.currentTarget.checked
                    ? [...value, choice.value]
                    : value.filter((one) => one !== choice.value),
                )
              }
            />
            <span>{choice.words}</span>
          </label>
        ))}
      </div>
    </fieldset>
  );
}

/** A calendar date in the browser's own picker. */
export function DateField({
  label,
  value,
  onChange,
  error,
  hint,
}: Common & { readonly value: string; readonly onChange: (date: string) => void }) {
  return (
    <TextInput
      type="date"
      size="md"
      label={label}
      description={hint}
      error={error}
      value={value}
      onChange={(event) => onChange(event.currentTarget.value)}
    />
  );
}

export function AddRow({
  children,
  onClick,
}: {
  readonly children: ReactNode;
  readonly onClick: () => void;
}) {
  return (
    <Button variant="default" size="md" className="add-row" onClick={onClick}>
      {children}
    </Button>
  );
}

export function Note({
  children,
  kind = "note",
}: {
  readonly children: ReactNode;
  readonly kind?: "note" | "caution" | "late";
}) {
  return <div className={`form-note form-note-${kind}`}>{children}</div>;
}
