import type { shapes } from "#contract";
import { MM_PER_INCH } from "#core/base";
import type { FloorRun } from "./floor";

/** How dates, lengths and cautions are worded on paper. */

const dayFormat = new Intl.DateTimeFormat("en-GB", {
  weekday: "short",
  day: "numeric",
  month: "short",
  timeZone: "UTC",
});
const longDayFormat = new Intl.DateTimeFormat("en-GB", {
  weekday: "long",
  day: "numeric",
  month: "long",
  year: "numeric",
  timeZone: "UTC",
});

/** "Wed 25 Nov" */
export const shortDay = (date: string): string =>
  dayFormat.format(new Date(`${date}T00:00:00Z`)).replace(",", "");
/** "Wednesday 25 November 2026" */
export const longDay = (date: string): string =>
  longDayFormat.format(new Date(`${date}T00:00:00Z`)).replace(",", "");

/** "104 × 60 mm", or inches to a tenth. */
export function sizeWords(widthMm: number, heightMm: number, unit: "mm" | "inch"): string {
  if (unit === "mm") return `${Math.round(widthMm)} × ${Math.round(heightMm)} mm`;
  return `${(widthMm / MM_PER_INCH).toFixed(1)} × ${(heightMm / MM_PER_INCH).toFixed(1)} in`;
}

/** "2 min", "1 h 05 min". */
export function minutesWords(seconds: number): string {
  const minutes = Math.max(1, Math.round(seconds / 60));
  return minutes < 60
    ? `${minutes} min`
    : `${Math.floor(minutes / 60)} h ${String(minutes % 60).padStart(2, "0")} min`;
}

export const countWords = (count: number, one: string, many = `${one}s`): string =>
  `${count} ${count === 1 ? one : many}`;

/**
 * Cautions stand where the step stands. Common practice, no source; implants: see the hoop's own papers, ICNIRP
 * (2009) and national advice on strong magnets; local rules and trained people decide, not the sheet.
 */
export const cautions = {
  needle: "Power off and hands clear before you touch a needle or thread one.",
  loading: "Hands clear of the needles before you start.",
  magnetic:
    "Magnetic hoop: it pinches; keep it away from anyone with a pacemaker or another implanted device, and from cards and phones.",
  spray: "Temporary spray only in moving air.",
  lifting: "A multi-needle machine is a two-person lift; heavy boxes too. Local rules on lifting apply.",
  blades: "Scissors and rotary blades closed when put down.",
} as const;

/** What the run's ticket has to warn of. */
export function ticketCautions(
  run: FloorRun,
  hoopKind: "magnetic" | "screw" | null,
  job: shapes.PlannedJob,
): string[] {
  const threaded = run.needles.some((use) => use.when !== "already");
  return [
    threaded ? cautions.needle : cautions.loading,
    ...(hoopKind === "magnetic" ? [cautions.magnetic] : []),
    ...(job.caution.trim() === "" ? [] : [job.caution.trim()]),
  ];
}
