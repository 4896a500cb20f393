import { ableTime } from "./able-time";
import type { Candidate } from "./candidate";
import { type Compiled, NEVER } from "./compile";
import { type Decoder, LEFT_OUT_PENALTY, type Outcome, TASK_WIDTH } from "./decoder";
import { handGaps } from "./hand-gaps";
import { keptStates } from "./kept-states";
import { machineThreads } from "./machine-threads";
import { cutTables } from "./tables";

// Kinds of tasks, as they stand in `taskKinds`.
const HOOP = 0;
const THREAD = 1;
const LOAD = 2;
const UNLOAD = 3;
const UNHOOP = 4;
const FINISH = 5;
const CHORE = 6;

/**
 * From an order of items to a day.
 *
 * The schedule is built by serial insertion (the serial generation scheme of resource-constrained scheduling, J. E.
 * Kelley 1963; R. Kolisch, European J. Operational Research 90 (1996) 320–333: it yields active schedules, among
 * which an optimal one always is). Items are taken in the order given; every task of a run is put where it can
 * start soonest: in the first gap of any hand's shift that holds it whole, while the machine is up; a stretch in the
 * first open, up interval that holds it whole. Runs of one machine follow each other in the order given, so the
 * look-ahead of `chooseNeedles` knows them all beforehand. Unhooping and finishing do not hold the machine: they are
 * put in only after `patience` further items, so that the next load goes before them; 0 means at once. Of jobs that
 * share one thing the later in the order begins when the earlier is finished.
 *
 * Invariant: what has been put in never moves. A job that finds no place before the last shift's end is barred and all is done again without
 * it, since its threadings belong to no run then; a chore is only counted.
 * Work per task: one binary search and a short walk for each hand.
 */
export function createDecoder(compiled: Compiled): Decoder {
  const { jobs, machines } = compiled;
  const items = jobs + compiled.chores;
  const cost = compiled.problem.cost;
  const tables = cutTables(compiled);
  const taskRoom = compiled.colourOf.reduce((sum, parts) => sum + parts.length + 6, compiled.chores + 1);
  const gaps = handGaps(compiled, taskRoom);
  const threads = machineThreads(compiled);
  const able = ableTime(compiled);
  const frameOffset = new Int32Array(compiled.frames.length + 1);
  compiled.frames.forEach((count, kind) => (frameOffset[kind + 1] = frameOffset[kind]! + count));

  // What a decoding has come to, in one array, so that it can be kept and taken up again.
  const FRAMES = 4 * machines;
  const THINGS = FRAMES + frameOffset.at(-1)!;
  const FIXED = THINGS + compiled.things + 1;
  const state = new Int32Array(FIXED + 3 * (jobs + 1));
  const stretchAt = state.subarray(0, machines);
  const threadAt = state.subarray(machines, 2 * machines);
  const machineFree = state.subarray(2 * machines, 3 * machines);
  /** Seconds of work put in already. */
  const putIn = state.subarray(3 * machines, 4 * machines);
  const frameFree = state.subarray(FRAMES, THINGS);
  const thingFree = state.subarray(THINGS, FIXED - 1);
  /** Runs that wait for their unhooping: job, the step at which it is put in, the time from which it can be. */
  const PENDING = FIXED - 1;
  const pending = state.subarray(FIXED);

  /** Seconds of runs' work still to come on each machine, and the least that follows a machine's last run. */
  const toCome = new Float64Array(machines);
  let tailS = NEVER;
  for (let j = 0; j < jobs; j++) tailS = Math.min(tailS, compiled.unhoopS[j]! + compiled.finishS[j]!);
  const barred = new Uint8Array(jobs);
  const hasty = new Uint8Array(items);

  const outcome: Outcome = {
    score: 0, cost: 0, threadings: 0, midStops: 0, lateItems: 0, lateS: 0, weightedLateS: 0, finishAt: 0, leftOut: 0,
  }; // prettier-ignore
  const decoder: Decoder = {
    compiled,
    needleRoom: threads.room,
    outcome,
    tasks: new Int32Array(taskRoom * TASK_WIDTH),
    tasksCount: 0,
    stretchStart: Array.from({ length: machines }, () => new Int32Array(taskRoom)),
    needlePlan: threads.needlePlan,
    frameOf: new Int32Array(jobs),
    endOf: new Int32Array(items),
    barred,
    decode,
    decodeAgain,
    keep,
    forget: () => kept.forget(),
    rule: "look-ahead",
    nudge: null,
  };
  const { tasks, stretchStart, frameOf, endOf } = decoder;
  const kept = keptStates({
    compiled,
    outcome,
    state,
    fixed: FIXED,
    gaps,
    frameOf,
    endOf,
    exact: threads.isCausal,
  });

  /** Takes what `place` found and writes the task down. */
  function take(kind: number, item: number, start: number, seconds: number, threading: number): void {
    const at = decoder.tasksCount++ * TASK_WIDTH;
    tasks[at] = kind;
    tasks[at + 1] = item;
    tasks[at + 2] = gaps.foundHand;
    tasks[at + 3] = start;
    tasks[at + 4] = threading;
    gaps.take(start, seconds);
  }

  function done(item: number, end: number): void {
    endOf[item] = end;
    if (end > outcome.finishAt) outcome.finishAt = end;
    const late = end - compiled.due[item]!;
    if (late > 0) {
      outcome.lateItems++;
      outcome.lateS += late;
      outcome.weightedLateS += compiled.weight[item]! * late;
    }
  }

  /** Unhoops and finishes; false when it finds no place. */
  function closeRun(job: number, from: number): boolean {
    const unhoopS = compiled.unhoopS[job]!;
    const unhoop = gaps.place(from, unhoopS, -1);
    if (unhoop < 0) return false;
    take(UNHOOP, job, unhoop, unhoopS, -1);
    const finishS = compiled.finishS[job]!;
    const finish = gaps.place(unhoop + unhoopS, finishS, -1);
    if (finish < 0) return false;
    take(FINISH, job, finish, finishS, -1);
    const frame = frameOf[job]!;
    if (frame >= 0) frameFree[frameOffset[compiled.hoopKind[job]!]! + frame] = unhoop + unhoopS;
    const thing = compiled.thingOf[job]!;
    if (thing >= 0) thingFree[thing] = finish + finishS;
    done(job, finish + finishS);
    return true;
  }

  /** Closes the pending run at place p of the queue; one that finds no place must be closed at once next time. */
  function closePending(p: number): boolean {
    const job = pending[3 * p]!;
    const from = pending[3 * p + 2]!;
    const count = --state[PENDING]!;
    pending.copyWithin(3 * p, 3 * p + 3, 3 * count + 3);
    if (closeRun(job, from)) return true;
    hasty[job] = 1;
    return false;
  }

  /** The frame of a kind (its place in `frameFree`) that is free soonest; −1 when all wait for their unhooping. */
  function freeFrame(kind: number): number {
    let best = -1;
    for (let f = frameOffset[kind]!; f < frameOffset[kind + 1]!; f++)
      if (frameFree[f]! < NEVER && (best < 0 || frameFree[f]! < frameFree[best]!)) best = f;
    return best;
  }

  /** Puts in `count` threadings one after the other; the end of the last, −1 when one finds no place. */
  function putThreadings(job: number, m: number, count: number, clock: number): number {
    const threadS = compiled.threadS[m]!;
    for (let n = 0; n < count; n++) {
      const start = gaps.place(clock, threadS, m);
      if (start < 0) return -1;
      take(THREAD, job, start, threadS, threadAt[m]!++);
      clock = start + threadS;
    }
    return clock;
  }

  /** 1 placed, 0 found no place, −1 a pending run found none. */
  function putRun(job: number, patience: number, step: number, m: number, cutNumber: number): number {
    const cut = tables.base[job * machines + m]! + cutNumber;
    const before = threads.before[m]!;
    const stretch0 = stretchAt[m]!;
    const sewn = tables.first[cut]!;
    const stretches = tables.first[cut + 1]! - sewn;
    const kind = compiled.hoopKind[job]!;
    const thing = compiled.thingOf[job]!;
    let frame = -1;
    let from = compiled.release[job]!;
    if (thing >= 0) {
      if (thingFree[thing] === NEVER) {
        let p = 0;
        while (compiled.thingOf[pending[3 * p]!] !== thing) p++;
        if (!closePending(p)) return -1;
      }
      if (thingFree[thing]! > from) from = thingFree[thing]!;
    }
    if (kind >= 0) {
      frame = freeFrame(kind);
      while (frame < 0) {
        let p = 0;
        while (compiled.hoopKind[pending[3 * p]!] !== kind) p++;
        if (!closePending(p)) return -1;
        frame = freeFrame(kind);
      }
      if (frameFree[frame]! > from) from = frameFree[frame]!;
    }
    const hoopS = compiled.hoopS[job]!;
    const hoop = gaps.place(from, hoopS, -1);
    if (hoop < 0) return 0;
    take(HOOP, job, hoop, hoopS, -1);
    if (kind >= 0) {
      // The frame that has lain idle least, so that frames free early serve hooping that can start early.
      for (let f = frameOffset[kind]!; f < frameOffset[kind + 1]!; f++)
        if (frameFree[f]! <= hoop && frameFree[f]! > frameFree[frame]!) frame = f;
    }
    const thread0 = threadAt[m]!;
    let clock = putThreadings(job, m, before[stretch0]!, machineFree[m]!);
    if (clock < 0) return 0;
    if (clock < hoop + hoopS) clock = hoop + hoopS;
    const loadS = compiled.loadS[m]!;
    const load = gaps.place(clock, loadS, m);
    if (load < 0) return 0;
    take(LOAD, job, load, loadS, -1);
    clock = load + loadS;
    let notBefore = load;
    for (let s = 0; s < stretches; s++) {
      if (s > 0) {
        // A threading that takes no time must still lie after, not at, the load and the stop before it.
        if (compiled.threadS[m] === 0 && clock === notBefore) clock++;
        clock = putThreadings(job, m, before[stretch0 + s]!, clock);
        if (clock < 0) return 0;
      }
      const seconds = tables.stretchS[sewn + s]!;
      const start = sewFrom(m, clock, seconds);
      if (start < 0) return 0;
      stretchStart[m]![stretch0 + s] = start;
      notBefore = start;
      clock = start + seconds;
    }
    const unloadS = compiled.unloadS[m]!;
    const unload = gaps.place(clock, unloadS, m);
    if (unload < 0) return 0;
    take(UNLOAD, job, unload, unloadS, -1);
    clock = unload + unloadS;

    stretchAt[m] = stretch0 + stretches;
    frameOf[job] = frame < 0 ? -1 : frame - frameOffset[kind]!;
    if (patience <= 0 || hasty[job]) {
      if (!closeRun(job, clock)) return 0;
    } else {
      if (frame >= 0) frameFree[frame] = NEVER;
      if (thing >= 0) thingFree[thing] = NEVER;
      const p = 3 * state[PENDING]!++;
      pending[p] = job;
      pending[p + 1] = step + patience;
      pending[p + 2] = clock;
    }
    machineFree[m] = clock;
    const runS = tables.sewS[cut]! + loadS + unloadS + (threadAt[m]! - thread0) * compiled.threadS[m]!;
    toCome[m]! -= runS;
    putIn[m]! += runS;
    return 1;
  }

  function sewFrom(m: number, at: number, seconds: number): number {
    const starts = compiled.sewStart[m]!;
    const ends = compiled.sewEnd[m]!;
    for (let i = 0; i < starts.length; i++) {
      const start = at > starts[i]! ? at : starts[i]!;
      if (start + seconds <= ends[i]!) return start;
    }
    return -1;
  }

  function putChore(chore: number): boolean {
    const item = jobs + chore;
    const m = compiled.choreMachine[chore]!;
    const seconds = compiled.choreS[chore]!;
    const from = m >= 0 ? Math.max(machineFree[m]!, compiled.release[item]!) : compiled.release[item]!;
    const start = gaps.place(from, seconds, m);
    if (start < 0) return false;
    take(CHORE, item, start, seconds, -1);
    if (m >= 0) machineFree[m] = start + seconds;
    done(item, start + seconds);
    return true;
  }

  function reset(): void {
    gaps.reset();
    state.fill(0, 0, FIXED);
    frameOf.fill(-1);
    endOf.fill(-1);
    decoder.tasksCount = 0;
    outcome.lateItems = outcome.lateS = outcome.weightedLateS = outcome.finishAt = outcome.leftOut = 0;
  }

  /** When all can be over at the soonest, for the runs still to come on a machine. */
  function endsAt(m: number): number {
    const left = toCome[m]!;
    if (left <= 0) return 0;
    return able.wallAt(m, able.upTo(m, machineFree[m]!) + left) + tailS;
  }

  /** Whether the score must exceed the limit, whatever comes. */
  function tooDear(base: number, endsNotBefore: number, limit: number): boolean {
    const end = endsNotBefore > outcome.finishAt ? endsNotBefore : outcome.finishAt;
    const least = base + (cost.perLateMinute * outcome.weightedLateS + cost.perFinishMinute * end) / 60;
    return least + outcome.leftOut * LEFT_OUT_PENALTY > limit;
  }

  /** One attempt from a step on; false when a run found no place and all must be done again without it. */
  function attempt(candidate: Candidate, limit: number, from: number, recording: boolean): boolean {
    let endsNotBefore = 0;
    outcome.threadings = threads.threadings();
    outcome.midStops = threads.midStops();
    for (let m = 0; m < machines; m++) {
      toCome[m] = threads.workS(m) - putIn[m]!;
      endsNotBefore = Math.max(endsNotBefore, endsAt(m));
    }
    const base = cost.perThreading * outcome.threadings + cost.perMidStop * outcome.midStops;
    if (tooDear(base, endsNotBefore, limit)) {
      outcome.score = Infinity;
      return true;
    }
    const { order, machine, patience, cut } = candidate;
    for (let step = from; step < order.length; step++) {
      if (recording) kept.record(step, from);
      const item = order[step]!;
      if (item >= jobs) {
        if (!putChore(item - jobs)) outcome.leftOut++;
      } else if (barred[item]) outcome.leftOut++;
      else {
        const m = machine[item]!;
        const put = putRun(item, patience[item]!, step, m, cut[item]!);
        if (put < 0) return false;
        if (put === 0) {
          // Its threadings belong to no run now: bar it and choose the needles again without it.
          barred[item] = 1;
          return false;
        }
        const end = toCome[m]! > 0 ? endsAt(m) : machineFree[m]! + tailS;
        if (end > endsNotBefore) endsNotBefore = end;
      }
      for (let p = 0; p < state[PENDING]!;) {
        if (pending[3 * p + 1]! > step) p++;
        else if (!closePending(p)) return false;
      }
      if (tooDear(base, endsNotBefore, limit)) {
        outcome.score = Infinity;
        return true;
      }
    }
    while (state[PENDING]! > 0) if (!closePending(0)) return false;
    outcome.cost =
      (cost.perLateMinute * outcome.weightedLateS) / 60 +
      cost.perThreading * outcome.threadings +
      cost.perMidStop * outcome.midStops +
      (cost.perFinishMinute * outcome.finishAt) / 60;
    let ends = 0;
    for (let m = 0; m < machines; m++) ends += machineFree[m]!;
    outcome.score = outcome.cost + outcome.leftOut * LEFT_OUT_PENALTY + whisper * ends;
    if (decoder.nudge) outcome.score += decoder.nudge(candidate);
    return true;
  }

  const whisper =
    (1e-3 * (cost.perFinishMinute + 0.02 * cost.perThreading + 0.001 * cost.perLateMinute)) / 60;

  function whole(candidate: Candidate, limit: number, needles: boolean): boolean {
    if (needles) threads.choose(candidate, barred, decoder.rule);
    else threads.count(candidate, barred);
    reset();
    return attempt(candidate, limit, 0, false);
  }

  function decode(candidate: Candidate, limit: number): Outcome {
    barred.set(candidate.left);
    hasty.fill(0);
    while (!whole(candidate, limit, true));
    return outcome;
  }

  let isClean = false;

  function decodeAgain(candidate: Candidate, limit: number): Outcome {
    if (decoder.rule !== "look-ahead") return decode(candidate, limit);
    barred.set(candidate.left);
    hasty.fill(0);
    threads.count(candidate, barred);
    const from = kept.takeUp(candidate);
    if (from === 0) reset();
    else decoder.tasksCount = 0;
    isClean = attempt(candidate, limit, from, true);
    if (!isClean) while (!whole(candidate, limit, false));
    return outcome;
  }

  function keep(candidate: Candidate): void {
    if (isClean && outcome.score < Infinity) kept.keep(candidate);
    else kept.forget();
  }

  return decoder;
}
