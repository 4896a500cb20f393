import type { CareStanding } from "./due";
import { OVERDUE_SHARE, SOON_SHARE } from "./due";
import type { CareMeasure, CareRule } from "./rules";

/** A run the plan expects on a machine; seconds of the plan's clock. */
export interface ExpectedRun {
  readonly machineId: string;
  readonly start: number;
  readonly end: number;
  /** Seconds of it that the machine sews: at most end − start. */
  readonly runS: number;
  readonly stitches: number;
  /** Pieces it finishes: 1 for a run, more for a batch. */
  readonly pieces: number;
  /** How its sewing falls on the needles. */
  readonly needles: readonly { readonly number: number; readonly runS: number; readonly stitches: number }[];
}

/** A care task for the day's plan; the machine stands still and empty meanwhile. */
export interface CareChore {
  /** "care/<rule>/<machine>/<needle or 0>/<which of the day, from 1>". */
  readonly id: string;
  readonly ruleId: string;
  readonly machineId: string;
  readonly needle: number | null;
  readonly seconds: number;
  /** Not sensibly before; seconds of the plan's clock. */
  readonly releaseAt: number;
  /** To be done by. */
  readonly dueAt: number;
}

export interface ChoresAsked {
  readonly rules: readonly CareRule[];
  readonly standings: readonly CareStanding[];
  readonly runs: readonly ExpectedRun[];
  /** The span to lay chores in, [from, to); seconds of the plan's clock. */
  readonly from: number;
  readonly to: number;
  /** Starts of the calendar days that lie in the span, the present day first: what is counted in days falls due by them. */
  readonly dayStarts: readonly number[];
}

/** At most so many of one rule on one machine in the span: a rule of minutes is a mistake, not a day of oiling. */
const MOST_OF_A_RULE = 12;

/**
 * The care that falls due within the span if the expected runs are sewn, each with its window: from when 0.8 of the
 * interval will be used until all of it is; what is due already has until 1.2 of it, what is overdue the next moment.
 * A rule may come round several times. What needs the machine away is left out: it is proposed as a trip.
 */
export function careChores(asked: ChoresAsked): CareChore[] {
  const rules = new Map(asked.rules.map((rule) => [rule.id, rule]));
  const chores = asked.standings.flatMap((standing) => {
    const rule = rules.get(standing.ruleId);
    return rule && !rule.needsAway ? choresOf(rule, standing, asked) : [];
  });
  return chores.sort((a, b) => a.dueAt - b.dueAt || (a.id < b.id ? -1 : 1));
}

function choresOf(rule: CareRule, standing: CareStanding, asked: ChoresAsked): CareChore[] {
  const reachedAt = clockOf(rule.by, standing, asked);
  const seconds = Math.round(rule.minutes * 60);
  const found: CareChore[] = [];
  // What is past its time is done now; the next turn counts from here.
  const used = Math.min(standing.used, rule.every);
  for (let turn = 0; turn < MOST_OF_A_RULE; turn++) {
    const before = turn * rule.every - used;
    const releaseAt = reachedAt(before + SOON_SHARE * rule.every);
    const full = endOf(rule.by, before + rule.every, reachedAt);
    // What the day's runs do not fill waits for another day: a rule that is only coming soon is no chore yet.
    if (full === null || releaseAt === null) break;
    const isPast = turn === 0 && standing.share >= 1;
    const overdue = OVERDUE_SHARE * rule.every - standing.used;
    const latest = isPast ? (endOf(rule.by, overdue, reachedAt) ?? asked.to) : full;
    found.push({
      id: `care/${rule.id}/${standing.machineId}/${standing.needle ?? 0}/${turn + 1}`,
      ruleId: rule.id,
      machineId: standing.machineId,
      needle: standing.needle,
      seconds,
      releaseAt: Math.floor(releaseAt),
      dueAt: Math.ceil(Math.max(latest, asked.from + seconds)),
    });
  }
  return found;
}

/** What falls due on a day has that whole day; everything else the moment its measure is full. */
const endOf = (by: CareMeasure, amount: number, reachedAt: Clock): number | null =>
  reachedAt(by === "days" && amount >= 0 ? Math.floor(amount) + 1 : amount);

/** When so much more of a measure will have been used: the span's start where it has been, null where it will not be. */
type Clock = (amount: number) => number | null;

function clockOf(by: CareMeasure, standing: CareStanding, asked: ChoresAsked): Clock {
  if (by === "days") return dayClock(asked);
  const amounts = asked.runs
    .filter((run) => run.machineId === standing.machineId && asked.from < run.end && run.start < asked.to)
    .sort((a, b) => a.start - b.start)
    .map((run) => ({ run, amount: amountOf(by, run, standing.needle) }));
  return (wanted) => {
    if (wanted <= 0) return asked.from;
    let sum = 0;
    for (const { run, amount } of amounts) {
      if (amount > 0 && sum + amount >= wanted) {
        const at = run.start + ((wanted - sum) / amount) * (run.end - run.start);
        return Math.max(asked.from, at);
      }
      sum += amount;
    }
    return null;
  };
}

/** A day is used up when the next one starts; the end of the span's last day is the span's end. */
function dayClock({ from, to, dayStarts }: ChoresAsked): Clock {
  return (wanted) => {
    if (wanted <= 0) return from;
    const day = Math.ceil(wanted);
    return day < dayStarts.length ? dayStarts[day]! : day === dayStarts.length ? to : null;
  };
}

function amountOf(by: CareMeasure, run: ExpectedRun, needle: number | null): number {
  const part = needle === null ? run : run.needles.find((one) => one.number === needle);
  if (!part) return 0;
  if (by === "run-hours") return part.runS / 3600;
  return by === "stitches" ? part.stitches : run.pieces;
}
