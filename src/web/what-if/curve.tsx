import type { whatIf } from "#contract";

type Curve = Extract<whatIf.WhatIfResult, { kind: "curve" }>;

const WIDE = 640;
const HIGH = 300;
const LEFT = 56;
const RIGHT = 16;
const TOP = 34;
const BOTTOM = 46;

/** A round step that gives three to six lines. */
function stepOf(most: number): number {
  const rough = most / 4;
  const power = 10 ** Math.floor(Math.log10(rough));
  return [1, 2, 5, 10].map((one) => one * power).find((step) => step >= rough) ?? power;
}

/** How many: what each number leaves, with its doubt; the knee and today named on the drawing. */
export function CurveDrawing({ curve }: { readonly curve: Curve }) {
  const { points, kneeAt } = curve;
  const most = Math.max(...points.map(({ value }) => value.high), 1e-9);
  const step = stepOf(most);
  const top = Math.ceil(most / step) * step;
  const x = (at: number) => LEFT + ((WIDE - LEFT - RIGHT) * (at - points[0]!.at + 0.5)) / points.length;
  const y = (value: number) => HIGH - BOTTOM - ((HIGH - TOP - BOTTOM) * Math.max(0, value)) / top;
  const lines = Array.from({ length: Math.round(top / step) + 1 }, (_, at) => at * step);
  return (
    <figure className="what-if-curve">
      <figcaption>
        {curve.words}, {curve.unit}
      </figcaption>
      <svg viewBox={`0 0 ${WIDE} ${HIGH}`} role="img" aria-label={curve.sentence}>
        {lines.map((value) => (
          <g key={value}>
            <line x1={LEFT} x2={WIDE - RIGHT} y1={y(value)} y2={y(value)} className="what-if-line" />
            <text x={LEFT - 8} y={y(value) + 5} textAnchor="end">
              {Number(value.toFixed(2))}
            </text>
          </g>
        ))}
        <path
          className="what-if-path"
          d={points
            .map(({ at, value }, nth) => `${nth === 0 ? "M" : "L"}${x(at)} ${y(value.mean)}`)
            .join(" ")}
        />
        {points.map(({ at, value, isToday }) => (
          <g key={at}>
            <line x1={x(at)} x2={x(at)} y1={y(value.low)} y2={y(value.high)} className="what-if-whisker" />
            <circle
              cx={x(at)}
              cy={y(value.mean)}
              r={at === kneeAt ? 9 : 5}
              className={at === kneeAt ? "what-if-knee" : "what-if-dot"}
            />
            <text x={x(at)} y={HIGH - BOTTOM + 20} textAnchor="middle" fontWeight={isToday ? 700 : 400}>
              {at}
            </text>
            {isToday && (
              <text x={x(at)} y={HIGH - BOTTOM + 38} textAnchor="middle">
                today
              </text>
            )}
            {at === kneeAt && (
              <text x={x(at)} y={Math.max(16, y(value.high) - 14)} textAnchor="middle" fontWeight={700}>
                enough
              </text>
            )}
          </g>
        ))}
      </svg>
    </figure>
  );
}
