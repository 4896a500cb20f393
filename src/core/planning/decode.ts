import { type Compiled, NEVER } from "./compile";
import {
  chooseNeedles,
  emptyNeedlePlan,
  type NeedlePlan,
  type NeedleRoom,
  needleRoom,
  type NeedleRule,
} from "./needles";

/**
 * From an order of items to a day.
 *
 * The schedule is built by serial insertion (the serial generation scheme of resource-constrained scheduling, J. E.
 * Kelley 1963; R. Kolisch, European J. Operational Research 90 (1996) 320–333: it yields active schedules, among
 * which an optimal one always is). Items are taken in the order given; every task of a run is put where it can
 * start soonest: in the first gap of any hand's shift that holds it whole, while the machine is up; a stretch in the
 * first open, up interval that holds it whole. Runs of one machine follow each other in the order given, so the
 * look-ahead of `chooseNeedles` knows them all beforehand. Unhooping and finishing do not hold the machine: they are
 * put in only after `patience` further items, so that the next load goes before them; 0 means at once.
 *
 * Invariant: what has been put in never moves, and every gap list is exactly the free time of its hand (gaps shorter
 * than any task left out). A job that finds no place before the last shift's end is barred and all is done again without
 * it, since its threadings belong to no run then; a chore is only counted.
 * Work per task: one binary search and a short walk for each hand.
 */
export interface Candidate {
  /** Items: jobs, then chores (jobs + chore number). */
  readonly order: Int32Array;
  /** Machine of each job. */
  readonly machine: Int32Array;
  /** Which cut of each job on that machine. */
  readonly cut: Int32Array;
  /** Items put in between a run and its unhooping. */
  readonly patience: Int32Array;
  /** 1 for a job left out of the plan because it found no place before. */
  readonly left: Uint8Array;
}

export interface Outcome {
  /** What the search minimises: cost, plus a great deal for everything left out, plus a whisper to break ties. */
  score: number;
  cost: number;
  threadings: number;
  midStops: number;
  lateItems: number;
  lateS: number;
  weightedLateS: number;
  finishAt: number;
  leftOut: number;
}

export const taskKinds = ["hoop", "thread", "load", "unload", "unhoop", "finish", "chore"] as const;
const HOOP = 0;
const THREAD = 1;
const LOAD = 2;
const UNLOAD = 3;
const UNHOOP = 4;
const FINISH = 5;
const CHORE = 6;

/** Five numbers a task: kind, item, hand, start, threading number on its machine (or −1). */
export const TASK_WIDTH = 5;

export interface Decoder {
  readonly compiled: Compiled;
  readonly needleRoom: NeedleRoom;
  readonly outcome: Outcome;
  /** The tasks of the last decoding. */
  readonly tasks: Int32Array;
  tasksCount: number;
  /** Start of each stretch, per machine, in the order of its needle plan. */
  readonly stretchStart: Int32Array[];
  /** The needle plan used for each machine in the last decoding. */
  readonly needlePlan: NeedlePlan[];
  /** Frame number (from 0) of each job, −1. */
  readonly frameOf: Int32Array;
  /** End of each item; −1 where it found no place. */
  readonly endOf: Int32Array;
  /** 1 for a job left out in the last decoding. */
  readonly barred: Uint8Array;
  /** Decodes; stops early once the score must exceed `limit` (then the score is Infinity). */
  decode(candidate: Candidate, limit: number): Outcome;
  /**
   * As `decode`, but goes on from where the candidate parts from the one kept. The outcome, `endOf` and `barred` are
   * the same; `tasks`, `stretchStart` and `frameOf` hold only what was done anew.
   */
  decodeAgain(candidate: Candidate, limit: number): Outcome;
  /** Keeps the candidate of the last `decodeAgain`, which must have come to its end, for later ones to go on from. */
  keep(candidate: Candidate): void;
  /** Forgets what is kept. */
  forget(): void;
  /** The needle rule of further decodings. */
  rule: NeedleRule;
  /** Added to the score: how far a candidate is from what people know. */
  nudge: ((candidate: Candidate) => number) | null;
}

export const LEFT_OUT_PENALTY = 1e7;

export function createDecoder(compiled: Compiled): Decoder {
  const { jobs, machines, hands, cuts } = compiled;
  const items = jobs + compiled.chores;
  const cost = compiled.problem.cost;
  const room = needleRoom(compiled);
  const caches = Array.from({ length: machines }, () => [
    emptyNeedlePlan(compiled),
    emptyNeedlePlan(compiled),
  ]);
  const asked = Array.from({ length: machines }, () => new Int32Array(jobs + 1));
  const askedLength = new Int32Array(machines);
  const lastSlot = new Int32Array(machines);

  // Free gaps of each hand.
  const taskRoom = compiled.colourOf.reduce((sum, parts) => sum + parts.length + 6, compiled.chores + 1);
  const gapStart = compiled.shiftStart.map((own) => new Int32Array(own.length + taskRoom));
  const gapEnd = compiled.shiftStart.map((own) => new Int32Array(own.length + taskRoom));
  const gaps = new Int32Array(hands);

  const machineFree = new Int32Array(machines);
  /** Seconds of work still to come on each machine, and the least that follows a machine's last run. */
  const toCome = new Float64Array(machines);
  /** Seconds of it that are put in already. */
  const putIn = new Int32Array(machines);
  let tailS = NEVER;
  for (let j = 0; j < jobs; j++) tailS = Math.min(tailS, compiled.unhoopS[j]! + compiled.finishS[j]!);
  const stretchAt = new Int32Array(machines);
  const threadAt = new Int32Array(machines);
  const runAt = new Int32Array(machines);
  const frameFree = Array.from(compiled.frames, (count) => new Int32Array(count));
  const pending = new Int32Array(jobs + 1);
  const pendingAt = new Int32Array(jobs + 1);
  const pendingFrom = new Int32Array(jobs + 1);
  let pendingCount = 0;
  const barred = new Uint8Array(jobs);
  const shortest = compiled.shortestTaskS;
  const hasty = new Uint8Array(items);

  const outcome: Outcome = {
    score: 0, cost: 0, threadings: 0, midStops: 0, lateItems: 0, lateS: 0, weightedLateS: 0, finishAt: 0, leftOut: 0,
  }; // prettier-ignore
  const decoder: Decoder = {
    compiled,
    needleRoom: room,
    outcome,
    tasks: new Int32Array(taskRoom * TASK_WIDTH),
    tasksCount: 0,
    stretchStart: Array.from({ length: machines }, () => new Int32Array(taskRoom)),
    needlePlan: caches.map((pair) => pair[0]!),
    frameOf: new Int32Array(jobs),
    endOf: new Int32Array(items),
    barred,
    decode,
    decodeAgain,
    keep,
    forget,
    rule: "look-ahead",
    nudge: null,
  };
  const { tasks, stretchStart, needlePlan, frameOf, endOf } = decoder;

  /** The soonest `seconds` from `at` on with the machine up. */
  function whileUp(m: number, at: number, seconds: number): number {
    const starts = compiled.downStart[m]!;
    const ends = compiled.downEnd[m]!;
    for (let d = 0; d < starts.length; d++) {
      if (ends[d]! <= at) continue;
      if (at + seconds <= starts[d]! && !(seconds === 0 && at > starts[d]!)) break;
      at = ends[d]!;
    }
    return at;
  }

  let foundHand = -1;
  let foundGap = -1;

  /** The soonest start of a hand's task from `at` on (−1 when there is none); foundHand and foundGap tell whose. */
  function place(at: number, seconds: number, m: number): number {
    const watchDown = m >= 0 && compiled.downStart[m]!.length > 0;
    if (seconds === 0) return placeInstant(at, m);
    let best = NEVER;
    let waste = NEVER;
    foundHand = -1;
    // A start at once that splits no gap cannot be bettered.
    for (let h = 0; h < hands && !(best === at && waste === 0); h++) {
      const starts = gapStart[h]!;
      const ends = gapEnd[h]!;
      const count = gaps[h]!;
      let low = 0;
      let high = count;
      while (low < high) {
        const middle = (low + high) >> 1;
        if (ends[middle]! < at + seconds) low = middle + 1;
        else high = middle;
      }
      for (let g = low; g < count; g++) {
        const from = starts[g]!;
        if (from > best) break;
        let start = from > at ? from : at;
        if (watchDown) start = whileUp(m, start, seconds);
        if (start + seconds > ends[g]!) continue;
        const idle = start - from;
        if (start < best || (start === best && idle < waste)) {
          best = start;
          waste = idle;
          foundHand = h;
          foundGap = g;
        }
        break;
      }
    }
    return foundHand < 0 ? -1 : best;
  }

  function placeInstant(at: number, m: number): number {
    let best = NEVER;
    foundHand = -1;
    foundGap = -1;
    for (let h = 0; h < hands; h++) {
      const starts = compiled.shiftStart[h]!;
      const ends = compiled.shiftEnd[h]!;
      for (let g = 0; g < starts.length; g++) {
        let start = Math.max(at, starts[g]!);
        if (m >= 0) start = whileUp(m, start, 0);
        if (start > ends[g]!) continue;
        if (start < best) {
          best = start;
          foundHand = h;
        }
        break;
      }
    }
    return foundHand < 0 ? -1 : best;
  }

  /** Takes what `place` found: cuts the gap and writes the task down. */
  function take(kind: number, item: number, start: number, seconds: number, threading: number): void {
    const h = foundHand;
    const base = decoder.tasksCount++ * TASK_WIDTH;
    tasks[base] = kind;
    tasks[base + 1] = item;
    tasks[base + 2] = h;
    tasks[base + 3] = start;
    tasks[base + 4] = threading;
    if (seconds === 0) return;
    const starts = gapStart[h]!;
    const ends = gapEnd[h]!;
    const g = foundGap;
    const from = starts[g]!;
    const to = ends[g]!;
    const keepsLeft = start - from >= shortest;
    const keepsRight = to - start - seconds >= shortest;
    const count = gaps[h]!;
    if (keepsLeft && keepsRight) {
      starts.copyWithin(g + 2, g + 1, count);
      ends.copyWithin(g + 2, g + 1, count);
      ends[g] = start;
      starts[g + 1] = start + seconds;
      ends[g + 1] = to;
      gaps[h] = count + 1;
    } else if (keepsLeft) ends[g] = start;
    else if (keepsRight) starts[g] = start + seconds;
    else {
      starts.copyWithin(g, g + 1, count);
      ends.copyWithin(g, g + 1, count);
      gaps[h] = count - 1;
    }
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
    const unhoop = place(from, unhoopS, -1);
    if (unhoop < 0) return false;
    take(UNHOOP, job, unhoop, unhoopS, -1);
    const finishS = compiled.finishS[job]!;
    const finish = place(unhoop + unhoopS, finishS, -1);
    if (finish < 0) return false;
    take(FINISH, job, finish, finishS, -1);
    const frame = frameOf[job]!;
    if (frame >= 0) frameFree[compiled.hoopKind[job]!]![frame] = unhoop + unhoopS;
    done(job, finish + finishS);
    return true;
  }

  /** Closes the pending run at place p of the queue; one that finds no place must be closed at once next time. */
  function closePending(p: number): boolean {
    const job = pending[p]!;
    const from = pendingFrom[p]!;
    pendingCount--;
    pending.copyWithin(p, p + 1, pendingCount + 1);
    pendingAt.copyWithin(p, p + 1, pendingCount + 1);
    pendingFrom.copyWithin(p, p + 1, pendingCount + 1);
    if (closeRun(job, from)) return true;
    hasty[job] = 1;
    return false;
  }

  function freeFrame(kind: number): number {
    const free = frameFree[kind]!;
    let best = -1;
    for (let f = 0; f < free.length; f++)
      if (free[f]! < NEVER && (best < 0 || free[f]! < free[best]!)) best = f;
    return best;
  }

  /** 1 placed, 0 found no place, −1 a pending run found none. */
  function putRun(job: number, patience: number, step: number, m: number, plan: NeedlePlan): number {
    const cut = cuts[job * machines + m]![plan.key[runAt[m]!]! & 15]!;
    const stretch0 = stretchAt[m]!;
    const thread0 = threadAt[m]!;
    let threading = thread0;
    for (let s = 0; s < cut.to.length; s++) threading += plan.before[stretch0 + s]!;
    const nextThread = threading;
    threading = thread0;
    stretchAt[m] = stretch0 + cut.to.length;
    threadAt[m] = nextThread;
    runAt[m]!++;
    if (barred[job]) return 0;

    const kind = compiled.hoopKind[job]!;
    let frame = -1;
    let from = compiled.release[job]!;
    if (kind >= 0) {
      frame = freeFrame(kind);
      while (frame < 0) {
        let p = 0;
        while (compiled.hoopKind[pending[p]!] !== kind) p++;
        if (!closePending(p)) return -1;
        frame = freeFrame(kind);
      }
      from = Math.max(from, frameFree[kind]![frame]!);
    }
    const hoopS = compiled.hoopS[job]!;
    const hoop = place(from, hoopS, -1);
    if (hoop < 0) return 0;
    take(HOOP, job, hoop, hoopS, -1);
    if (kind >= 0) {
      // The frame that has lain idle least, so that frames free early serve hooping that can start early.
      const free = frameFree[kind]!;
      for (let f = 0; f < free.length; f++) if (free[f]! <= hoop && free[f]! > free[frame]!) frame = f;
    }
    const threadS = compiled.threadS[m]!;
    let clock = machineFree[m]!;
    for (let n = plan.before[stretch0]!; n > 0; n--) {
      const start = place(clock, threadS, m);
      if (start < 0) return 0;
      take(THREAD, job, start, threadS, threading++);
      clock = start + threadS;
    }
    if (clock < hoop + hoopS) clock = hoop + hoopS;
    const loadS = compiled.loadS[m]!;
    const load = place(clock, loadS, m);
    if (load < 0) return 0;
    take(LOAD, job, load, loadS, -1);
    clock = load + loadS;
    let notBefore = load;
    for (let s = 0; s < cut.to.length; s++) {
      if (s > 0) {
        // A threading that takes no time must still lie after, not at, the load and the stop before it.
        if (threadS === 0 && clock === notBefore) clock++;
        for (let n = plan.before[stretch0 + s]!; n > 0; n--) {
          const start = place(clock, threadS, m);
          if (start < 0) return 0;
          take(THREAD, job, start, threadS, threading++);
          clock = start + threadS;
        }
      }
      const seconds = cut.seconds[s]!;
      const start = sewFrom(m, clock, seconds);
      if (start < 0) return 0;
      stretchStart[m]![stretch0 + s] = start;
      notBefore = start;
      clock = start + seconds;
    }
    const unloadS = compiled.unloadS[m]!;
    const unload = place(clock, unloadS, m);
    if (unload < 0) return 0;
    take(UNLOAD, job, unload, unloadS, -1);
    clock = unload + unloadS;

    frameOf[job] = frame;
    if (patience <= 0 || hasty[job]) {
      if (!closeRun(job, clock)) return 0;
    } else {
      if (frame >= 0) frameFree[kind]![frame] = NEVER;
      pending[pendingCount] = job;
      pendingAt[pendingCount] = step + patience;
      pendingFrom[pendingCount++] = clock;
    }
    machineFree[m] = clock;
    const runS = cut.sewS + loadS + unloadS + (threading - thread0) * threadS;
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
    const start = place(from, seconds, m);
    if (start < 0) return false;
    take(CHORE, item, start, seconds, -1);
    if (m >= 0) machineFree[m] = start + seconds;
    done(item, start + seconds);
    return true;
  }

  /** Needle plans of all machines for this candidate; those of unchanged orders are kept. */
  function planNeedles(candidate: Candidate): void {
    askedLength.fill(0);
    const { order, machine, cut } = candidate;
    for (let at = 0; at < order.length; at++) {
      const job = order[at]!;
      if (job >= jobs || barred[job]) continue;
      const m = machine[job]!;
      asked[m]![askedLength[m]!++] = (job << 4) | cut[job]!;
    }
    for (let m = 0; m < machines; m++) {
      const length = askedLength[m]!;
      const own = asked[m]!;
      const pair = caches[m]!;
      let slot = 0;
      for (; slot < 2; slot++) {
        const known = pair[slot]!;
        if (known.length !== length) continue;
        let same = length;
        while (same > 0 && known.key[same - 1] === own[same - 1]) same--;
        if (same === 0) break;
      }
      if (slot === 2) {
        slot = 1 - lastSlot[m]!;
        const plan = pair[slot]!;
        plan.key.set(own.subarray(0, length));
        plan.length = length;
        chooseNeedles(room, m, plan, decoder.rule);
      }
      lastSlot[m] = slot;
      needlePlan[m] = pair[slot]!;
    }
  }

  function reset(): void {
    for (let h = 0; h < hands; h++) {
      const starts = compiled.shiftStart[h]!;
      gapStart[h]!.set(starts);
      gapEnd[h]!.set(compiled.shiftEnd[h]!);
      gaps[h] = starts.length;
    }
    for (const free of frameFree) free.fill(0);
    machineFree.fill(0);
    putIn.fill(0);
    stretchAt.fill(0);
    threadAt.fill(0);
    runAt.fill(0);
    frameOf.fill(-1);
    endOf.fill(-1);
    pendingCount = 0;
    decoder.tasksCount = 0;
    outcome.lateItems = outcome.lateS = outcome.weightedLateS = outcome.finishAt = outcome.leftOut = 0;
    outcome.threadings = outcome.midStops = 0;
  }

  /** Seconds all runs of a machine keep it busy, at least. */
  function workOn(m: number): number {
    const plan = needlePlan[m]!;
    let sum = plan.threadings * compiled.threadS[m]!;
    for (let at = 0; at < plan.length; at++) {
      const key = plan.key[at]!;
      sum += cuts[(key >> 4) * machines + m]![key & 15]!.sewS + compiled.loadS[m]! + compiled.unloadS[m]!;
    }
    return sum;
  }

  /** Whether the score must exceed the limit, whatever comes. */
  function tooDear(base: number, endsNotBefore: number, limit: number): boolean {
    const end = endsNotBefore > outcome.finishAt ? endsNotBefore : outcome.finishAt;
    const least = base + (cost.perLateMinute * outcome.weightedLateS + cost.perFinishMinute * end) / 60;
    return least + outcome.leftOut * LEFT_OUT_PENALTY > limit;
  }

  /** One attempt from a step on; false when a run found no place and all must be done again without it. */
  function attempt(candidate: Candidate, limit: number, from: number): boolean {
    let endsNotBefore = 0;
    outcome.threadings = outcome.midStops = 0;
    for (let m = 0; m < machines; m++) {
      outcome.threadings += needlePlan[m]!.threadings;
      outcome.midStops += needlePlan[m]!.midStops;
      toCome[m] = workOn(m) - putIn[m]!;
      if (toCome[m]! > 0) endsNotBefore = Math.max(endsNotBefore, machineFree[m]! + toCome[m]! + tailS);
    }
    const base = cost.perThreading * outcome.threadings + cost.perMidStop * outcome.midStops;
    if (tooDear(base, endsNotBefore, limit)) {
      outcome.score = Infinity;
      return true;
    }
    const { order, machine, patience } = candidate;
    for (let step = from; step < order.length; step++) {
      if (recording && step > from && step % SPACING === 0) save(fresh, step / SPACING);
      const item = order[step]!;
      if (item >= jobs) {
        if (!putChore(item - jobs)) outcome.leftOut++;
      } else if (barred[item]) outcome.leftOut++;
      else {
        const m = machine[item]!;
        const put = putRun(item, patience[item]!, step, m, needlePlan[m]!);
        if (put < 0) return false;
        if (put === 0) {
          // Its threadings belong to no run now: bar it and choose the needles again without it.
          barred[item] = 1;
          return false;
        }
      }
      for (let p = 0; p < pendingCount;) {
        if (pendingAt[p]! > step) p++;
        else if (!closePending(p)) return false;
      }
      if (item < jobs) {
        const m = machine[item]!;
        endsNotBefore = Math.max(endsNotBefore, machineFree[m]! + toCome[m]! + tailS);
      }
      if (tooDear(base, endsNotBefore, limit)) {
        outcome.score = Infinity;
        return true;
      }
    }
    while (pendingCount > 0) if (!closePending(0)) return false;
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

  function whole(candidate: Candidate, limit: number): boolean {
    planNeedles(candidate);
    reset();
    return attempt(candidate, limit, 0);
  }

  function decode(candidate: Candidate, limit: number): Outcome {
    barred.set(candidate.left);
    hasty.fill(0);
    recording = false;
    while (!whole(candidate, limit));
    return outcome;
  }

  // What `decodeAgain` goes on from: the state after every SPACING items of the candidate kept, and what it was.
  const SPACING = Math.max(2, Math.round(Math.sqrt(items) / 2));
  const places = Math.floor(items / SPACING) + 1;
  const stateSize = 4 + 5 * machines + compiled.frames.reduce((sum, count) => sum + count, 0);
  const emptyStates = () =>
    Array.from({ length: places }, () => ({
      state: new Int32Array(stateSize + hands * 64),
      late: new Float64Array(2),
    }));
  const kept = {
    is: false,
    states: emptyStates(),
    order: new Int32Array(items),
    length: 0,
    machine: new Int32Array(jobs),
    cut: new Int32Array(jobs),
    patience: new Int32Array(jobs),
    left: new Uint8Array(jobs),
    before: Array.from({ length: machines }, (_, m) => new Int32Array(needlePlan[m]!.before.length)),
    stretches: new Int32Array(machines),
    endOf: new Int32Array(items),
    frameOf: new Int32Array(jobs),
  };
  /** States of the decoding in hand; they change places with the kept ones when it is kept. */
  const fresh = emptyStates();
  let recording = false;
  let firstFresh = 1;
  let isClean = false;

  function save(into: typeof fresh, at: number): void {
    const slot = into[at]!;
    let need = stateSize + 3 * pendingCount + hands;
    for (let h = 0; h < hands; h++) need += 2 * gaps[h]!;
    if (slot.state.length < need) slot.state = new Int32Array(2 * need);
    const { state, late } = slot;
    late[0] = outcome.lateS;
    late[1] = outcome.weightedLateS;
    let i = 0;
    for (let m = 0; m < machines; m++) {
      state[i++] = stretchAt[m]!;
      state[i++] = threadAt[m]!;
      state[i++] = runAt[m]!;
      state[i++] = machineFree[m]!;
      state[i++] = putIn[m]!;
    }
    state[i++] = outcome.lateItems;
    state[i++] = outcome.finishAt;
    state[i++] = outcome.leftOut;
    state[i++] = pendingCount;
    for (let p = 0; p < pendingCount; p++) {
      state[i++] = pending[p]!;
      state[i++] = pendingAt[p]!;
      state[i++] = pendingFrom[p]!;
    }
    for (const free of frameFree) for (let f = 0; f < free.length; f++) state[i++] = free[f]!;
    for (let h = 0; h < hands; h++) {
      const count = gaps[h]!;
      state[i++] = count;
      for (let g = 0; g < count; g++) {
        state[i++] = gapStart[h]![g]!;
        state[i++] = gapEnd[h]![g]!;
      }
    }
  }

  function restore(at: number): void {
    const { state, late } = kept.states[at]!;
    outcome.lateS = late[0]!;
    outcome.weightedLateS = late[1]!;
    let i = 0;
    for (let m = 0; m < machines; m++) {
      stretchAt[m] = state[i++]!;
      threadAt[m] = state[i++]!;
      runAt[m] = state[i++]!;
      machineFree[m] = state[i++]!;
      putIn[m] = state[i++]!;
    }
    outcome.lateItems = state[i++]!;
    outcome.finishAt = state[i++]!;
    outcome.leftOut = state[i++]!;
    pendingCount = state[i++]!;
    for (let p = 0; p < pendingCount; p++) {
      pending[p] = state[i++]!;
      pendingAt[p] = state[i++]!;
      pendingFrom[p] = state[i++]!;
    }
    for (const free of frameFree) for (let f = 0; f < free.length; f++) free[f] = state[i++]!;
    for (let h = 0; h < hands; h++) {
      const count = state[i++]!;
      gaps[h] = count;
      for (let g = 0; g < count; g++) {
        gapStart[h]![g] = state[i++]!;
        gapEnd[h]![g] = state[i++]!;
      }
    }
    decoder.tasksCount = 0;
  }

  /** Items at the head of the order that are as in the candidate kept. */
  function sameItems({ order, machine, cut, patience, left }: Candidate): number {
    if (!kept.is || order.length !== kept.length) return 0;
    let at = 0;
    for (; at < order.length; at++) {
      const item = order[at]!;
      if (item !== kept.order[at]) break;
      if (item >= jobs) continue;
      if (machine[item] !== kept.machine[item] || cut[item] !== kept.cut[item]) break;
      if (patience[item] !== kept.patience[item] || left[item] !== kept.left[item]) break;
    }
    return at;
  }

  /** The last state kept that this candidate goes through too: same items so far, same threadings before their stretches. */
  function lastCommon(candidate: Candidate): number {
    let at = Math.floor(Math.min(sameItems(candidate), kept.length - 1) / SPACING);
    for (let m = 0; m < machines && at > 0; m++) {
      const { before, stretches } = needlePlan[m]!;
      const known = kept.before[m]!;
      const most = Math.min(stretches, kept.stretches[m]!);
      let same = 0;
      while (same < most && before[same] === known[same]) same++;
      while (at > 0 && kept.states[at]!.state[5 * m]! > same) at--;
    }
    return Math.max(0, at);
  }

  function decodeAgain(candidate: Candidate, limit: number): Outcome {
    barred.set(candidate.left);
    hasty.fill(0);
    planNeedles(candidate);
    const at = lastCommon(candidate);
    if (at === 0) reset();
    else {
      restore(at);
      endOf.set(kept.endOf);
      frameOf.set(kept.frameOf);
      for (let step = at * SPACING; step < candidate.order.length; step++) endOf[candidate.order[step]!] = -1;
      for (let p = 0; p < pendingCount; p++) endOf[pending[p]!] = -1;
    }
    recording = true;
    firstFresh = at + 1;
    isClean = attempt(candidate, limit, at * SPACING);
    recording = false;
    if (!isClean) while (!whole(candidate, limit));
    return outcome;
  }

  function keep(candidate: Candidate): void {
    kept.is = isClean && outcome.score < Infinity;
    if (!kept.is) return;
    kept.length = candidate.order.length;
    for (let at = firstFresh; at * SPACING < kept.length; at++) {
      const older = kept.states[at]!;
      kept.states[at] = fresh[at]!;
      fresh[at] = older;
    }
    kept.order.set(candidate.order);
    kept.machine.set(candidate.machine);
    kept.cut.set(candidate.cut);
    kept.patience.set(candidate.patience);
    kept.left.set(candidate.left);
    kept.endOf.set(endOf);
    kept.frameOf.set(frameOf);
    for (let m = 0; m < machines; m++) {
      const { before, stretches } = needlePlan[m]!;
      for (let s = 0; s < stretches; s++) kept.before[m]![s] = before[s]!;
      kept.stretches[m] = stretches;
    }
  }

  function forget(): void {
    kept.is = false;
  }

  return decoder;
}
