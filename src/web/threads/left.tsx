/** Whether it is time to order again; 0 never asks. */
export const isLow = (left: number, reorder: number) => reorder > 0 && left <= reorder;

/** How much is left: a length of thread on a line, with a tick where it is ordered again, and the word "low" when it is. */
export function Left({
  left,
  reorder,
  full,
  unit,
}: {
  readonly left: number;
  readonly reorder: number;
  readonly full: number;
  readonly unit: string;
}) {
  const low = isLow(left, reorder);
  const whole = Math.max(full, left, reorder, 1);
  return (
    <span className={low ? "left left-low" : "left"}>
      <span className="left-words">
        {low && <b className="left-word">{left <= 0 ? "none left" : "low"}</b>} {amountWords(left, unit)}
      </span>
      <span className="left-line" aria-hidden>
        <span className="left-there" style={{ width: `${(Math.max(0, left) / whole) * 100}%` }} />
        {reorder > 0 && <span className="left-tick" style={{ left: `${(reorder / whole) * 100}%` }} />}
      </span>
    </span>
  );
}

const countable = new Set(["piece", "sheet", "metre", "needle", "bobbin", "roll"]);

/** "27 pieces", "1 sheet", "1,950 m". */
export function amountWords(amount: number, unit: string): string {
  const several = amount !== 1 && countable.has(unit);
  return `${new Intl.NumberFormat().format(Math.round(amount * 100) / 100)} ${unit}${several ? "s" : ""}`;
}
