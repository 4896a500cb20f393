import { runWords } from "./words";

/** A stretch of sewing as it was counted from the floor's events; ms since 1970, seconds sewn within. */
export interface CountedRun {
  readonly startMs: number;
  readonly endMs: number;
  readonly runS: number;
}

/** What the machine's own hour meter showed. */
export interface MeterReading {
  readonly atMs: number;
  readonly hours: number;
}

/** A reading beside what the count said before it. */
export interface MeterDifference {
  readonly atMs: number;
  readonly readHours: number;
  /** What we would have told; null for the first reading, which the count starts from. */
  readonly toldHours: number | null;
  /** Read − told; 0 for the first. Kept, never spread over the past. */
  readonly differenceHours: number;
  /** Counted since the reading before. */
  readonly countedHours: number;
  /** An hour meter does not run backwards: read lower than the reading before it. */
  readonly runsBackwards: boolean;
  readonly sentence: string;
}

export interface MeterStanding {
  /** The meter as it should stand: the last reading and what was counted since. */
  readonly hours: number;
  /** Counted alone, without any reading. */
  readonly countedHours: number;
  readonly differences: readonly MeterDifference[];
  /** Hours on the meter for one counted, from first to last reading; null under ten counted hours between them. */
  readonly perCountedHour: number | null;
}

/** Under so many counted hours a ratio says more about when the readings were taken than about the meter. */
const HOURS_FOR_A_RATIO = 10;

/** Seconds counted between two moments; a run that reaches over a moment counts in part, evenly. */
export function countedS(runs: readonly CountedRun[], fromMs: number, toMs: number): number {
  let sum = 0;
  for (const { startMs, endMs, runS } of runs) {
    if (endMs <= startMs) {
      if (fromMs <= startMs && startMs < toMs) sum += runS;
      continue;
    }
    const overlap = Math.min(endMs, toMs) - Math.max(startMs, fromMs);
    if (overlap > 0) sum += (runS * overlap) / (endMs - startMs);
  }
  return sum;
}

/** The hour meter at a moment: readings up to then correct the count, and each difference is kept. */
export function meterAt(asked: {
  readonly runs: readonly CountedRun[];
  readonly readings: readonly MeterReading[];
  readonly atMs: number;
}): MeterStanding {
  const { runs, atMs } = asked;
  const readings = asked.readings.filter((one) => one.atMs <= atMs).sort((a, b) => a.atMs - b.atMs);
  const differences = readings.map((reading, index) =>
    differenceOf(runs, reading, readings[index - 1] ?? null),
  );
  const last = readings.at(-1);
  const sinceLast = countedS(runs, last?.atMs ?? -Infinity, atMs) / 3600;
  return {
    hours: (last?.hours ?? 0) + sinceLast,
    countedHours: countedS(runs, -Infinity, atMs) / 3600,
    differences,
    perCountedHour: ratioOf(runs, readings),
  };
}

function differenceOf(
  runs: readonly CountedRun[],
  reading: MeterReading,
  before: MeterReading | null,
): MeterDifference {
  const countedHours = countedS(runs, before?.atMs ?? -Infinity, reading.atMs) / 3600;
  const toldHours = before === null ? null : before.hours + countedHours;
  const difference = {
    atMs: reading.atMs,
    readHours: reading.hours,
    toldHours,
    differenceHours: toldHours === null ? 0 : reading.hours - toldHours,
    countedHours,
    runsBackwards: before !== null && reading.hours < before.hours,
  };
  return { ...difference, sentence: sentenceOf(difference, before) };
}

const oneDigit = (hours: number): string => (Math.round(hours * 10) / 10).toFixed(1);

function sentenceOf(difference: Omit<MeterDifference, "sentence">, before: MeterReading | null): string {
  const { readHours, toldHours, differenceHours } = difference;
  if (before === null || toldHours === null)
    return `First reading: ${oneDigit(readHours)} h. Counting goes on from here.`;
  if (difference.runsBackwards)
    return `The meter shows ${oneDigit(readHours)} h, less than the ${oneDigit(before.hours)} h read before: look whether it was misread or the meter was changed.`;
  if (Math.abs(differenceHours) < 0.05) return `The meter shows ${oneDigit(readHours)} h, as counted.`;
  const moreOrLess = differenceHours > 0 ? "more" : "less";
  return `The meter shows ${oneDigit(readHours)} h, ${runWords(Math.abs(differenceHours) * 3600)} ${moreOrLess} than counted (${oneDigit(toldHours)} h). The meter is believed and the difference kept.`;
}

function ratioOf(runs: readonly CountedRun[], readings: readonly MeterReading[]): number | null {
  const [first, last] = [readings[0], readings.at(-1)];
  if (!first || !last) return null;
  const counted = countedS(runs, first.atMs, last.atMs) / 3600;
  return counted < HOURS_FOR_A_RATIO || last.hours < first.hours
    ? null
    : (last.hours - first.hours) / counted;
}
