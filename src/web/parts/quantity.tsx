import { amountOf, minorDigits, minorUnits, MM_PER_INCH } from "#core/base";
import { useAnswer } from "../asking";
import { NumberField } from "./form";

/** Lengths, durations and money as the studio reads them. Kept are mm, whole seconds and whole minor units. */

interface Habits {
  readonly lengthUnit: "mm" | "inch";
  readonly currency: string;
  readonly timeZone: string;
}

/** The studio's unit of length, currency and time zone; millimetres and euros until they are known. */
export function useHabits(): Habits {
  const studio = useAnswer("studio", "readStudio", {});
  return studio.data ?? { lengthUnit: "mm", currency: "EUR", timeZone: "UTC" };
}

const round = (value: number, decimals: number) => Math.round(value * 10 ** decimals) / 10 ** decimals;

/** "240 mm" or "9.45 in". */
export function lengthWords(mm: number, unit: "mm" | "inch"): string {
  return unit === "mm" ? `${round(mm, 1)} mm` : `${round(mm / MM_PER_INCH, 2)} in`;
}

/** "240 × 150 mm" or "9.45 × 5.91 in". */
export function sizeWords(widthMm: number, heightMm: number, unit: "mm" | "inch"): string {
  return unit === "mm"
    ? `${round(widthMm, 1)} × ${round(heightMm, 1)} mm`
    : `${round(widthMm / MM_PER_INCH, 2)} × ${round(heightMm / MM_PER_INCH, 2)} in`;
}

/** "45 s", "2 min 30 s", "1 h 5 min". */
export function durationWords(seconds: number): string {
  if (seconds < 120) return `${seconds} s`;
  if (seconds < 3600)
    return [`${Math.floor(seconds / 60)} min`, seconds % 60 ? `${seconds % 60} s` : ""]
      .filter(Boolean)
      .join(" ");
  const minutes = Math.round(seconds / 60);
  return [`${Math.floor(minutes / 60)} h`, minutes % 60 ? `${minutes % 60} min` : ""]
    .filter(Boolean)
    .join(" ");
}

/** Whole minor units of a currency (cents, pence), as the reader's language writes the amount. */
export function moneyWords(minor: number, currency: string): string {
  const digits = minorDigits(currency);
  return new Intl.NumberFormat(undefined, {
    style: "currency",
    currency,
    minimumFractionDigits: digits,
    maximumFractionDigits: digits,
  }).format(amountOf(minor, currency));
}

type FieldProps = Omit<Parameters<typeof NumberField>[0], "unit" | "decimals">;

/** A length kept in mm, typed in the studio's unit. */
export function LengthField({ value, onChange, ...rest }: FieldProps) {
  const { lengthUnit } = useHabits();
  if (lengthUnit === "mm")
    return <NumberField {...rest} unit="mm" decimals={1} value={value} onChange={onChange} />;
  return (
    <NumberField
      {...rest}
      unit="in"
      decimals={3}
      step={0.125}
      value={value === null ? null : round(value / MM_PER_INCH, 3)}
      onChange={(inches) => onChange(inches === null ? null : round(inches * MM_PER_INCH, 2))}
    />
  );
}

/** A duration kept in whole seconds, typed in seconds or minutes. */
export function DurationField({
  value,
  onChange,
  inMinutes,
  ...rest
}: FieldProps & { readonly inMinutes?: true }) {
  if (!inMinutes) return <NumberField {...rest} unit="s" value={value} onChange={onChange} />;
  return (
    <NumberField
      {...rest}
      unit="min"
      decimals={1}
      value={value === null ? null : round(value / 60, 1)}
      onChange={(minutes) => onChange(minutes === null ? null : Math.round(minutes * 60))}
    />
  );
}

/** Money kept in whole minor units, typed in the studio's currency. */
export function MoneyField({ value, onChange, ...rest }: FieldProps) {
  const { currency } = useHabits();
  return (
    <NumberField
      {...rest}
      unit={currency}
      decimals={minorDigits(currency)}
      value={value === null ? null : amountOf(value, currency)}
      onChange={(amount) => onChange(amount === null ? null : minorUnits(amount, currency))}
    />
  );
}
