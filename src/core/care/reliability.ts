/**
 * How often a machine fails or breaks thread, with exact limits: events of a constant rate seen over an exposure are
 * Poisson, so that twice the expected number has chi-square limits (NIST/SEMATECH e-Handbook 8.4.5.1, time-censored
 * test; the two-sided form after F. Garwood, Biometrika 28 (1936) 437–442). They hold at least at the stated level.
 */
import { chiSquareQuantile, invariant } from "#core/base";
import { counted, runWords, thousands } from "./words";

export interface RateLimits {
  /** Events for one unit of exposure. */
  readonly rate: number;
  readonly low: number;
  readonly high: number;
  readonly level: number;
}

export interface RateAsked {
  readonly events: number;
  /** Hours, stitches, thousands of them: any unit; above 0. */
  readonly exposure: number;
  /** Two-sided, such as 0.9. */
  readonly level: number;
}

/** A rate and its exact limits. Without any event the low limit is 0 and the high one is one-sided. */
export function rateLimits({ events, exposure, level }: RateAsked): RateLimits {
  invariant(
    events >= 0 && exposure > 0 && 0 < level && level < 1,
    "a rate needs events ≥ 0, exposure > 0, 0 < level < 1",
  );
  const tail = events === 0 ? 1 - level : (1 - level) / 2;
  return {
    rate: events / exposure,
    low: events === 0 ? 0 : chiSquareQuantile(tail, 2 * events) / (2 * exposure),
    high: chiSquareQuantile(1 - tail, 2 * events + 2) / (2 * exposure),
    level,
  };
}

export interface TimeBetween {
  /** Mean time between failures in the exposure's unit; null without a failure. */
  readonly mean: number | null;
  readonly low: number;
  /** Null without a failure: no upper limit is known. */
  readonly high: number | null;
  readonly level: number;
}

/** The mean time between failures with its exact limits. */
export function timeBetweenFailures(asked: RateAsked): TimeBetween {
  const { rate, low, high, level } = rateLimits(asked);
  return { mean: rate === 0 ? null : 1 / rate, low: 1 / high, high: low === 0 ? null : 1 / low, level };
}

export interface RecordAsked {
  /** Hours on the meter and those the log covers. */
  readonly meterHours: number;
  readonly loggedHours: number;
  readonly loggedStitches: number;
  /** Of these, what no station told of: pieces moved on their pages, counted with the time expected. */
  readonly estimatedHours: number;
  readonly estimatedStitches: number;
  readonly services: number;
  /** Repairs: stops that needed more than a person of the house does at the machine. */
  readonly repairs: number;
  readonly threadBreaks: number;
}

export interface MachineRecord {
  readonly breaksPerMillion: RateLimits | null;
  readonly hoursBetweenRepairs: TimeBetween | null;
  readonly sentences: readonly string[];
}

const LEVEL = 0.9;

/** A machine's record in figures and sentences, for whoever buys it or keeps it. */
export function machineRecord(asked: RecordAsked): MachineRecord {
  const { loggedHours } = asked;
  // Who tells nothing of a piece tells of no break in it either.
  const loggedStitches = asked.loggedStitches - asked.estimatedStitches;
  const breaksPerMillion =
    loggedStitches > 0
      ? rateLimits({ events: asked.threadBreaks, exposure: loggedStitches / 1e6, level: LEVEL })
      : null;
  const hoursBetweenRepairs =
    loggedHours > 0
      ? timeBetweenFailures({ events: asked.repairs, exposure: loggedHours, level: LEVEL })
      : null;
  return {
    breaksPerMillion,
    hoursBetweenRepairs,
    sentences: [
      `${thousands(asked.meterHours)} h on the hour meter; ${runWords(loggedHours * 3600)} and ${counted(loggedStitches, "stitch", "stitches")} of them in this log.`,
      ...(asked.estimatedHours > 0
        ? [
            `${runWords(asked.estimatedHours * 3600)} of these are estimated: no station told of those pieces, they count with the time expected. Of thread breaks they say nothing.`,
          ]
        : []),
      `${counted(asked.services, "service")}, ${counted(asked.repairs, "repair")}.`,
      breaksSentence({ ...asked, loggedStitches }, breaksPerMillion),
      repairsSentence(asked, hoursBetweenRepairs),
    ],
  };
}

const rateWords = (rate: number): string => (rate < 10 ? rate.toFixed(1) : thousands(rate));

function breaksSentence({ threadBreaks, loggedStitches }: RecordAsked, found: RateLimits | null): string {
  if (!found) return "Nothing sewn in this log: nothing can be said of thread breaks.";
  if (threadBreaks === 0)
    return `No thread break in ${thousands(loggedStitches)} stitches: at most ${rateWords(found.high)} in a million, said with nine chances in ten.`;
  return `${counted(threadBreaks, "thread break")} in ${thousands(loggedStitches)} stitches: ${rateWords(found.rate)} in a million; with nine chances in ten the true rate lies between ${rateWords(found.low)} and ${rateWords(found.high)}.`;
}

function repairsSentence({ repairs, loggedHours }: RecordAsked, found: TimeBetween | null): string {
  if (!found) return "No running hours in this log: nothing can be said of repairs.";
  const hours = runWords(loggedHours * 3600);
  if (found.mean === null || found.high === null)
    return `No repair in ${hours} of running: more than ${thousands(found.low)} h between repairs, said with nine chances in ten.`;
  return `${counted(repairs, "repair")} in ${hours} of running: one in ${thousands(found.mean)} h; with nine chances in ten between ${thousands(found.low)} and ${thousands(found.high)} h.`;
}
