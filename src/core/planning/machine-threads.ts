import type { Compiled } from "./compile";
import type { Candidate } from "./candidate";
import {
  chooseNeedles,
  emptyNeedlePlan,
  type NeedlePlan,
  type NeedleRoom,
  needleRoom,
  type NeedleRule,
} from "./needles";
import { cutTables } from "./tables";
import { emptyThreadCount, type ThreadCount, threadCounter } from "./threads-before";

/** Threadings of every machine for the candidate in hand. A machine's are worked out anew only when its order changed. */
export interface MachineThreads {
  readonly room: NeedleRoom;
  /** Threadings before each stretch, per machine. */
  readonly before: Int32Array[];
  /** Needle by needle; what `choose` was asked for last. */
  readonly needlePlan: NeedlePlan[];
  /** Whether what comes before a stretch depends on the runs up to it alone. */
  readonly isCausal: boolean;
  /** Numbers only: as `choose` by looking ahead, and several times as fast. */
  count(candidate: Candidate, barred: Uint8Array): void;
  choose(candidate: Candidate, barred: Uint8Array, rule: NeedleRule): void;
  threadings(): number;
  midStops(): number;
  /** Seconds all runs of a machine keep it busy, at least. */
  workS(m: number): number;
}

/** Orders remembered for each machine: the one in hand and those tried before. */
const REMEMBERED = 4;

export function machineThreads(compiled: Compiled): MachineThreads {
  const { jobs, machines } = compiled;
  const { base, sewS, odd } = cutTables(compiled);
  const room = needleRoom(compiled);
  const countOn = threadCounter(compiled);
  const asked = Array.from({ length: machines }, () => new Int32Array(jobs + 1));
  const askedLength = new Int32Array(machines);
  const counts = Array.from({ length: machines }, () =>
    Array.from({ length: REMEMBERED }, () => emptyThreadCount(compiled)),
  );
  const inHand: ThreadCount[] = counts.map((own) => own[0]!);
  const oldest = new Int32Array(machines);
  const plans = Array.from({ length: machines }, () => emptyNeedlePlan(compiled));
  const work = new Float64Array(machines);
  const before = inHand.map((one) => one.before);
  let threadings = 0;
  let midStops = 0;

  function listRuns({ order, machine, cut }: Candidate, barred: Uint8Array): void {
    askedLength.fill(0);
    for (let at = 0; at < order.length; at++) {
      const job = order[at]!;
      if (job >= jobs || barred[job]) continue;
      const m = machine[job]!;
      asked[m]![askedLength[m]!++] = (job << 4) | cut[job]!;
    }
  }

  function remembered(m: number): ThreadCount | null {
    const own = asked[m]!;
    const length = askedLength[m]!;
    for (const known of counts[m]!) {
      if (known.length !== length) continue;
      let same = length;
      while (same > 0 && known.key[same - 1] === own[same - 1]) same--;
      if (same === 0) return known;
    }
    return null;
  }

  function count(candidate: Candidate, barred: Uint8Array): void {
    listRuns(candidate, barred);
    threadings = midStops = 0;
    for (let m = 0; m < machines; m++) {
      let known = remembered(m);
      if (known === null) {
        const slot = counts[m]!;
        // The one in hand most often comes again: it is not the one to give way.
        do oldest[m] = (oldest[m]! + 1) % REMEMBERED;
        while (slot[oldest[m]!] === inHand[m]);
        known = slot[oldest[m]!]!;
        known.length = askedLength[m]!;
        for (let at = 0; at < known.length; at++) known.key[at] = asked[m]![at]!;
        countOn(m, known);
      }
      inHand[m] = known;
      before[m] = known.before;
      work[m] = known.workS;
      threadings += known.threadings;
      midStops += known.midStops;
    }
  }

  function choose(candidate: Candidate, barred: Uint8Array, rule: NeedleRule): void {
    listRuns(candidate, barred);
    threadings = midStops = 0;
    for (let m = 0; m < machines; m++) {
      const plan = plans[m]!;
      plan.length = askedLength[m]!;
      plan.key.set(asked[m]!.subarray(0, plan.length));
      chooseNeedles(room, m, plan, rule);
      before[m] = plan.before;
      let sum =
        plan.threadings * compiled.threadS[m]! + plan.length * (compiled.loadS[m]! + compiled.unloadS[m]!);
      for (let at = 0; at < plan.length; at++)
        sum += sewS[base[(plan.key[at]! >> 4) * machines + m]! + (plan.key[at]! & 15)]!;
      work[m] = sum;
      threadings += plan.threadings;
      midStops += plan.midStops;
    }
  }

  return {
    room,
    before,
    needlePlan: plans,
    isCausal: !odd.includes(1),
    count,
    choose,
    threadings: () => threadings,
    midStops: () => midStops,
    workS: (m) => work[m]!,
  };
}
