/** How a shop decides from moment to moment, without a plan. */
import { createExpected } from "./expected";
import { createNeedleUse, type Stretch } from "./needle-use";
import {
  BOBBIN,
  CHORE,
  FINISH,
  type Floor,
  HOOP,
  LOAD,
  MEND,
  OIL,
  type Policy,
  type Task,
  THREAD,
  UNHOOP,
  UNLOAD,
} from "./floor";

/** How much each consideration weighs; found by trying (docs/models/simulation.md). */
export interface DispatchWeights {
  /** Slack counts by how many times it doubles: seconds at which that begins, and how much each e-fold weighs. */
  readonly slackFromS: number;
  readonly slackWeight: number;
  /** How much a long piece stands back behind a short one. */
  readonly shortFirst: number;
  /** Threadings that make a piece e times less welcome. */
  readonly threadingScale: number;
  /** A stop for threading inside the design counts as so many threadings. */
  readonly midStopThreadings: number;
  /** Pieces hooped ahead for a machine, frames allowing. */
  readonly ahead: number;
  /** How much a piece stands back that would keep its machine standing over a closing of its hours. */
  readonly closingWeight: number;
  /** A long chore of hands waits for a time in which no machine stops, unless its date is as near as this. */
  readonly choreSlackS: number;
}

export const usualWeights: DispatchWeights = {
  slackFromS: 900,
  slackWeight: 8,
  shortFirst: 0.5,
  threadingScale: 2,
  midStopThreadings: 3,
  ahead: 1,
  closingWeight: 1,
  choreSlackS: 20_000,
};

/** Pieces looked at for each choice: the most pressing of those that wait. */
const LOOKED_AT = 240;
const PRESSING_S = 5400;
/** A chore may last so much longer than the machines sew: one that stands for less is no loss. */
const CHORE_OVER = 0.7;
/** More than any other consideration. */
const HOOPED_FIRST = 1e6;
const NO_DATE_S = 60 * 86_400;

/** The order in which an idle person looks at what is ready: a machine that stands comes first. */
const rankOf: readonly number[] = [];
const ranks: [kind: number, rank: number][] = [
  [MEND, 0],
  [BOBBIN, 0],
  [LOAD, 0],
  [UNLOAD, 0],
  [THREAD, 0],
  [OIL, 1],
  [HOOP, 3],
  [UNHOOP, 2],
  [FINISH, 4],
  [CHORE, 5],
];
for (const [kind, rank] of ranks) (rankOf as number[])[kind] = rank;

/**
 * Which piece a machine takes next goes by a priority index of the family of apparent tardiness cost with set-ups
 * (Y. H. Lee, K. Bhaskaran, M. Pinedo, IIE Transactions 29 (1997) 45–52, from memory), in logarithms: weight over time,
 * less the logarithm of the slack, less threadings over their scale. The needles follow `createNeedleUse`.
 */
export function dispatch(weights: DispatchWeights = usualWeights): (floor: Floor) => Policy {
  return (floor) => {
    const { compiled, lists } = floor;
    const { machines, words, pieceColours } = compiled;
    const { problem } = compiled.shop;
    const needles = createNeedleUse(compiled);
    const expected = createExpected(floor);
    /** When a machine was last asked what to begin. */
    let askedAt = 0;
    const firstFrame = [0];
    compiled.frames.forEach((count, kind) => firstFrame.push(firstFrame[kind]! + count));
    /** Pieces that wait, by date, then as they came. */
    const waiting = new Int32Array(compiled.pieces);
    let count = 0;
    /** How many wait for each kind of frame, then without one, then without any hooping; and whether one is to be had. */
    const FRAMELESS = compiled.frames.length;
    const UNPREPARED = FRAMELESS + 1;
    const waitingFor = new Int32Array(FRAMELESS + 2);
    const isToBeHad = new Uint8Array(FRAMELESS + 2);
    const kindOf = (piece: number): number => {
      const kind = compiled.hoopKind[piece]!;
      return kind >= 0 ? kind : problem.jobs[piece]!.hoopS > 0 ? FRAMELESS : UNPREPARED;
    };

    const countColours = (piece: number, by: number): void => {
      for (let word = 0; word < words; word++) {
        let bits = pieceColours[piece * words + word]!;
        while (bits !== 0) {
          const bit = 31 - Math.clz32(bits & -bits);
          needles.demand[32 * word + bit]! += by;
          bits &= bits - 1;
        }
      }
    };

    function arrived(piece: number): void {
      let [low, high] = [0, count];
      const due = compiled.due[piece]!;
      while (low < high) {
        const middle = (low + high) >> 1;
        if (compiled.due[waiting[middle]!]! <= due) low = middle + 1;
        else high = middle;
      }
      waiting.copyWithin(low + 1, low, count);
      waiting[low] = piece;
      count++;
      countColours(piece, 1);
      waitingFor[kindOf(piece)]!++;
    }

    function freeFrame(kind: number): number {
      for (let frame = firstFrame[kind]!; frame < firstFrame[kind + 1]!; frame++)
        if (floor.isFree(frame)) return frame;
      return -1;
    }

    function indexOf(machine: number, piece: number, now: number): number {
      const { stitchesPerMinute, loadS, unloadS, threadS, needles: needleCount } = problem.machines[machine]!;
      const workS = (60 * compiled.stitches[piece]!) / stitchesPerMinute + loadS + unloadS + 1;
      const beyond = compiled.distinct[piece]! - needleCount;
      const stops = beyond <= 0 ? 0 : Math.ceil(beyond / needleCount);
      const threadings = needles.missing(machine, piece) + stops * weights.midStopThreadings;
      const due = Math.min(compiled.due[piece]!, now + NO_DATE_S);
      const { hoopS, unhoopS, finishS } = problem.jobs[piece]!;
      const slack = Math.max(0, due - now - workS - threadings * threadS - hoopS - unhoopS - finishS);
      return (
        Math.log(Math.max(1e-9, compiled.weight[piece]!)) -
        weights.shortFirst * Math.log(workS) -
        weights.slackWeight * Math.log1p(slack / weights.slackFromS) -
        threadings / weights.threadingScale -
        (expected.fits(machine, now, workS + threadings * threadS) ? 0 : weights.closingWeight)
      );
    }

    /** The best piece for a machine among those with a frame to go into; its place in `waiting`, −1 for none. */
    function best(machine: number, now: number): number {
      let found = -1;
      let most = -Infinity;
      const upTo = Math.min(count, LOOKED_AT);
      const isBusy = busy(machine);
      for (let at = 0; at < upTo; at++) {
        const piece = waiting[at]!;
        if (compiled.fits[piece * machines + machine] === 0) continue;
        const kind = kindOf(piece);
        if (isToBeHad[kind] === 0 || (isBusy && kind === UNPREPARED)) continue;
        const index = indexOf(machine, piece, now);
        if (index > most) {
          most = index;
          found = at;
        }
      }
      return found;
    }

    function give(machine: number, at: number): void {
      const piece = waiting[at]!;
      waiting.copyWithin(at, at + 1, count);
      count--;
      waitingFor[kindOf(piece)]!--;
      const kind = compiled.hoopKind[piece]!;
      floor.assign(machine, piece);
      if (kind >= 0) floor.frame(piece, freeFrame(kind));
    }

    /** A piece that needs no hooping is bound to a machine only when that is free: another may be free first. */
    const busy = (machine: number): boolean => lists[machine]!.length > 0 || !floor.standing(machine);

    /** What is to be had now: "some" of what is hooped first, "unprepared" only, or nothing. */
    function atHand(): "some" | "unprepared" | "nothing" {
      let some = false;
      for (let kind = 0; kind <= UNPREPARED; kind++) {
        const isHad = waitingFor[kind]! > 0 && (kind >= FRAMELESS || freeFrame(kind) >= 0);
        isToBeHad[kind] = isHad ? 1 : 0;
        if (isHad && kind !== UNPREPARED) some = true;
      }
      return some ? "some" : isToBeHad[UNPREPARED] === 1 ? "unprepared" : "nothing";
    }

    /** The machine with the shortest list that still takes one; beyond the first, only while somebody is idle. */
    function refill(now: number): void {
      for (let had = atHand(); had !== "nothing"; had = atHand()) {
        const idle = floor.idleHand();
        let machine = -1;
        for (let m = 0; m < machines; m++) {
          const length = lists[m]!.length;
          if (had === "unprepared" && busy(m)) continue;
          if (length >= weights.ahead || (length > 0 && !idle) || shut[m] === 1) continue;
          if (machine < 0 || length < lists[machine]!.length) machine = m;
        }
        if (machine < 0) break;
        const at = best(machine, now);
        if (at < 0) shut[machine] = 1;
        else give(machine, at);
      }
      shut.fill(0);
    }
    const shut = new Uint8Array(machines);

    function pick(hand: number, now: number): number {
      let found = -1;
      let foundRank = Infinity;
      for (let at = 0; at < floor.ready.length && foundRank > 0; at++) {
        const task = floor.ready[at]!;
        let rank = rankOf[task.kind]!;
        // A machine that stands for want of a hooped piece is as pressing as one that is to be loaded.
        if (task.kind === HOOP && floor.standing(task.goesTo)) rank = 1;
        if (isLate(task, now)) rank = Math.min(rank, 1);
        if (rank < foundRank && !isUntimely(task, now) && floor.canDo(hand, task)) {
          found = at;
          foundRank = rank;
        }
      }
      return found;
    }

    /** A long chore is begun where no machine stops meanwhile, as long as its date allows it. */
    function isUntimely({ kind, item, machine, expectedS }: Task, now: number): boolean {
      if (kind !== CHORE || machine >= 0) return false;
      const slack = (problem.chores[item]!.dueAt ?? Infinity) - now - expectedS;
      return slack > weights.choreSlackS && expected.nextStop(now) < now + CHORE_OVER * expectedS;
    }

    /** The best of what is on a machine's list, hooped pieces first; where it has none, one that stands ready for another. */
    function choose(machine: number, now: number): number {
      askedAt = now;
      const own = bestOf(machine, lists[machine]!, now);
      if (own !== -1 || count > 0) return own;
      let found = -1;
      for (let m = 0; m < machines && found === -1; m++)
        if (m !== machine && !floor.standing(m)) found = bestOf(machine, lists[m]!, now);
      return found !== -1 && floor.isHooped(found) ? found : -1;
    }

    function bestOf(machine: number, list: readonly number[], now: number): number {
      let found = -1;
      let most = -Infinity;
      for (const item of list) {
        if (item < 0 || compiled.fits[item * machines + machine] === 0) continue;
        const index = indexOf(machine, item, now) + (floor.isHooped(item) ? HOOPED_FIRST : 0);
        if (index > most) {
          most = index;
          found = item;
        }
      }
      return found;
    }

    /** Off the machine and due within the hour: nothing else gets it out in time. */
    const isLate = ({ kind, item }: Task, now: number): boolean =>
      (kind === UNHOOP || kind === FINISH) && compiled.due[item]! < now + PRESSING_S;

    return {
      arrived,
      refill,
      pick,
      choose,
      begun(machine, piece): readonly Stretch[] {
        countColours(piece, -1);
        const stretches = needles.take(machine, piece);
        expected.begun(machine, askedAt, stretches);
        return stretches;
      },
    };
  };
}
