import type { shapes } from "#contract";
import { minutesWords, uses } from "./uses";

type Day = shapes.FloorHistory["days"][number];

const WIDTH = 1000;
const HEIGHT = 46;
const HOUR_MS = 3_600_000;

/** A day's machines as time is everywhere here: length. Above what was, below it what was planned for the same runs. */
export function Lanes({
  day,
  history,
  timeZone,
}: {
  readonly day: Day;
  readonly history: shapes.FloorHistory;
  readonly timeZone: string;
}) {
  const spans = day.machines.flatMap((machine) => machine.spans);
  if (spans.length === 0) return <p className="quiet">The studio was closed.</p>;
  const from = Math.floor(Math.min(...spans.map((span) => span.fromMs)) / HOUR_MS) * HOUR_MS;
  const to = Math.ceil(Math.max(...spans.map((span) => span.toMs)) / HOUR_MS) * HOUR_MS;
  const x = (atMs: number) => ((Math.min(to, Math.max(from, atMs)) - from) / (to - from)) * WIDTH;
  const clock = new Intl.DateTimeFormat("en-GB", { timeZone, hour: "2-digit", minute: "2-digit" });
  const hours = Array.from({ length: Math.round((to - from) / HOUR_MS) + 1 }, (_, at) => from + at * HOUR_MS);
  const every = Math.ceil(hours.length / 6);
  const named = new Map(history.machines.map((machine) => [machine.id, machine.name]));
  const title = new Map(history.runs.map((run) => [run.jobId, run.title]));
  return (
    <div>
      <svg width="0" height="0" aria-hidden style={{ position: "absolute" }}>
        <defs>
          <pattern
            id="waits"
            width="6"
            height="6"
            patternUnits="userSpaceOnUse"
            patternTransform="rotate(45)"
          >
            <rect width="6" height="6" fill="var(--sw-caution)" />
            <rect width="2" height="6" fill="var(--sw-caution-ink)" />
          </pattern>
          <pattern id="down" width="8" height="8" patternUnits="userSpaceOnUse">
            <rect width="8" height="8" fill="var(--sw-paper)" />
            <circle cx="4" cy="4" r="1.6" fill="var(--sw-late)" />
          </pattern>
        </defs>
      </svg>
      {day.machines.map((machine) => (
        <div key={machine.machineId} className="history-lane">
          <b>{named.get(machine.machineId)}</b>
          <svg
            viewBox={`0 0 ${WIDTH} ${HEIGHT}`}
            preserveAspectRatio="none"
            role="img"
            aria-label={`${named.get(machine.machineId)}: ${uses
              .filter(({ use }) => machine.seconds[use] > 0)
              .map(({ use, words }) => `${words} ${minutesWords(machine.seconds[use])}`)
              .join(", ")}`}
          >
            {machine.spans.map((span) => (
              <rect
                key={`${span.fromMs} ${span.use}`}
                x={x(span.fromMs)}
                width={Math.max(0.6, x(span.toMs) - x(span.fromMs))}
                y={2}
                height={28}
                fill={uses.find(({ use }) => use === span.use)!.fill}
              >
                <title>
                  {`${span.jobId ? `${title.get(span.jobId) ?? ""} ` : ""}${uses.find(({ use }) => use === span.use)!.words}, ${clock.format(span.fromMs)}–${clock.format(span.toMs)}`}
                </title>
              </rect>
            ))}
            {history.runs
              .filter((run) => run.machineId === machine.machineId && run.plannedStartMs !== null)
              .filter((run) => from <= run.plannedStartMs! && run.plannedStartMs! <= to)
              .map((run) => (
                <rect
                  key={run.jobId}
                  x={x(run.plannedStartMs!)}
                  width={Math.max(0.6, x(run.plannedEndMs!) - x(run.plannedStartMs!))}
                  y={35}
                  height={8}
                  fill="none"
                  stroke="var(--sw-ink-2)"
                  vectorEffect="non-scaling-stroke"
                >
                  <title>{`${run.title} was planned ${clock.format(run.plannedStartMs!)}–${clock.format(run.plannedEndMs!)}`}</title>
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
                {clock.format(atMs)}
              </text>
            ))}
        </svg>
      </div>
    </div>
  );
}
