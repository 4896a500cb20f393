/**
 * Machines that wait for hands by chance alone: N machines run for a time, then each needs a hand for a time; c people
 * serve whoever asks. With exponential times it is the finite-source queue M/M/c//N (W. Feller, An Introduction to
 * Probability Theory and Its Applications vol. 1, ch. XVII, "servicing of machines"). With one hand and service that
 * always takes equally long, H. Ashcroft, J. Royal Statistical Society B 12 (1950) 145–151, here by L. Takács's
 * formula for any service time (Introduction to the Theory of Queues, 1962, ch. 5; from memory).
 */
import { invariant } from "#core/base";

export interface InterferenceAsked {
  readonly machines: number;
  readonly hands: number;
  /** Mean time a machine needs a hand for, over the mean time it then runs by itself. */
  readonly serviceRatio: number;
}

export interface Interference {
  /** Mean number of machines that wait for a hand. */
  readonly waiting: number;
  /** Mean number being served. */
  readonly served: number;
  /** Shares of a machine's time; they add up to 1. */
  readonly runningShare: number;
  readonly servedShare: number;
  readonly waitingShare: number;
  /** How busy the hands are with the machines, 0 to 1. */
  readonly handsBusy: number;
}

/** Run and service times exponential; any number of hands. Needs at least one machine and one hand, ratio ≥ 0. */
export function machineInterference({ machines, hands, serviceRatio }: InterferenceAsked): Interference {
  check({ machines, hands, serviceRatio });
  // Chances of n machines not running, each from the one before: birth (N − n + 1)·1, death min(n, c)/r.
  let chance = 1;
  let total = 1;
  let waiting = 0;
  let served = 0;
  for (let n = 1; n <= machines; n++) {
    chance *= ((machines - n + 1) * serviceRatio) / Math.min(n, hands);
    total += chance;
    waiting += chance * Math.max(0, n - hands);
    served += chance * Math.min(n, hands);
  }
  return shares({ machines, hands, waiting: waiting / total, served: served / total });
}

/** One hand, exponential run times, every service equally long. */
export function steadyInterference({
  machines,
  serviceRatio,
}: Omit<InterferenceAsked, "hands">): Interference {
  check({ machines, hands: 1, serviceRatio });
  // The hand's chance to be idle is 1/(1 + N·r·Σ C(N−1, j)/C_j), C_j = Π φ(i)/(1 − φ(i)), φ(i) = e^(−i·r).
  let term = 1;
  let sum = 1;
  for (let j = 1; j < machines; j++) {
    term *= ((machines - j) / j) * Math.expm1(j * serviceRatio);
    sum += term;
  }
  const busy = 1 - 1 / (1 + machines * serviceRatio * sum);
  const running = serviceRatio === 0 ? machines : busy / serviceRatio;
  return shares({ machines, hands: 1, waiting: Math.max(0, machines - running - busy), served: busy });
}

function check({ machines, hands, serviceRatio }: InterferenceAsked): void {
  invariant(machines >= 1 && hands >= 1, "interference needs a machine and a hand");
  invariant(serviceRatio >= 0 && Number.isFinite(serviceRatio), "a service ratio is not negative");
}

function shares(at: {
  readonly machines: number;
  readonly hands: number;
  readonly waiting: number;
  readonly served: number;
}): Interference {
  const { machines, hands, waiting, served } = at;
  return {
    waiting,
    served,
    runningShare: (machines - waiting - served) / machines,
    servedShare: served / machines,
    waitingShare: waiting / machines,
    handsBusy: served / hands,
  };
}

export interface WaitingAsked {
  readonly machines: number;
  readonly hands: number;
  /** Seconds, all machines together: sewing, served by a hand (threading, loading, mending), waiting for one. */
  readonly runS: number;
  readonly servedS: number;
  readonly waitedS: number;
}

/** A waiting share as it was, beside what chance alone makes of the same load. */
export interface WaitingCompared {
  readonly waitedShare: number;
  /** Chance alone, if services vary a lot (exponential): the upper of the two. */
  readonly byChance: number;
  /** Chance alone, if every service takes equally long; only known for one hand, else equal to `byChance`. */
  readonly byChanceSteady: number;
  /** Seconds waited beyond `byChance`; 0 where less was waited. */
  readonly beyondChanceS: number;
  readonly sentence: string;
}

/** What of the waiting is chance and what is practice; null where nothing ran. */
export function waitingCompared(asked: WaitingAsked): WaitingCompared | null {
  const { machines, hands, runS, servedS, waitedS } = asked;
  if (runS <= 0 || machines < 1 || hands < 1) return null;
  const serviceRatio = servedS / runS;
  const byChance = machineInterference({ machines, hands, serviceRatio }).waitingShare;
  const byChanceSteady = hands === 1 ? steadyInterference({ machines, serviceRatio }).waitingShare : byChance;
  const all = runS + servedS + waitedS;
  const waitedShare = waitedS / all;
  // The closed form's waiting stands to running and service as its shares do.
  const chanceS = ((runS + servedS) * byChance) / (1 - byChance);
  const found = { waitedShare, byChance, byChanceSteady, beyondChanceS: Math.max(0, waitedS - chanceS) };
  return { ...found, sentence: sentenceOf(asked, found) };
}

const percent = (share: number): string => `${(share * 100).toFixed(share < 0.095 ? 1 : 0)} %`;

function sentenceOf(
  { machines, hands }: WaitingAsked,
  { waitedShare, byChance, byChanceSteady, beyondChanceS }: Omit<WaitingCompared, "sentence">,
): string {
  const who = `${machines} ${machines === 1 ? "machine" : "machines"} and ${hands} ${hands === 1 ? "person" : "people"}`;
  const range =
    percent(byChance) === percent(byChanceSteady)
      ? `about ${percent(byChance)}`
      : `${percent(byChanceSteady)} to ${percent(byChance)}`;
  const start = `The machines waited for hands ${percent(waitedShare)} of their time. With ${who} at this load, chance alone makes ${range}`;
  if (waitedShare > byChance + 0.005)
    return `${start}: the ${Math.round(beyondChanceS / 60)} min beyond that are practice, not chance.`;
  if (waitedShare < byChanceSteady - 0.005)
    return `${start}: the hands were there sooner than chance would have it.`;
  return `${start}: the waiting is chance.`;
}
