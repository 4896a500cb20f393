import { daysBetween, type MachineKind } from "#core/shop";
import { type CareMeasure, type CareRule, type CareState, isRuleOf, type Meters } from "./rules";
import { counted, dateWords, runWords, thousands } from "./words";

/** Below 0.8 of its interval a rule rests; from there it comes soon; from 1 it is due; beyond 1.2 overdue. */
export const SOON_SHARE = 0.8;
export const OVERDUE_SHARE = 1.2;

export type CareUrgency = "fine" | "soon" | "due" | "overdue";

/** A machine as care sees it. */
export interface CaredMachine {
  readonly id: string;
  readonly kind: MachineKind;
  readonly now: Meters;
  /** Where counting began: what was never noted as done counts from here. */
  readonly since: Meters;
  /** Each needle's own meters, now and where counting began; empty where they are not counted. */
  readonly needles: readonly { readonly number: number; readonly now: Meters; readonly since: Meters }[];
}

/** Where a rule stands on a machine, or on one needle of it. */
export interface CareStanding {
  readonly machineId: string;
  readonly ruleId: string;
  readonly needle: number | null;
  /** Used of the interval: 0 just done, 1 due. */
  readonly share: number;
  /** Used and left in the rule's own unit (hours, stitches, pieces, days); left is negative when past. */
  readonly used: number;
  readonly left: number;
  readonly state: CareUrgency;
  /** When it was last done; null where that was never noted. */
  readonly lastDone: Meters | null;
  readonly sentence: string;
}

export interface CareAsked {
  readonly rules: readonly CareRule[];
  readonly machines: readonly CaredMachine[];
  readonly done: readonly CareState[];
}

/** How much of a measure lies between two standings of the meters, in the measure's unit. */
export function usedBetween(by: CareMeasure, from: Meters, to: Meters): number {
  switch (by) {
    case "run-hours":
      return Math.max(0, to.runS - from.runS) / 3600;
    case "stitches":
      return Math.max(0, to.stitches - from.stitches);
    case "pieces":
      return Math.max(0, to.pieces - from.pieces);
    case "days":
      return Math.max(0, daysBetween(from.day, to.day));
  }
}

/** Where every rule stands on every machine it holds for, the most pressing first. */
export function dueCare({ rules, machines, done }: CareAsked): CareStanding[] {
  const lastDone = latestDone(done);
  const standings = machines.flatMap((machine) =>
    rules
      .filter((rule) => isRuleOf(rule, machine))
      .flatMap((rule) =>
        subjectsOf(rule, machine).map((subject) =>
          standingOf(
            rule,
            machine.id,
            subject,
            lastDone.get(keyOf(machine.id, rule.id, subject.needle)) ?? null,
          ),
        ),
      ),
  );
  return standings.sort((a, b) => b.share - a.share);
}

interface Subject {
  readonly needle: number | null;
  readonly now: Meters;
  readonly since: Meters;
}

const subjectsOf = (rule: CareRule, machine: CaredMachine): readonly Subject[] =>
  rule.perNeedle
    ? machine.needles.map(({ number, now, since }) => ({ needle: number, now, since }))
    : [{ needle: null, now: machine.now, since: machine.since }];

const keyOf = (machineId: string, ruleId: string, needle: number | null) =>
  `${machineId} ${ruleId} ${needle}`;

function latestDone(done: readonly CareState[]): Map<string, Meters> {
  const latest = new Map<string, Meters>();
  for (const { machineId, ruleId, needle, at } of done) {
    const key = keyOf(machineId, ruleId, needle);
    const known = latest.get(key);
    if (!known || known.day < at.day || (known.day === at.day && known.runS <= at.runS)) latest.set(key, at);
  }
  return latest;
}

function standingOf(
  rule: CareRule,
  machineId: string,
  subject: Subject,
  lastDone: Meters | null,
): CareStanding {
  const from = lastDone ?? subject.since;
  const used = usedBetween(rule.by, from, subject.now);
  const share = used / rule.every;
  const standing = {
    machineId,
    ruleId: rule.id,
    needle: subject.needle,
    share,
    used,
    left: rule.every - used,
    state: urgencyOf(share),
    lastDone,
  };
  return { ...standing, sentence: sentenceOf(rule, standing, from) };
}

const urgencyOf = (share: number): CareUrgency =>
  share < SOON_SHARE ? "fine" : share < 1 ? "soon" : share <= OVERDUE_SHARE ? "due" : "overdue";

/** An amount of a measure in words: "3 h 20 min of running", "12 pieces", "5 days". */
export function amountWords(by: CareMeasure, amount: number): string {
  switch (by) {
    case "run-hours":
      return `${runWords(amount * 3600)} of running`;
    case "stitches":
      return `${thousands(amount)} stitches`;
    case "pieces":
      return counted(amount, "piece");
    case "days":
      return counted(amount, "day");
  }
}

function sentenceOf(rule: CareRule, standing: Omit<CareStanding, "sentence">, from: Meters): string {
  const what = standing.needle === null ? rule.name : `${rule.name}, needle ${standing.needle}`;
  const since = standing.lastDone
    ? `last done on ${dateWords(from.day)}`
    : `not noted as done yet, counted since ${dateWords(from.day)}`;
  const rest = `Every ${amountWords(rule.by, rule.every)}; ${since}.`;
  const apart = amountWords(rule.by, Math.abs(standing.left));
  switch (standing.state) {
    case "fine":
      return `${what}: ${apart} left. ${rest}`;
    case "soon":
      return `${what} soon: ${apart} left. ${rest}`;
    case "due":
      return `${what} now: ${amountWords(rule.by, standing.used)} used. ${rest}`;
    case "overdue":
      return `${what}: overdue by ${apart}. ${rest}`;
  }
}
