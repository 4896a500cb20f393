export interface Reached {
  readonly share: number;
  readonly cost: number;
  /** What was proven by then; null before anything was. */
  readonly bound: number | null;
}

const W = 300;
const H = 110;
/** Room for the points beside the axis, at least so much, and so much for each sign. */
const LEAST_LEFT = 44;
const SIGN = 7.5;
const FOOT = 18;

const number = new Intl.NumberFormat("en-GB", { maximumFractionDigits: 0 });

/** The cost of the best plan so far falling towards what is proven, over the time given; the same in words for who hears it. */
export function Curve({
  reached,
  bound,
}: {
  readonly reached: readonly Reached[];
  readonly bound: number | null;
}) {
  const last = reached.at(-1);
  if (!last) return null;
  const first = reached[0]!;
  const most = Math.max(...reached.map((one) => one.cost));
  const least = Math.min(bound ?? Infinity, ...reached.map((one) => one.cost));
  // A little room below, so that a bound of nothing does not lie on the axis.
  const span = Math.max(1e-9, most - least);
  const signs = Math.max(...[last.cost, bound ?? 0].map((cost) => number.format(cost).length));
  const left = Math.max(LEAST_LEFT, 8 + SIGN * signs);
  const x = (share: number) => left + (W - left - 8) * Math.min(1, Math.max(0, share));
  const y = (cost: number) => 8 + (H - FOOT - 14) * (most === least ? 0.5 : (most - cost) / span);
  const at = (one: Reached) => `${x(one.share).toFixed(1)} ${y(one.cost).toFixed(1)}`;
  const line = reached
    .map((one, index) =>
      index === 0 ? `M${at(one)}` : `H${x(one.share).toFixed(1)} V${y(one.cost).toFixed(1)}`,
    )
    .join(" ");
  const words = `The best plan went from ${number.format(first.cost)} to ${number.format(last.cost)} points${
    bound === null ? "" : `; no plan can have fewer than ${number.format(Math.floor(bound))}`
  }.`;
  const apart = bound !== null && y(bound) - y(last.cost) > 15;
  return (
    <figure className="planning-curve">
      <svg viewBox={`0 0 ${W} ${H}`} role="img" aria-label={words}>
        <line x1={left} x2={left} y1="4" y2={H - FOOT} className="curve-axis" />
        <line x1={left} x2={W - 8} y1={H - FOOT} y2={H - FOOT} className="curve-axis" />
        <text x={left - 6} y={y(last.cost) + 4} className="curve-words" textAnchor="end">
          {number.format(last.cost)}
        </text>
        {bound !== null && (
          <>
            <line x1={left} x2={W - 8} y1={y(bound)} y2={y(bound)} className="curve-bound" />
            {apart && (
              <text x={left - 6} y={y(bound) + 4} className="curve-words" textAnchor="end">
                {number.format(Math.floor(bound))}
              </text>
            )}
          </>
        )}
        <path d={`${line} H${x(last.share).toFixed(1)}`} className="curve-line" />
        <circle cx={x(last.share)} cy={y(last.cost)} r="4" className="curve-here" />
        <text x={W - 8} y={H - 3} className="curve-words" textAnchor="end">
          time given
        </text>
      </svg>
      <figcaption className="quiet">
        Cost in points, the lower the better{bound === null ? "" : "; the dashed line is proven"}
      </figcaption>
    </figure>
  );
}
