import { minutesWords } from "./uses";

/** A week of machines or of hands: for each day a bar as high as its hours, cut by what they went on. */
export interface WeekRow {
  readonly id: string;
  readonly name: string;
  /** For each day of the week the seconds by use; null where nothing is known of the day. */
  readonly days: readonly (Readonly<Record<string, number>> | null)[];
}

interface Shown {
  readonly use: string;
  readonly words: string;
  readonly fill: string;
}

const HEIGHT = 84;

export function Week({
  rows,
  dates,
  uses,
  onDay,
}: {
  readonly rows: readonly WeekRow[];
  /** Calendar dates, in order. */
  readonly dates: readonly string[];
  /** From the bottom up. */
  readonly uses: readonly Shown[];
  readonly onDay: (date: string) => void;
}) {
  const sum = (day: Readonly<Record<string, number>> | null) =>
    day === null ? 0 : uses.reduce((all, { use }) => all + (day[use] ?? 0), 0);
  const most = Math.max(1, ...rows.flatMap((row) => row.days.map(sum)));
  const weekday = new Intl.DateTimeFormat("en-GB", { timeZone: "UTC", weekday: "short", day: "numeric" });
  const long = new Intl.DateTimeFormat("en-GB", {
    timeZone: "UTC",
    weekday: "long",
    day: "numeric",
    month: "long",
  });
  const at = (date: string) => new Date(`${date}T00:00:00Z`);
  return (
    <div className="history-week" style={{ "--days": dates.length } as React.CSSProperties}>
      <span />
      {dates.map((date) => (
        <button
          key={date}
          type="button"
          className="history-day"
          aria-label={`Show ${long.format(at(date))}`}
          onClick={() => onDay(date)}
        >
          {weekday.format(at(date))}
        </button>
      ))}
      {rows.map((row) => (
        <div key={row.id} className="history-week-row" role="group" aria-label={row.name}>
          <b>{row.name}</b>
          {row.days.map((day, index) => (
            <svg
              key={dates[index]}
              viewBox={`0 0 40 ${HEIGHT}`}
              preserveAspectRatio="none"
              role="img"
              aria-label={`${long.format(at(dates[index]!))}: ${saidOf(day, uses) || "nothing"}`}
            >
              {barsOf(day, uses, most).map(({ use, words, fill, y, height }) => (
                <rect key={use} x={4} width={32} y={y} height={height} fill={fill}>
                  <title>{`${words}: ${minutesWords(day![use]!)}`}</title>
                </rect>
              ))}
              <line
                x1={0}
                x2={40}
                y1={HEIGHT - 0.5}
                y2={HEIGHT - 0.5}
                stroke="var(--sw-edge)"
                vectorEffect="non-scaling-stroke"
              />
            </svg>
          ))}
        </div>
      ))}
    </div>
  );
}

const saidOf = (day: Readonly<Record<string, number>> | null, uses: readonly Shown[]): string =>
  uses
    .filter(({ use }) => (day?.[use] ?? 0) >= 30)
    .map(({ use, words }) => `${words} ${minutesWords(day![use]!)}`)
    .join(", ");

function barsOf(day: Readonly<Record<string, number>> | null, uses: readonly Shown[], most: number) {
  let y = HEIGHT;
  return uses.flatMap((one) => {
    const height = ((day?.[one.use] ?? 0) / most) * (HEIGHT - 4);
    if (height <= 0) return [];
    y -= height;
    return [{ ...one, y, height }];
  });
}
