import type { NeedleTick } from "./board";
import type { TimeAxis } from "./time-axis";

/** What of a board fits where: marks of threadings side by side, titles in their blocks. */

export interface PlacedTick {
  readonly tick: NeedleTick;
  readonly x: number;
  /** How many of its threads are drawn; the rest stand in `more`. */
  readonly shown: number;
  readonly more: number;
  /** Threadings of this and of later ticks too near to be drawn apart; 1 for the tick alone. */
  readonly merged: readonly NeedleTick[];
}

/** Ticks of a lane side by side, never over one another: as many threads as there is room for, else the pin alone. */
export function placeTicks({
  ticks,
  axis,
  pinPx,
  chipPx,
  morePx,
}: {
  readonly ticks: readonly NeedleTick[];
  readonly axis: TimeAxis;
  readonly pinPx: number;
  readonly chipPx: number;
  readonly morePx: number;
}): PlacedTick[] {
  const placed: { tick: NeedleTick; x: number; merged: NeedleTick[] }[] = [];
  for (const tick of ticks) {
    const x = axis.x(tick.start);
    const last = placed.at(-1);
    if (last && x - last.x < pinPx) last.merged.push(tick);
    else placed.push({ tick, x, merged: [tick] });
  }
  return placed.map(({ tick, x, merged }, index) => {
    const room = (placed[index + 1]?.x ?? Infinity) - x - pinPx;
    const all = merged.reduce((sum, one) => sum + one.puts.length, 0);
    const fits = Math.floor(room / chipPx);
    const shown = all <= fits ? all : Math.max(0, Math.floor((room - morePx) / chipPx));
    return { tick, x, shown, more: all - shown, merged };
  });
}

/** The most that can be said in the width: the whole title, its initials, or nothing; never a cut word. */
export function fitTitle({
  title,
  widthPx,
  measure,
}: {
  readonly title: string;
  readonly widthPx: number;
  readonly measure: (text: string) => number;
}): string {
  if (measure(title) <= widthPx) return title;
  const words = title.split(/[\s-]+/).filter((word) => word !== "");
  const first = words[0] ?? "";
  if (words.length > 1 && first.length > 2 && measure(first) <= widthPx) return first;
  const initials = words
    .slice(0, 3)
    .map((word) => [...word][0]?.toLocaleUpperCase() ?? "")
    .join("");
  return measure(initials) <= widthPx ? initials : "";
}
