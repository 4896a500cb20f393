/** Dates and amounts of care as people read them. */
const dayFormat = new Intl.DateTimeFormat("en-GB", { timeZone: "UTC", day: "numeric", month: "short", year: "numeric" }); // prettier-ignore
export const dayWords = (date: string): string => dayFormat.format(new Date(`${date}T00:00:00Z`));

const whole = new Intl.NumberFormat("en-GB", { maximumFractionDigits: 0 });
const oneDigit = new Intl.NumberFormat("en-GB", { maximumFractionDigits: 1 });
export const countWords = (amount: number): string => whole.format(amount);
export const hoursWords = (hours: number): string => `${oneDigit.format(hours)} h`;

/** "3 h 20 min", "45 min", "30 s". */
export function timeWords(seconds: number): string {
  const minutes = Math.round(Math.abs(seconds) / 60);
  if (minutes === 0) return `${Math.round(Math.abs(seconds))} s`;
  if (minutes < 60) return `${minutes} min`;
  return minutes % 60 === 0 ? `${minutes / 60} h` : `${Math.floor(minutes / 60)} h ${minutes % 60} min`;
}

export const stateWords = { fine: "fine", soon: "soon", due: "due now", overdue: "overdue" } as const;

/** A studio's moment in words: "Tue 1 Dec 14:10". */
export const dayTime = (atMs: number, timeZone: string): string =>
  new Intl.DateTimeFormat("en-GB", { timeZone, weekday: "short", day: "numeric", month: "short", hour: "2-digit", minute: "2-digit", hourCycle: "h23" }).format(atMs).replace(/,/g, ""); // prettier-ignore
