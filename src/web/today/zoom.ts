import { type Board, type BoardSpan, type TimeAxis, timeAxis } from "#drawing";
import { type RefObject, useCallback, useEffect, useLayoutEffect, useMemo, useRef, useState } from "react";

export type ZoomLevel = "hour" | "day" | "week";

const GAP_PX = 34;
const EDGE_PX = 14;
/** From a whole month on a screen to ten minutes on it. */
const LEAST_PX_PER_S = 0.0004;
const MOST_PX_PER_S = 2;
const LEAST_DAY_PX_PER_S = 0.025;

const lengthOf = (spans: readonly BoardSpan[]) => spans.reduce((sum, [start, end]) => sum + end - start, 0);

/** The scale at which an hour, the day of `nowS` or a week fills the width. */
function scaleOf(level: ZoomLevel, board: Board, nowS: number, roomPx: number): number {
  const room = Math.max(120, roomPx - 2 * EDGE_PX);
  if (level === "hour") return room / 3600;
  const today = board.spans.find(([, end]) => nowS < end) ?? board.spans.at(-1) ?? [0, 8 * 3600];
  // On a phone a whole day would be slivers: then a part of it, to be panned.
  if (level === "day") return Math.max(LEAST_DAY_PX_PER_S, room / Math.max(3600, today[1] - today[0]));
  const week = board.spans.filter(([start]) => start < today[0] + 7 * 86_400);
  return Math.max(40, room - GAP_PX * (week.length - 1)) / Math.max(3600, lengthOf(week));
}

export interface Zoom {
  /** The box that scrolls. */
  readonly box: RefObject<HTMLDivElement | null>;
  readonly axis: TimeAxis;
  readonly level: ZoomLevel | null;
  readonly windowPx: readonly [from: number, to: number];
  readonly toLevel: (level: ZoomLevel) => void;
  /** Nearer (factor above 1) or farther, round `atSeconds`, else round now or the middle. */
  readonly by: (factor: number, atSeconds?: number) => void;
  readonly toTime: (seconds: number) => void;
  /** Brings a stretch of time into sight, moving as little as need be. */
  readonly reveal: (start: number, end: number) => void;
  /** Zooms to a stretch of time. */
  readonly into: (start: number, end: number) => void;
}

/** The scroll box's zoom: what scale, what of it is in sight, and what stays in place when the scale changes. */
export function useZoom({
  board,
  nowS,
  headPx,
}: {
  readonly board: Board;
  readonly nowS: number;
  readonly headPx: number;
}): Zoom {
  const box = useRef<HTMLDivElement>(null);
  const [roomPx, setRoomPx] = useState(1000);
  const [level, setLevel] = useState<ZoomLevel | null>("day");
  const [free, setFree] = useState(0.04);
  const [windowPx, setWindowPx] = useState<readonly [number, number]>([-400, 2000]);
  const anchor = useRef<{ readonly seconds: number; readonly px: number } | null>({ seconds: nowS, px: -1 });
  const pxPerS = level === null ? free : scaleOf(level, board, nowS, roomPx);
  const axis = useMemo(
    () => timeAxis({ spans: board.spans, pxPerS, gapPx: GAP_PX, edgePx: EDGE_PX }),
    [board.spans, pxPerS],
  );

  const look = useCallback(() => {
    const at = box.current;
    if (!at) return;
    // In steps, so that panning does not redraw at every pixel.
    const from = Math.floor((at.scrollLeft - 500) / 600) * 600;
    const to = Math.ceil((at.scrollLeft + at.clientWidth + 500) / 600) * 600;
    setWindowPx((before) => (before[0] === from && before[1] === to ? before : [from, to]));
  }, [box]);

  useEffect(() => {
    const at = box.current;
    if (!at) return;
    const watch = new ResizeObserver(() => {
      setRoomPx(at.clientWidth - headPx);
      look();
    });
    watch.observe(at);
    at.addEventListener("scroll", look, { passive: true });
    return () => {
      watch.disconnect();
      at.removeEventListener("scroll", look);
    };
  }, [box, headPx, look]);

  useLayoutEffect(() => {
    const at = box.current;
    const kept = anchor.current;
    if (!at || !kept) return;
    at.scrollLeft = axis.x(kept.seconds) - (kept.px < 0 ? (at.clientWidth - headPx) / 3 : kept.px);
    // The first sight of the board follows the width until a person moves it.
    if (kept.px >= 0) anchor.current = null;
    look();
  }, [axis, box, headPx, look]);

  const keep = (seconds?: number) => {
    const at = box.current;
    if (!at) return;
    const room = at.clientWidth - headPx;
    const nowPx = axis.x(nowS) - at.scrollLeft;
    const chosen = seconds ?? (0 <= nowPx && nowPx <= room ? nowS : axis.seconds(at.scrollLeft + room / 2));
    anchor.current = { seconds: chosen, px: Math.max(0, axis.x(chosen) - at.scrollLeft) };
  };

  return {
    box,
    axis,
    level,
    windowPx,
    toLevel: (next) => {
      keep();
      if (anchor.current && next === "hour")
        anchor.current = { seconds: anchor.current.seconds, px: roomPx / 3 };
      setLevel(next);
    },
    by: (factor, atSeconds) => {
      keep(atSeconds);
      setFree(Math.min(MOST_PX_PER_S, Math.max(LEAST_PX_PER_S, pxPerS * factor)));
      setLevel(null);
    },
    toTime: (seconds) => {
      const at = box.current;
      anchor.current = null;
      if (at)
        at.scrollTo({
          left: axis.x(seconds) - (at.clientWidth - headPx) / 3,
          behavior: window.matchMedia("(prefers-reduced-motion: reduce)").matches ? "auto" : "smooth",
        });
    },
    reveal: (start, end) => {
      const at = box.current;
      if (!at) return;
      const left = axis.x(start);
      const right = axis.x(end);
      const room = at.clientWidth - headPx;
      if (left < at.scrollLeft + 8) at.scrollLeft = left - 40;
      else if (at.scrollLeft + room - 8 < right) at.scrollLeft = Math.min(left - 40, right - room + 40);
    },
    into: (start, end) => {
      anchor.current = { seconds: start, px: roomPx * 0.08 };
      setFree(Math.min(0.5, Math.max(roomPx / 3600, (roomPx * 0.84) / Math.max(600, end - start))));
      setLevel(null);
    },
  };
}
