import type { costs } from "#contract";
import type { Known } from "#core/costing";

/** Figures that were needed and are not there: gathered while something is costed, each told once. */
export interface Asking {
  readonly found: readonly costs.MissingFigure[];
  ask(what: string, of: costs.MissingFigure["of"], subjectId?: string | null): null;
}

export function asking(): Asking {
  const found = new Map<string, costs.MissingFigure>();
  return {
    get found() {
      return [...found.values()];
    },
    ask(what, of, subjectId = null) {
      const key = `${of} ${subjectId ?? ""} ${what}`;
      if (!found.has(key)) found.set(key, { what, of, subjectId });
      return null;
    },
  };
}

/** All that is missing in several costs, each told once. */
export function missingOf(lists: readonly (readonly costs.MissingFigure[])[]): costs.MissingFigure[] {
  const all = new Map<string, costs.MissingFigure>();
  for (const list of lists)
    for (const one of list) all.set(`${one.of} ${one.subjectId ?? ""} ${one.what}`, one);
  return [...all.values()];
}

/** Where a figure comes from, as lines of a cost tell it. */
export const knownBy = (from: "entered" | "common-practice" | "guessed"): Known => ({ by: from });

const trust = ["measured", "entered", "common-practice", "guessed"] as const;
/** Of several figures the least trusted: what is multiplied with a guess is a guess. */
export const leastKnown = (...all: readonly Known[]): Known =>
  all.reduce((least, one) => (trust.indexOf(one.by) > trust.indexOf(least.by) ? one : least));
