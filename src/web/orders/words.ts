import type { shapes } from "#contract";
import { daysBetween, isClosed, type PieceState, pieceStates } from "#core/shop";

/** Orders and pieces in words. */

export const stateWords: Readonly<Record<PieceState, string>> = {
  waiting: "waiting",
  ready: "ready",
  hooped: "hooped",
  sewing: "sewing",
  finishing: "finishing",
  done: "done",
  packed: "packed",
  shipped: "shipped",
  spoiled: "spoiled",
  cancelled: "cancelled",
};

/** What a press that brings a piece there is called. */
export const actWords: Readonly<Record<PieceState, string>> = {
  waiting: "Let it wait",
  ready: "Ready",
  hooped: "Hooped",
  sewing: "Sewing",
  finishing: "To finishing",
  done: "Done",
  packed: "Packed",
  shipped: "Shipped",
  spoiled: "Spoiled",
  cancelled: "Cancelled",
};

/** The way a piece goes when nothing goes wrong. */
const way: Readonly<Partial<Record<PieceState, PieceState>>> = {
  waiting: "ready",
  ready: "hooped",
  hooped: "sewing",
  sewing: "finishing",
  finishing: "done",
  done: "packed",
  packed: "shipped",
};
export const nextOnTheWay = (state: PieceState): PieceState | undefined => way[state];

export type Level = "late" | "now" | "fine" | "closed";

/** How an order or a piece stands against its ship-by date; lateness always in words. */
export function dueWords(
  shipBy: string,
  today: string,
  open: boolean,
): { readonly words: string; readonly level: Level } {
  if (!open) return { words: "closed", level: "closed" };
  const days = daysBetween(today, shipBy);
  if (days < 0) return { words: days === -1 ? "late by a day" : `late by ${-days} days`, level: "late" };
  if (days === 0) return { words: "ship today", level: "now" };
  if (days === 1) return { words: "ship tomorrow", level: "fine" };
  return { words: `in ${days} days`, level: "fine" };
}

export function isOpen(order: Pick<shapes.OrderRecord, "pieceCounts">): boolean {
  return pieceStates.some((state) => !isClosed(state) && (order.pieceCounts[state] ?? 0) > 0);
}

/** "Thu 3 Dec", with the year where it is another one. */
export function dayWords(date: string, today: string): string {
  const options: Intl.DateTimeFormatOptions = {
    weekday: "short",
    day: "numeric",
    month: "short",
    timeZone: "UTC",
    ...(date.slice(0, 4) === today.slice(0, 4) ? {} : { year: "numeric" }),
  };
  return new Intl.DateTimeFormat(undefined, options).format(Date.parse(`${date}T00:00:00Z`));
}

export const piecesWords = (count: number) => (count === 1 ? "1 piece" : `${count} pieces`);
export const pieceTotal = (order: Pick<shapes.OrderRecord, "pieceCounts">) =>
  Object.values(order.pieceCounts).reduce((sum, count) => sum + count, 0);
