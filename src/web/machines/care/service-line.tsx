import type { shapes } from "#contract";
import { dayWords } from "./words";

type Service = NonNullable<shapes.CareOfMachine["service"]>;

const WIDTH = 600;
const HEIGHT = 90;

/** The next service: its range of dates in words, and hours since the last one as they are expected to grow. */
export function ServiceLine({ service }: { readonly service: Service }) {
  const { path } = service;
  // Without past use there is nothing to draw.
  const last = service.hoursPerWeek === null ? undefined : path.at(-1);
  const most = Math.max(1, ...path.map((point) => point.high));
  const x = (at: number) => (path.length < 2 ? 0 : (at / (path.length - 1)) * WIDTH);
  const y = (hours: number) => HEIGHT - 14 - (hours / most) * (HEIGHT - 24);
  const line = (pick: (point: Service["path"][number]) => number) =>
    path.map((point, at) => `${x(at).toFixed(1)},${y(pick(point)).toFixed(1)}`);
  return (
    <div className="care-service">
      <p>{service.sentence}</p>
      {last && path.length > 2 && (
        <svg
          className="care-path"
          viewBox={`0 0 ${WIDTH} ${HEIGHT}`}
          preserveAspectRatio="none"
          role="img"
          aria-label={`Hours since service from ${dayWords(path[0]!.day)} to ${dayWords(last.day)}: ${service.sentence}`}
        >
          <polygon
            points={[...line((point) => point.high), ...line((point) => point.low).reverse()].join(" ")}
            fill="var(--sw-hairline)"
          />
          <polyline
            points={line((point) => point.mean).join(" ")}
            fill="none"
            stroke="var(--sw-ink)"
            strokeWidth="2"
            vectorEffect="non-scaling-stroke"
          />
        </svg>
      )}
      {last && path.length > 2 && (
        <p className="care-path-ends quiet" aria-hidden>
          <span>today</span>
          <span>hours since service, nine times in ten within the band</span>
          <span>{dayWords(last.day)}</span>
        </p>
      )}
    </div>
  );
}
