import type { whatIf } from "#contract";
import { amountOf } from "#core/base";

type Measured = Extract<whatIf.WhatIfResult, { kind: "changes" }>["measures"][number];

const scaled = (value: number, unit: Measured["unit"], currency: string): number =>
  unit === "share" ? 100 * value : unit === "money" ? amountOf(Math.round(value), currency) : value;
/** Cents are told where they say something. */
const digitsOf = (value: number, unit: Measured["unit"]): number =>
  unit === "money"
    ? Math.abs(value) < 100
      ? 2
      : 0
    : Math.abs(value) >= 10
      ? 0
      : Math.abs(value) >= 1
        ? 1
        : 2;
const text = (value: number, unit: Measured["unit"]): string => {
  const words = value.toFixed(digitsOf(value, unit));
  return (Number(words) === 0 ? "0" : words).replace("-", "−");
};
const unitWords: Readonly<Record<Measured["unit"], string>> = {
  share: "of 100",
  pieces: "",
  hours: "h",
  minutes: "min",
  count: "",
  money: "",
};
const unitOf = (unit: Measured["unit"], currency: string): string =>
  unit === "money" ? currency : unitWords[unit];
const withUnit = (value: number, unit: Measured["unit"], currency: string): string =>
  `${text(scaled(value, unit, currency), unit)} ${unitOf(unit, currency)}`.trim();
const signed = (value: number, unit: Measured["unit"], currency: string): string => {
  const words = text(scaled(value, unit, currency), unit);
  return value > 0 && words !== "0" ? `+${words}` : words;
};

function verdictOf({ isPlain, better, difference }: Measured): string {
  if (!isPlain) return "within chance";
  if (better === "neither") return "plain";
  return (better === "less") === difference.mean < 0 ? "better" : "worse";
}

/** Every measure: today, changed, and the difference as a line against nothing. */
export function Intervals({
  measures,
  currency,
}: {
  readonly measures: readonly Measured[];
  readonly currency: string;
}) {
  return (
    <ul className="what-if-measures">
      {measures.map((one) => {
        const { difference, unit } = one;
        const verdict = verdictOf(one);
        return (
          <li key={one.measure}>
            <div>
              <span className="what-if-measure">{one.words}</span>
              <span className="quiet">
                today {withUnit(one.today.mean, unit, currency)}, then{" "}
                {withUnit(one.changed.mean, unit, currency)}
              </span>
            </div>
            <Interval low={difference.low} mean={difference.mean} high={difference.high} verdict={verdict} />
            <div className="what-if-difference">
              <span className={`what-if-verdict what-if-${verdict.replace(" ", "-")}`}>{verdict}</span>
              <span>
                {signed(difference.low, unit, currency)} to {signed(difference.high, unit, currency)}{" "}
                {unitOf(unit, currency)}
              </span>
            </div>
          </li>
        );
      })}
    </ul>
  );
}

const WIDE = 240;
const HIGH = 34;

/** The limits as a bar about the mean; the long stroke is no difference. Each measure has a scale of its own. */
function Interval({
  low,
  mean,
  high,
  verdict,
}: {
  readonly low: number;
  readonly mean: number;
  readonly high: number;
  readonly verdict: string;
}) {
  const reach = Math.max(Math.abs(low), Math.abs(high), 1e-12) * 1.1;
  const x = (value: number) => WIDE / 2 + (value / reach) * (WIDE / 2 - 6);
  return (
    <svg viewBox={`0 0 ${WIDE} ${HIGH}`} aria-hidden className="what-if-interval">
      <line x1={6} x2={WIDE - 6} y1={HIGH / 2} y2={HIGH / 2} className="what-if-line" />
      <line x1={WIDE / 2} x2={WIDE / 2} y1={2} y2={HIGH - 2} className="what-if-zero" />
      <line
        x1={x(low)}
        x2={Math.max(x(high), x(low) + 1)}
        y1={HIGH / 2}
        y2={HIGH / 2}
        className={`what-if-bar what-if-${verdict.replace(" ", "-")}`}
      />
      <circle cx={x(mean)} cy={HIGH / 2} r={6} className="what-if-dot" />
    </svg>
  );
}
