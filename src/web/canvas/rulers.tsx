/** Rulers along the top and the left edge: 0 at the design's own left and lower edge, so its size can be read off. */
export interface RulerView {
  readonly width: number;
  readonly height: number;
  /** CSS pixels a millimetre. */
  readonly scale: number;
  readonly xMm: number;
  readonly yMm: number;
}

const steps = {
  mm: [0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500],
  inch: [0.05, 0.1, 0.25, 0.5, 1, 2, 5, 10, 20],
};
const MM = { mm: 1, inch: 25.4 };
export const RULER_PX = 26;

function ticks(unit: "mm" | "inch", scale: number, lowMm: number, highMm: number) {
  const one = MM[unit];
  const step = steps[unit].find((wide) => wide * one * scale >= 46) ?? steps[unit].at(-1)!;
  const fine = step / (step * one * scale >= 90 ? 10 : 5);
  const first = Math.ceil(lowMm / one / fine);
  const last = Math.floor(highMm / one / fine);
  if (last - first > 2000) return [];
  return Array.from({ length: Math.max(0, last - first + 1) }, (_, i) => {
    const value = (first + i) * fine;
    const labelled = Math.abs(value / step - Math.round(value / step)) < 1e-6;
    return {
      value,
      atMm: value * one,
      labelled,
      text: labelled ? String(+(Math.round(value / step) * step).toFixed(2)) : "",
    };
  });
}

export function Rulers({
  view,
  unit,
  leftMm,
  bottomMm,
}: {
  readonly view: RulerView;
  readonly unit: "mm" | "inch";
  readonly leftMm: number;
  readonly bottomMm: number;
}) {
  const { width, height, scale, xMm, yMm } = view;
  const toX = (mm: number) => width / 2 + (mm + leftMm - xMm) * scale;
  const toY = (mm: number) => height / 2 - (mm + bottomMm - yMm) * scale;
  const across = ticks(unit, scale, xMm - width / 2 / scale - leftMm, xMm + width / 2 / scale - leftMm);
  const up = ticks(unit, scale, yMm - height / 2 / scale - bottomMm, yMm + height / 2 / scale - bottomMm);
  return (
    <g className="rulers" aria-hidden>
      <rect x={0} y={0} width={width} height={RULER_PX} className="ruler-strip" />
      <rect x={0} y={0} width={RULER_PX} height={height} className="ruler-strip" />
      {across.map(({ atMm, labelled, text }) =>
        toX(atMm) < RULER_PX ? null : (
          <g key={atMm} transform={`translate(${toX(atMm)} 0)`}>
            <line y1={RULER_PX} y2={labelled ? RULER_PX - 9 : RULER_PX - 5} />
            {labelled && (
              <text y={13} textAnchor="middle">
                {text}
              </text>
            )}
          </g>
        ),
      )}
      {up.map(({ atMm, labelled, text }) =>
        toY(atMm) < RULER_PX ? null : (
          <g key={atMm} transform={`translate(0 ${toY(atMm)})`}>
            <line x1={RULER_PX} x2={labelled ? RULER_PX - 9 : RULER_PX - 5} />
            {labelled && (
              <text transform="translate(13 0) rotate(-90)" textAnchor="middle">
                {text}
              </text>
            )}
          </g>
        ),
      )}
      <rect x={0} y={0} width={RULER_PX} height={RULER_PX} className="ruler-strip" />
      <text x={RULER_PX / 2} y={RULER_PX / 2 + 4} textAnchor="middle">
        {unit === "mm" ? "mm" : "in"}
      </text>
    </g>
  );
}
