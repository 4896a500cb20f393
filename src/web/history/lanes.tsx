/** One lane: a machine or a pair of hands through a day. */
export interface Lane {
  readonly id: string;
  readonly name: string;
  /** What it went on, in words, for those who hear the page. */
  readonly said: string;
  readonly spans: readonly {
    readonly fromMs: number;
    readonly toMs: number;
    readonly fill: string;
    readonly words: string;
  }[];
  readonly planned: readonly {
    readonly key: string;
    readonly fromMs: number;
    readonly toMs: number;
    readonly words: string;
  }[];
}

const WIDTH = 1000;
const HEIGHT = 46;
const HOUR_MS = 3_600_000;

/** A day as time is everywhere here: length. Above what was, below it what was planned of the same. */
export function Lanes({ lanes, timeZone }: { readonly lanes: readonly Lane[]; readonly timeZone: string }) {
  const spans = lanes.flatMap((lane) => lane.spans);
  if (spans.length === 0) return <p className="quiet">The studio was closed.</p>;
  const from = Math.floor(Math.min(...spans.map((span) => span.fromMs)) / HOUR_MS) * HOUR_MS;
  const to = Math.ceil(Math.max(...spans.map((span) => span.toMs)) / HOUR_MS) * HOUR_MS;
  const x = (atMs: number) => ((Math.min(to, Math.max(from, atMs)) - from) / (to - from)) * WIDTH;
  const clock = clockIn(timeZone);
  const hours = Array.from({ length: Math.round((to - from) / HOUR_MS) + 1 }, (_, at) => from + at * HOUR_MS);
  const every = Math.ceil(hours.length / 6);
  return (
    <div>
      {lanes.map((lane) => (
        <div key={lane.id} className="history-lane">
          <b>{lane.name}</b>
          <svg
            viewBox={`0 0 ${WIDTH} ${HEIGHT}`}
            preserveAspectRatio="none"
            role="img"
            aria-label={lane.said}
          >
            {lane.spans.map((span, at) => (
              <rect
                key={at}
                x={x(span.fromMs)}
                width={Math.max(0.6, x(span.toMs) - x(span.fromMs))}
                y={2}
                height={28}
                fill={span.fill}
              >
                <title>{`${span.words}, ${clock(span.fromMs)}–${clock(span.toMs)}`}</title>
              </rect>
            ))}
            {lane.planned
              .filter((one) => from <= one.fromMs && one.fromMs <= to)
              .map((one) => (
                <rect
                  key={one.key}
                  x={x(one.fromMs)}
                  width={Math.max(0.6, x(one.toMs) - x(one.fromMs))}
                  y={35}
                  height={8}
                  fill="none"
                  stroke="var(--sw-ink-2)"
                  vectorEffect="non-scaling-stroke"
                >
                  <title>{`${one.words} ${clock(one.fromMs)}–${clock(one.toMs)}`}</title>
                </rect>
              ))}
          </svg>
        </div>
      ))}
      <div className="history-lane" aria-hidden>
        <span className="quiet">outlined: the plan</span>
        <svg className="history-hours" viewBox={`0 0 ${WIDTH} 20`} preserveAspectRatio="xMidYMid meet">
          {hours
            .filter((_, at) => at % every === 0)
            .map((atMs) => (
              <text
                key={atMs}
                x={x(atMs)}
                y={15}
                fill="var(--sw-ink-2)"
                textAnchor={atMs === from ? "start" : atMs >= to ? "end" : "middle"}
              >
                {clock(atMs)}
              </text>
            ))}
        </svg>
      </div>
    </div>
  );
}

/** The studio's clock: "08:05". */
export function clockIn(timeZone: string): (atMs: number) => string {
  const format = new Intl.DateTimeFormat("en-GB", { timeZone, hour: "2-digit", minute: "2-digit" });
  return (atMs) => format.format(atMs);
}
