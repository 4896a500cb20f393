/** How a picture stands in its window: so many times larger, and which share of it lies left of and above the window. */
export interface Zoom {
  readonly times: number;
  readonly x: number;
  readonly y: number;
}

export const WHOLE: Zoom = { times: 1, x: 0, y: 0 };
/** Closer than this a photo shows only its own pixels. */
const MOST_TIMES = 8;

/** A place of the window, as shares of its width and height. */
export interface InWindow {
  readonly x: number;
  readonly y: number;
}

/** Never smaller than the window, never beside it. */
const within = ({ times, x, y }: Zoom): Zoom => {
  const kept = Math.min(MOST_TIMES, Math.max(1, times));
  const most = 1 - 1 / kept;
  return { times: kept, x: Math.min(most, Math.max(0, x)), y: Math.min(most, Math.max(0, y)) };
};

/** The same picture `times` as large as the window, what lay at `from` now at `to`: two fingers, or a wheel. */
export function zoomedTo(zoom: Zoom, times: number, from: InWindow, to: InWindow = from): Zoom {
  const kept = Math.min(MOST_TIMES, Math.max(1, times));
  return within({
    times: kept,
    x: zoom.x + from.x / zoom.times - to.x / kept,
    y: zoom.y + from.y / zoom.times - to.y / kept,
  });
}

/** Which share of the whole picture lies at a place of the window. */
export const shareAt = ({ times, x, y }: Zoom, at: InWindow): InWindow => ({
  x: x + at.x / times,
  y: y + at.y / times,
});
