import { type CalendarDate, weekdayOf } from "#core/shop";

/** Running time in words: "40 min", "2 h 5 min", "37 h". From ten hours on whole hours. */
export function runWords(seconds: number): string {
  const minutes = Math.round(seconds / 60);
  if (minutes < 60) return `${minutes} min`;
  if (minutes >= 600) return `${thousands(Math.round(minutes / 60))} h`;
  return minutes % 60 === 0 ? `${minutes / 60} h` : `${Math.floor(minutes / 60)} h ${minutes % 60} min`;
}

/** A whole number with commas: 30000 as "30,000". */
export const thousands = (count: number): string =>
  String(Math.round(count)).replace(/\B(?=(\d{3})+(?!\d))/g, ",");

/** "1 piece", "3 pieces". */
export const counted = (count: number, one: string, many = `${one}s`): string =>
  `${thousands(count)} ${Math.round(count) === 1 ? one : many}`;

/** "a", "a and b", "a, b and c". */
export const listed = (words: readonly string[]): string =>
  words.length < 2 ? (words[0] ?? "") : `${words.slice(0, -1).join(", ")} and ${words.at(-1)}`;

const weekdays = ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"] as const;
const months = [
  "January",
  "February",
  "March",
  "April",
  "May",
  "June",
  "July",
  "August",
  "September",
  "October",
  "November",
  "December",
] as const;

/** "3 March 2026". */
export function dateWords(date: CalendarDate): string {
  const [year, month, day] = date.split("-").map(Number);
  return `${day} ${months[month! - 1]} ${year}`;
}

/** "Tuesday 3 March". */
export function dayWords(date: CalendarDate): string {
  const [, month, day] = date.split("-").map(Number);
  return `${weekdays[weekdayOf(date) - 1]} ${day} ${months[month! - 1]}`;
}
