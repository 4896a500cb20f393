/**
 * The revised lifting equation: T. R. Waters, V. Putz-Anderson, A. Garg, Applications Manual for the Revised NIOSH
 * Lifting Equation, DHHS (NIOSH) 94-110, rev. 9/2021, doi 10.26616/NIOSHPUB94110revised092021; metric constants. It is
 * for smooth two-handed lifting, standing, of a stable load, at most eight hours; it says nothing of carrying. It
 * informs; local rules and trained people decide.
 */

/** How long lifting goes on: up to 1, 2 or 8 hours with the rest the manual asks for. */
export type LiftingTime = "short" | "moderate" | "long";
export type Coupling = "good" | "fair" | "poor";

export interface Lift {
  readonly loadKg: number;
  /** Hands in front of the middle of the ankles, cm. */
  readonly horizontalCm: number;
  /** Hands above the floor, cm, where the lift begins or ends. */
  readonly verticalCm: number;
  /** How far up or down the hands go, cm. */
  readonly travelCm: number;
  /** The body's turn, degrees. */
  readonly turnDeg: number;
  readonly liftsPerMinute: number;
  readonly time: LiftingTime;
  readonly coupling: Coupling;
}

export interface LiftAnswer {
  /** Each between 0 and 1. */
  readonly multipliers: {
    readonly horizontal: number;
    readonly vertical: number;
    readonly distance: number;
    readonly turn: number;
    readonly frequency: number;
    readonly coupling: number;
  };
  /** What nearly all healthy workers can lift like this; 0 where the equation allows no lift at all. */
  readonly recommendedKg: number;
  /** Load over recommended weight; over 1 it strains some. Infinity where no lift is recommended. */
  readonly liftingIndex: number;
}

/** The load constant, kg. */
export const LOAD_CONSTANT_KG = 23;

/** The recommended weight limit and the lifting index of a lift. */
export function liftingEquation(lift: Lift): LiftAnswer {
  const horizontalCm = Math.max(25, lift.horizontalCm);
  const travelCm = Math.max(25, lift.travelCm);
  const { verticalCm, turnDeg } = lift;
  const multipliers = {
    horizontal: horizontalCm > 63 ? 0 : 25 / horizontalCm,
    vertical: verticalCm < 0 || verticalCm > 175 ? 0 : 1 - 0.003 * Math.abs(verticalCm - 75),
    distance: travelCm > 175 ? 0 : 0.82 + 4.5 / travelCm,
    turn: turnDeg > 135 ? 0 : 1 - 0.0032 * Math.max(0, turnDeg),
    frequency: frequencyMultiplier(lift),
    coupling: couplingMultiplier(lift),
  };
  const product = Object.values(multipliers).reduce((all, one) => all * one, 1);
  const recommendedKg = LOAD_CONSTANT_KG * product;
  return {
    multipliers,
    recommendedKg,
    liftingIndex: recommendedKg > 0 ? lift.loadKg / recommendedKg : Infinity,
  };
}

/** Table 5 of the manual; rows of lifts a minute. Columns by time; under and from 75 cm they differ from 9 on only. */
const rates = [0.2, 0.5, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15] as const;
const frequencies: Readonly<Record<LiftingTime, readonly [low: readonly number[], high: readonly number[]]>> =
  {
    short: [
      [1, 0.97, 0.94, 0.91, 0.88, 0.84, 0.8, 0.75, 0.7, 0.6, 0.52, 0.45, 0.41, 0.37, 0, 0, 0],
      [1, 0.97, 0.94, 0.91, 0.88, 0.84, 0.8, 0.75, 0.7, 0.6, 0.52, 0.45, 0.41, 0.37, 0.34, 0.31, 0.28],
    ],
    moderate: [
      [0.95, 0.92, 0.88, 0.84, 0.79, 0.72, 0.6, 0.5, 0.42, 0.35, 0.3, 0.26, 0, 0, 0, 0, 0],
      [0.95, 0.92, 0.88, 0.84, 0.79, 0.72, 0.6, 0.5, 0.42, 0.35, 0.3, 0.26, 0.23, 0.21, 0, 0, 0],
    ],
    long: [
      [0.85, 0.81, 0.75, 0.65, 0.55, 0.45, 0.35, 0.27, 0.22, 0.18, 0, 0, 0, 0, 0, 0, 0],
      [0.85, 0.81, 0.75, 0.65, 0.55, 0.45, 0.35, 0.27, 0.22, 0.18, 0.15, 0.13, 0, 0, 0, 0, 0],
    ],
  };

/** Between rows linearly; seldom lifts (under one in five minutes) as one in five minutes; beyond the table 0. */
function frequencyMultiplier({ liftsPerMinute, time, verticalCm }: Lift): number {
  const column = frequencies[time][verticalCm < 75 ? 0 : 1];
  const rate = Math.max(0.2, liftsPerMinute);
  const above = rates.findIndex((row) => rate <= row);
  if (above < 0) return 0;
  if (rates[above] === rate) return column[above]!;
  const [low, high] = [rates[above - 1]!, rates[above]!];
  const share = (rate - low) / (high - low);
  return column[above - 1]! + share * (column[above]! - column[above - 1]!);
}

const couplingMultiplier = ({ coupling, verticalCm }: Lift): number =>
  coupling === "good" ? 1 : coupling === "poor" ? 0.9 : verticalCm < 75 ? 0.95 : 1;

export interface MachineLift {
  readonly weightKg: number;
  /** Where the hands hold it, cm above the floor: the table it stands on, and where it goes (the car's sill). */
  readonly fromCm: number;
  readonly toCm: number;
  /** How far before the body: half its depth, about 40 for a machine's head. */
  readonly reachCm: number;
}

export interface LiftCaution {
  /** Recommended weight for one person, kg: the lower of beginning and end. */
  readonly recommendedKg: number;
  /** Lifting index for one person alone, and for each of two sharing the weight evenly. */
  readonly alone: number;
  readonly eachOfTwo: number;
  /** The fewest people whose even share keeps within the recommended weight; null where even four do not. */
  readonly people: number | null;
  readonly sentence: string;
}

const MOST_PEOPLE = 4;

/** What the equation says to lifting a machine once, straight, with a fair grip, seldom. */
export function liftCaution({ weightKg, fromCm, toCm, reachCm }: MachineLift): LiftCaution {
  const at = (verticalCm: number) =>
    liftingEquation({
      loadKg: weightKg,
      horizontalCm: reachCm,
      verticalCm,
      travelCm: Math.abs(toCm - fromCm),
      turnDeg: 0,
      liftsPerMinute: 0.2,
      time: "short",
      coupling: "fair",
    }).recommendedKg;
  const recommendedKg = Math.min(at(fromCm), at(toCm));
  const share = (count: number) => (recommendedKg > 0 ? weightKg / count / recommendedKg : Infinity);
  const fewest = Array.from({ length: MOST_PEOPLE }, (_, index) => index + 1).find(
    (count) => share(count) <= 1,
  );
  const found = { recommendedKg, alone: share(1), eachOfTwo: share(2), people: fewest ?? null };
  return { ...found, sentence: cautionSentence(weightKg, found) };
}

const LOCAL = "Local rules on lifting and trained people decide, not this figure.";

function cautionSentence(
  weightKg: number,
  { recommendedKg, alone, eachOfTwo, people }: Omit<LiftCaution, "sentence">,
) {
  const kg = (weight: number) => `${weight.toFixed(weight < 20 ? 1 : 0)} kg`;
  if (recommendedKg === 0)
    return `${kg(weightKg)} at this reach and height: the revised lifting equation recommends no lift by hand here. Bring it closer or use a lifting aid. ${LOCAL}`;
  const facts = `${kg(weightKg)}; the revised lifting equation recommends at most ${kg(recommendedKg)} a person for this lift`;
  if (people === 1) return `${facts}: within it for one person (lifting index ${alone.toFixed(1)}). ${LOCAL}`;
  if (people === 2)
    return `${facts}: two people lift it (lifting index ${alone.toFixed(1)} alone, ${eachOfTwo.toFixed(1)} each of two). ${LOCAL}`;
  const two = `lifting index ${eachOfTwo.toFixed(1)} for each of two`;
  return people === null
    ? `${facts}: too heavy by hand even for ${MOST_PEOPLE} (${two}). Use a lifting aid, or take off what comes off. ${LOCAL}`
    : `${facts}: more than two people can share (${two}); ${people} people, a lifting aid, or take off what comes off. ${LOCAL}`;
}
