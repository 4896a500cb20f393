import { addDays, instantOf, localTime } from "#core/shop";

/** The axis of a board: spans of time, and time as length. Seconds after the plan's start; lengths px. */

export type BoardSpan = readonly [start: number, end: number];

/** Spans in order, those that touch or lie within `nearerThanS` of each other joined. */
export function joinSpans(spans: readonly BoardSpan[], nearerThanS: number): BoardSpan[] {
  const joined: [number, number][] = [];
  for (const [start, end] of [...spans].sort((a, b) => a[0] - b[0])) {
    const last = joined.at(-1);
    if (last && start - last[1] <= nearerThanS) last[1] = Math.max(last[1], end);
    else if (start < end) joined.push([start, end]);
  }
  return joined;
}

/** Time as length: worked time to scale, closed time as a short gap. */
export interface TimeAxis {
  readonly widthPx: number;
  readonly pxPerS: number;
  /** The place of a time; times outside are held to the ends. */
  readonly x: (seconds: number) => number;
  readonly seconds: (x: number) => number;
  readonly spans: readonly BoardSpan[];
  readonly gaps: readonly {
    readonly start: number;
    readonly end: number;
    readonly fromX: number;
    readonly toX: number;
  }[];
}

export function timeAxis({
  spans,
  pxPerS,
  gapPx,
  edgePx,
}: {
  readonly spans: readonly BoardSpan[];
  readonly pxPerS: number;
  readonly gapPx: number;
  readonly edgePx: number;
}): TimeAxis {
  const knots: [seconds: number, x: number][] = [];
  let x = edgePx;
  spans.forEach(([start, end], index) => {
    if (index > 0) x += gapPx;
    knots.push([start, x]);
    x += (end - start) * pxPerS;
    knots.push([end, x]);
  });
  const along = (value: number, from: 0 | 1, to: 0 | 1): number => {
    const first = knots[0];
    const last = knots.at(-1);
    if (!first || !last) return 0;
    if (value <= first[from]) return first[to];
    if (last[from] <= value) return last[to];
    let low = 0;
    let high = knots.length - 1;
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (knots[middle]![from] <= value) low = middle;
      else high = middle;
    }
    const [a, b] = [knots[low]!, knots[high]!];
    return b[from] === a[from] ? a[to] : a[to] + ((value - a[from]) * (b[to] - a[to])) / (b[from] - a[from]);
  };
  return {
    widthPx: x + edgePx,
    pxPerS,
    x: (seconds) => along(seconds, 0, 1),
    seconds: (place) => along(place, 1, 0),
    spans,
    gaps: spans.slice(1).map(([start], index) => ({
      start: spans[index]![1],
      end: start,
      fromX: knots[2 * index + 1]![1],
      toX: knots[2 * index + 2]![1],
    })),
  };
}

export interface AxisMark {
  readonly at: number;
  readonly x: number;
  /** Minutes after local midnight. */
  readonly minute: number;
  readonly date: string;
}

/** Steps between marks in minutes, the finest whose marks stand at least `apartPx` apart. */
export function markStepMinutes(pxPerS: number, apartPx: number): number {
  return [5, 10, 15, 30, 60, 120, 240].find((step) => step * 60 * pxPerS >= apartPx) ?? 480;
}

/** Marks at whole local clock times inside the worked spans that meet [fromS, toS]. */
export function axisMarks({
  axis,
  startsAtMs,
  timeZone,
  stepMinutes,
  fromS,
  toS,
}: {
  readonly axis: TimeAxis;
  readonly startsAtMs: number;
  readonly timeZone: string;
  readonly stepMinutes: number;
  readonly fromS: number;
  readonly toS: number;
}): AxisMark[] {
  const marks: AxisMark[] = [];
  for (const [start, end] of axis.spans) {
    const from = Math.max(start, fromS);
    const to = Math.min(end, toS);
    if (to < from) continue;
    const first = localTime(timeZone, startsAtMs + from * 1000);
    let minute = Math.ceil(first.minute / stepMinutes) * stepMinutes;
    for (let date = first.date; ;) {
      if (minute >= 1440) {
        minute = 0;
        date = addDays(date, 1);
      }
      const at = (instantOf(timeZone, date, minute) - startsAtMs) / 1000;
      if (at > to) break;
      if (from <= at) marks.push({ at, x: axis.x(at), minute, date });
      minute += stepMinutes;
    }
  }
  return marks;
}
