/** Two shops on the same luck: what a change is worth, with its doubt. */
import { invariant, studentQuantile } from "#core/base";
import type { Season } from "./ledger";

/** What a season came to, as figures that can be compared; hours a working day where a name ends in `HoursADay`. */
export interface Measures {
  readonly onTimeShare: number;
  readonly piecesADay: number;
  readonly throughHours: number;
  readonly lateHours: number;
  readonly threadingsADay: number;
  readonly midStopsADay: number;
  readonly overtimeHoursADay: number;
  readonly sewingHoursADay: number;
  readonly waitingHandsHoursADay: number;
  readonly waitingHoopingHoursADay: number;
  readonly waitingWorkHoursADay: number;
  readonly handHoursADay: number;
  readonly spoiledADay: number;
  /** Work of hands as a share of their shifts, sewing as a share of the hours machines could sew in. */
  readonly handUse: number;
  readonly machineUse: number;
}
export type Measure = keyof Measures;

/** `workingDays`: days on which the shop was open until the season's end. */
export function measuresOf(season: Season, workingDays: number): Measures {
  invariant(workingDays > 0, "a season has a working day");
  const machineHours = (use: keyof Season["machines"][number]["seconds"]) =>
    season.machines.reduce((sum, { seconds }) => sum + seconds[use], 0) / 3600 / workingDays;
  const handS = season.hands.reduce(
    (sum, { seconds }) => sum + Object.values(seconds).reduce((a, b) => a + b, 0),
    0,
  );
  const shiftS = season.hands.reduce((sum, one) => sum + one.shiftS, 0);
  const openS = season.machines.reduce(
    (sum, { seconds }) => sum + Object.values(seconds).reduce((a, b) => a + b, 0),
    0,
  );
  return {
    onTimeShare: season.onTimeShare,
    piecesADay: season.done / workingDays,
    throughHours: season.meanThroughS / 3600,
    lateHours: season.lateS / 3600,
    threadingsADay: season.threadings / workingDays,
    midStopsADay: season.midStops / workingDays,
    overtimeHoursADay: season.hands.reduce((sum, { overtimeS }) => sum + overtimeS, 0) / 3600 / workingDays,
    sewingHoursADay: machineHours("sewing"),
    waitingHandsHoursADay: machineHours("waiting-hands"),
    waitingHoopingHoursADay: machineHours("waiting-hooping"),
    waitingWorkHoursADay: machineHours("waiting-work"),
    handHoursADay: handS / 3600 / workingDays,
    spoiledADay: season.spoiled / workingDays,
    handUse: shiftS === 0 ? 0 : handS / shiftS,
    machineUse:
      openS === 0 ? 0 : season.machines.reduce((sum, { seconds }) => sum + seconds.sewing, 0) / openS,
  };
}

export interface Estimate {
  readonly mean: number;
  /** Limits of the mean at `level`; both the mean where there is one value only and nothing is known of its doubt. */
  readonly low: number;
  readonly high: number;
  readonly level: number;
  readonly count: number;
}

/** Student's interval for a mean (NIST/SEMATECH e-Handbook 7.2.2.1). */
export function estimateOf(values: readonly number[], level = 0.95): Estimate {
  invariant(values.length > 0, "an estimate needs a value");
  const count = values.length;
  const mean = values.reduce((sum, one) => sum + one, 0) / count;
  if (count === 1) return { mean, low: mean, high: mean, level, count };
  const variance = values.reduce((sum, one) => sum + (one - mean) ** 2, 0) / (count - 1);
  const half = studentQuantile((1 + level) / 2, count - 1) * Math.sqrt(variance / count);
  return { mean, low: mean - half, high: mean + half, level, count };
}

/**
 * Which of several differences stand out of chance when all of them are looked at together: Holm's step-down test
 * (S. Holm, Scandinavian Journal of Statistics 6 (1979) 65–70, from memory). One false alarm among all of them comes in
 * at most `1 − level` of such tables, however the measures hang together.
 */
export function plainOnes(differences: readonly Estimate[], level = 0.95): readonly boolean[] {
  const plain = differences.map(() => false);
  const strength = ({ mean, low, high, level: own, count }: Estimate): number => {
    if (mean === 0 || count < 2) return 0;
    const half = (high - low) / 2;
    return half === 0 ? Infinity : (Math.abs(mean) / half) * studentQuantile((1 + own) / 2, count - 1);
  };
  const inTurn = differences
    .map((one, at) => ({ at, count: one.count, t: strength(one) }))
    .sort((a, b) => b.t - a.t);
  for (const [nth, { at, count, t }] of inTurn.entries()) {
    if (t === 0) break;
    const tail = (1 - level) / 2 / (differences.length - nth);
    if (t !== Infinity && t <= studentQuantile(1 - tail, count - 1)) break;
    plain[at] = true;
  }
  return plain;
}

export interface Compared {
  readonly today: Estimate;
  readonly changed: Estimate;
  /** Changed less today, pair by pair: what both met alike falls out. */
  readonly difference: Estimate;
  /** Whether the difference's limits leave out nothing at all. */
  readonly isPlain: boolean;
}

export interface Pair {
  readonly today: Measures;
  readonly changed: Measures;
}

/** Seasons played in pairs with the same seeds, compared measure by measure. */
export function compared(pairs: readonly Pair[], level = 0.95): Readonly<Record<Measure, Compared>> {
  invariant(pairs.length > 0, "a comparison needs a pair of seasons");
  const names = Object.keys(pairs[0]!.today) as Measure[];
  return Object.fromEntries(
    names.map((name) => {
      const difference = estimateOf(
        pairs.map(({ today, changed }) => changed[name] - today[name]),
        level,
      );
      const one: Compared = {
        today: estimateOf(
          pairs.map(({ today }) => today[name]),
          level,
        ),
        changed: estimateOf(
          pairs.map(({ changed }) => changed[name]),
          level,
        ),
        difference,
        isPlain: difference.low > 0 || difference.high < 0,
      };
      return [name, one];
    }),
  ) as Record<Measure, Compared>;
}

/** Where a curve bends most: the point farthest below or above the line from its first point to its last; −1 for a line. */
export function kneeOf(values: readonly number[]): number {
  const last = values.length - 1;
  if (last < 2) return -1;
  const span = Math.abs(values[last]! - values[0]!);
  if (span === 0) return -1;
  let knee = -1;
  let most = 0.08;
  for (let at = 1; at < last; at++) {
    const line = values[0]! + ((values[last]! - values[0]!) * at) / last;
    const apart = Math.abs(values[at]! - line) / span;
    if (apart > most) {
      most = apart;
      knee = at;
    }
  }
  return knee;
}
