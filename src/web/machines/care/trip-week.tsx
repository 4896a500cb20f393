import type { shapes } from "#contract";
import { dateWords } from "../../today/day";
import { dayTime } from "./words";

type Trip = shapes.ServiceTrips["proposals"][number]["trips"][number];

const DAY_MS = 86_400_000;
const WIDTH = 1000;
/** Orders drawn; the rest are counted. */
const MOST_ORDERS = 8;

const at = (date: string): number => Date.parse(`${date}T00:00:00Z`);
const dateOf = (ms: number): string => new Date(ms).toISOString().slice(0, 10);

/** A proposal on its weeks: when each machine is away, and which orders are ready later because of it. */
export function TripWeek({
  trips,
  names,
  today,
  timeZone,
}: {
  readonly trips: readonly Trip[];
  /** Machines by id. */
  readonly names: ReadonlyMap<string, string>;
  readonly today: string;
  readonly timeZone: string;
}) {
  const orders = trips.flatMap((trip) => trip.orders);
  const shown = orders.slice(0, MOST_ORDERS);
  const many = trips.reduce((sum, trip) => sum + trip.movedOrders, 0);
  const local = (ms: number) => ms + offsetMs(timeZone, ms);
  const from = firstDay(trips, shown, today, local);
  const last = Math.max(
    ...trips.map((trip) => at(trip.backOn)),
    ...shown.flatMap((order) => [local(order.readyAfterMs), at(order.shipBy) + DAY_MS]),
  );
  const to = Math.max(Math.ceil(last / DAY_MS) * DAY_MS + DAY_MS, from + 7 * DAY_MS);
  const x = (ms: number) => ((Math.min(to, Math.max(from, ms)) - from) / (to - from)) * WIDTH;
  const days = Array.from({ length: Math.round((to - from) / DAY_MS) }, (_, index) => from + index * DAY_MS);
  const every = Math.max(1, Math.ceil(days.length / 7));
  const weekends = days.filter((ms) => [0, 6].includes(new Date(ms).getUTCDay()));
  const Ground = () => weekends.map((ms) => <rect key={ms} x={x(ms)} width={x(ms + DAY_MS) - x(ms)} y={0} height={30} fill="var(--sw-lane)" />); // prettier-ignore
  return (
    <figure className="care-week">
      <div className="care-week-row" aria-hidden>
        <span />
        <span className="care-week-days">
          {days
            .filter((_, index) => index % every === 0)
            .map((ms) => (
              <span key={ms} style={{ left: `${x(ms) / (WIDTH / 100)}%` }}>
                {dateWords(dateOf(ms))}
              </span>
            ))}
        </span>
      </div>
      {trips.flatMap((trip) =>
        trip.machineIds.map((id) => (
          <div key={`${id} ${trip.leaveOn}`} className="care-week-row">
            <b>{names.get(id) ?? "A machine"}</b>
            <svg
              viewBox={`0 0 ${WIDTH} 30`}
              preserveAspectRatio="none"
              role="img"
              aria-label={`${names.get(id) ?? "A machine"} is away from ${dateWords(trip.leaveOn)} to ${dateWords(trip.backOn)}`}
            >
              <Ground />
              <line
                x1={0}
                x2={WIDTH}
                y1={15}
                y2={15}
                stroke="var(--sw-edge)"
                vectorEffect="non-scaling-stroke"
              />
              <rect
                x={x(at(trip.leaveOn))}
                width={Math.max(3, x(at(trip.backOn)) - x(at(trip.leaveOn)))}
                y={4}
                height={22}
                fill="var(--sw-caution)"
                stroke="var(--sw-caution-ink)"
                vectorEffect="non-scaling-stroke"
              />
            </svg>
          </div>
        )),
      )}
      {shown.map((order, index) => (
        <div key={`${order.orderId} ${index}`} className="care-week-row">
          <span className="care-week-order">
            {order.reference} <span className="quiet">{order.customer}</span>
          </span>
          <svg
            viewBox={`0 0 ${WIDTH} 30`}
            preserveAspectRatio="none"
            role="img"
            aria-label={movedWords(order, timeZone)}
          >
            <title>{movedWords(order, timeZone)}</title>
            <Ground />
            <rect x={x(at(order.shipBy) + DAY_MS) - 2} width={2} y={2} height={26} fill="var(--sw-ink-2)" />
            <rect
              x={Math.min(x(local(order.readyBeforeMs)), x(local(order.readyAfterMs)))}
              width={Math.max(2, Math.abs(x(local(order.readyAfterMs)) - x(local(order.readyBeforeMs))))}
              y={11}
              height={8}
              fill={order.lateAfterMinutes > order.lateBeforeMinutes ? "var(--sw-late)" : "var(--sw-accent)"}
            />
            <rect
              x={x(local(order.readyAfterMs)) - 3}
              width={6}
              y={5}
              height={20}
              fill={order.lateAfterMinutes > 0 ? "var(--sw-late)" : "var(--sw-accent)"}
            />
          </svg>
        </div>
      ))}
      <figcaption>
        {orders.length === 0 ? (
          "No order is ready at another time because of it."
        ) : (
          <>
            {shown.map((order, index) => (
              <span key={`${order.orderId} ${index}`} data-late={order.lateAfterMinutes > 0 || undefined}>
                {movedWords(order, timeZone)}
              </span>
            ))}
            {many > shown.length && <span className="quiet">and {many - shown.length} more orders</span>}
            <span className="quiet">
              A bar runs from when an order would be ready to when it will be; the upright line is the end of
              its ship-by day.
            </span>
          </>
        )}
      </figcaption>
    </figure>
  );
}

/** The picture begins today, or some days before the first trip where that is weeks off. */
function firstDay(
  trips: readonly Trip[],
  orders: readonly Trip["orders"][number][],
  today: string,
  local: (ms: number) => number,
): number {
  const leaves = Math.min(...trips.map((trip) => at(trip.leaveOn)));
  const first = Math.min(
    leaves,
    ...orders.map((order) => local(Math.min(order.readyBeforeMs, order.readyAfterMs))),
  );
  return Math.max(at(today), Math.floor((first - 3 * DAY_MS) / DAY_MS) * DAY_MS);
}

function movedWords(order: Trip["orders"][number], timeZone: string): string {
  const { reference, pieces, readyBeforeMs, readyAfterMs, lateBeforeMinutes, lateAfterMinutes } = order;
  const later = readyAfterMs >= readyBeforeMs ? "later" : "sooner";
  const late =
    lateAfterMinutes > 0
      ? lateBeforeMinutes > 0
        ? `late by ${lengthOf(lateAfterMinutes)} instead of ${lengthOf(lateBeforeMinutes)}`
        : `late by ${lengthOf(lateAfterMinutes)}, on time without it`
      : lateBeforeMinutes > 0
        ? "on time, late without it"
        : "on time all the same";
  const moved = pieces === 1 ? "one piece moves" : `${pieces} pieces move`;
  return `${reference}: ready ${dayTime(readyAfterMs, timeZone)}, ${later} than ${dayTime(readyBeforeMs, timeZone)}; ${moved}; ${late}`;
}

const lengthOf = (minutes: number): string =>
  minutes < 90
    ? `${Math.round(minutes)} min`
    : minutes < 48 * 60
      ? `${Math.round(minutes / 60)} h`
      : `${Math.round(minutes / 1440)} days`;

/** How far the studio's clock is ahead of UTC. */
function offsetMs(timeZone: string, ms: number): number {
  const parts = new Intl.DateTimeFormat("en-GB", { timeZone, hourCycle: "h23", year: "numeric", month: "2-digit", day: "2-digit", hour: "2-digit", minute: "2-digit" }).formatToParts(ms); // prettier-ignore
  const of = (type: string) => Number(parts.find((part) => part.type === type)!.value);
  const shown = Date.UTC(of("year"), of("month") - 1, of("day"), of("hour"), of("minute"));
  return shown - Math.floor(ms / 60_000) * 60_000;
}
