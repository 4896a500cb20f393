/**
 * What placings teach: whether somebody hoops a product in a hoop plainly crooked or off to one side, and whether a
 * hooping aid helps. Two things make false alarms: looking again after every piece, and looking at many groups. Against
 * the first a group is tested only when 10, 20, 40, 80 … placings are there, the k-th look with 6/(π²k²) of the chance
 * (Bonferroni over looks; the shares add up to 1). Against the second the groups' chances are judged together with the
 * share of false alarms among all alarms held at 5 % (Y. Benjamini, Y. Hochberg, J. Royal Statistical Society B 57
 * (1995) 289–300).
 */
import { studentQuantile } from "#core/base";
import { studentWithin } from "./statistics";

/** One placing as it was needed: how far the cloth lay turned and shifted. */
export interface PlacingKept {
  readonly personId: string;
  readonly productId: string;
  readonly hoopId: string;
  /** Hooping aid used: a board, a template; null without. */
  readonly aid: string | null;
  readonly angleDeg: number;
  readonly xMm: number;
  readonly yMm: number;
}

export type HabitMeasure = "angleDeg" | "xMm" | "yMm";

export interface Habit {
  readonly personId: string;
  readonly productId: string;
  readonly hoopId: string;
  readonly measure: HabitMeasure;
  readonly mean: number;
  /** Half of the 95 % range of the mean. */
  readonly plusMinus: number;
  /** Placings looked at: the last whole look, not all there are. */
  readonly count: number;
}

const FIRST_LOOK = 10;
const FALSE_SHARE = 0.05;
const MEASURES: readonly HabitMeasure[] = ["angleDeg", "xMm", "yMm"];

/** The plain habits, strongest first. Placings in the order in which they happened. */
export function plainHabits(placings: readonly PlacingKept[]): Habit[] {
  const groups = new Map<string, PlacingKept[]>();
  for (const one of placings) {
    const key = JSON.stringify([one.personId, one.productId, one.hoopId]);
    const group = groups.get(key);
    if (group === undefined) groups.set(key, [one]);
    else group.push(one);
  }
  const tested = [...groups.values()].flatMap((group) => MEASURES.flatMap((measure) => look(group, measure)));
  tested.sort((a, b) => a.chance - b.chance);
  let plain = 0;
  tested.forEach(({ chance }, i) => {
    if (chance <= (FALSE_SHARE * (i + 1)) / tested.length) plain = i + 1;
  });
  return tested.slice(0, plain).map(({ habit }) => habit);
}

interface Look {
  readonly habit: Habit;
  readonly chance: number;
}

function look(group: readonly PlacingKept[], measure: HabitMeasure): Look[] {
  if (group.length < FIRST_LOOK) return [];
  const number = 1 + Math.floor(Math.log2(group.length / FIRST_LOOK));
  const count = FIRST_LOOK * 2 ** (number - 1);
  const values = group.slice(0, count).map((one) => one[measure]);
  const { mean, error } = meanOf(values);
  const t = error > 0 ? Math.abs(mean) / error : mean === 0 ? 0 : Infinity;
  const chance = Math.min(1, ((1 - studentWithin(t, count - 1)) * (Math.PI * number) ** 2) / 6);
  const { personId, productId, hoopId } = group[0]!;
  const plusMinus = studentQuantile(0.975, count - 1) * error;
  return [{ chance, habit: { personId, productId, hoopId, measure, mean, plusMinus, count } }];
}

function meanOf(values: readonly number[]): {
  readonly mean: number;
  readonly error: number;
  readonly variance: number;
} {
  const mean = values.reduce((all, one) => all + one, 0) / values.length;
  const variance = values.reduce((all, one) => all + (one - mean) ** 2, 0) / (values.length - 1);
  return { mean, variance, error: Math.sqrt(variance / values.length) };
}

export interface AidValue {
  readonly aid: string;
  readonly withAid: number;
  readonly without: number;
  /** How much less crooked with it, degrees of mean |angle|, with its 95 % range. */
  readonly lessDeg: number;
  readonly lowDeg: number;
  readonly highDeg: number;
}

/**
 * What each hooping aid is worth: mean |angle| without less with, by Welch's test (B. L. Welch, Biometrika 34 (1947)
 * 28–35). Aids with fewer than five placings on either side are left out.
 */
export function aidValues(placings: readonly PlacingKept[]): AidValue[] {
  const turned = (some: readonly PlacingKept[]) => some.map((one) => Math.abs(one.angleDeg));
  const bare = turned(placings.filter((one) => one.aid === null));
  const aids = [...new Set(placings.flatMap((one) => one.aid ?? []))].sort();
  return aids.flatMap((aid) => {
    const aided = turned(placings.filter((one) => one.aid === aid));
    if (aided.length < 5 || bare.length < 5) return [];
    const [a, b] = [meanOf(aided), meanOf(bare)];
    const lessDeg = b.mean - a.mean;
    const [va, vb] = [a.error ** 2, b.error ** 2];
    const freedom =
      va + vb > 0 ? (va + vb) ** 2 / (va ** 2 / (aided.length - 1) + vb ** 2 / (bare.length - 1)) : 1;
    const half = studentQuantile(0.975, freedom) * Math.sqrt(va + vb);
    return {
      aid,
      withAid: aided.length,
      without: bare.length,
      lessDeg,
      lowDeg: lessDeg - half,
      highDeg: lessDeg + half,
    };
  });
}
