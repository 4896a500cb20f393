import { invariant } from "#core/base";
import { drawAt, factorOf } from "./draws";
import { type Clock, createClock, joinedHours } from "./hours";
import {
  CARE,
  createUseLedger,
  type HandUse,
  handUses,
  LOADING,
  MENDING,
  type MachineUse,
  machineUses,
  type Season,
  SEWING,
  THREADING,
  WAIT_HANDS,
  WAIT_HOOPING,
  WAIT_WORK,
} from "./ledger";
import type { Stretch } from "./needle-use";
import { createQueue } from "./queue";
import type { Compiled } from "./shop";

/** What a person can be asked to do. */
export const HOOP = 0;
export const THREAD = 1;
export const LOAD = 2;
export const UNLOAD = 3;
export const UNHOOP = 4;
export const FINISH = 5;
export const CHORE = 6;
export const MEND = 7;
export const BOBBIN = 8;
export const OIL = 9;

const useOfTask: readonly number[] = [
  handUses.indexOf("hooping"), handUses.indexOf("threading"), handUses.indexOf("loading"), handUses.indexOf("loading"),
  handUses.indexOf("hooping"), handUses.indexOf("finishing"), handUses.indexOf("chores"), handUses.indexOf("mending"),
  handUses.indexOf("mending"), handUses.indexOf("care"),
]; // prettier-ignore
const machineUseOfTask: readonly number[] = [
  -1, THREADING, LOADING, LOADING, -1, -1, CARE, MENDING, MENDING, CARE,
]; // prettier-ignore

/** A step that is ready for a person now. */
export interface Task {
  readonly kind: number;
  /** The piece, or the chore for `CHORE`; −1 for care by run hours. */
  readonly item: number;
  /** The machine that stands meanwhile; −1 for work away from one. */
  readonly machine: number;
  /** The machine the piece goes to: who hoops wants to know. */
  readonly goesTo: number;
  readonly expectedS: number;
  readonly nth: number;
}

/** What a policy sees and can do. */
export interface Floor {
  readonly compiled: Compiled;
  /** Tasks that are ready and that nobody does yet, in the order they became ready. */
  readonly ready: Task[];
  /** Pieces put on each machine's list and not begun there, in their order. */
  readonly lists: readonly number[][];
  readonly standing: (machine: number) => boolean;
  readonly isIn: (piece: number) => boolean;
  readonly isHooped: (piece: number) => boolean;
  readonly isFree: (frame: number) => boolean;
  readonly idleHand: () => boolean;
  /** Puts a piece, or a chore as −2 − number, at the end of a machine's list. */
  assign(machine: number, item: number): void;
  /** Gives a piece its frame; its hooping is ready from now on. */
  frame(piece: number, frame: number): void;
  /** Whether the hand has the time for it before the shift ends, and the machine is up for it. */
  canDo(hand: number, task: Task): boolean;
}

/** How the shop decides; the floor asks and does the rest. */
export interface Policy {
  /** A piece is here, anew where it was spoiled. */
  arrived(piece: number): void;
  /** Puts pieces on machines' lists and gives frames, as far as it wants to now. */
  refill(now: number): void;
  /** What an idle person does next, an index into `floor.ready`; −1 for nothing. */
  pick(hand: number, now: number): number;
  /** What an empty machine begins now: one of the pieces or chores on the lists; −1 for nothing. */
  choose(machine: number, now: number): number;
  /** The stretches of a piece that its machine begins now. */
  begun(machine: number, piece: number): readonly Stretch[];
}

export interface Told {
  /** A task or a stretch of sewing that is over, for those who compare schedules. */
  readonly what: "task" | "sewing";
  readonly kind: number;
  readonly item: number;
  readonly machine: number;
  readonly hand: number;
  readonly nth: number;
  readonly start: number;
  readonly end: number;
}

export interface PlayOptions {
  readonly seed: number;
  /** Is told of each step that is over. */
  readonly tell?: (step: Told) => void;
  /** Is called after each event: tests look here whether anything was lost. */
  readonly watch?: (state: Watched) => void;
}

/** Who and what is where, for tests of conservation. */
export interface Watched {
  readonly now: number;
  readonly stateOf: Uint8Array;
  readonly frameOf: Int32Array;
  readonly pieceInFrame: Int32Array;
  readonly onMachine: Int32Array;
  readonly arrived: number;
  readonly done: number;
}

// Where a piece is.
export const AWAY = 0;
export const WAITING = 1;
export const LISTED = 2;
export const HOOPED = 3;
export const LOADED = 4;
export const OFF = 5;
export const FINISHING = 6;
export const DONE = 7;

// Kinds of events; the number in the low bits says which.
const ARRIVE = 0;
const HAND_DONE = 1;
const STOP = 2;
const WAKE_HAND = 3;
const WAKE = 4;
const RELEASE = 5;
const BITS = 24;
const MASK = (1 << BITS) - 1;

// Steps that draw chance, beside the tasks' own numbers.
const SECOND_DRAW = 16;
const SEW = 33;
const BREAK = 35;
const SPOIL = 36;

/**
 * Plays a shop through, event by event: a discrete-event simulation, ordered by time, priority and sequence, with
 * chance by name (`draws.ts`), and no clock. It keeps the rules of docs/formats/problem.md: a person does one task at a
 * time and begins none that does not fit in the shift as expected; a machine is a run's own from its first threading
 * to the end of unloading; a stretch begins only where it fits in the open hours; a frame is a piece's own from its
 * hooping to the end of unhooping. What chance adds may run over the end: that is overtime, and told.
 */
export function play(compiled: Compiled, options: PlayOptions, policyFor: (floor: Floor) => Policy): Season {
  const { shop, pieces, machines, hands, chores } = compiled;
  const { problem, chances } = shop;
  const { jobs } = problem;
  const { seed } = options;
  const queue = createQueue();
  const shifts: readonly Clock[] = problem.hands.map((hand) => createClock(joinedHours(hand.shifts)));
  const sewable: readonly Clock[] = compiled.sewable.map(createClock);
  const downs: readonly Clock[] = compiled.down.map(createClock);
  const uses = createUseLedger(compiled.sewable.map(createClock));

  const stateOf = new Uint8Array(pieces);
  const attempt = new Uint16Array(pieces);
  const endOf = new Float64Array(pieces).fill(-1);
  const firstFrame = new Int32Array(compiled.frames.length + 1);
  compiled.frames.forEach((count, kind) => (firstFrame[kind + 1] = firstFrame[kind]! + count));
  const pieceInFrame = new Int32Array(firstFrame.at(-1)!).fill(-1);
  const frameOf = new Int32Array(pieces).fill(-1);
  const released = new Uint8Array(chores);
  const choreDone = new Uint8Array(chores);

  const FREE = -1;
  const CARING = -2;
  const onMachine = new Int32Array(machines).fill(FREE);
  const choreOn = new Int32Array(machines).fill(-1);
  const stretchesOf: (readonly Stretch[])[] = Array.from({ length: machines }, () => []);
  const stretchAt = new Int32Array(machines);
  const threadingsLeft = new Int32Array(machines);
  const threadingsDone = new Int32Array(machines);
  /** What the machine waits for: a task that is ready or being done, sewing, or nothing yet. */
  const THREADS = 1;
  const HOOPING = 2;
  const ASKED = 3;
  const TO_SEW = 4;
  const SEWS = 5;
  const phase = new Uint8Array(machines);
  const stitchesLeft = new Float64Array(machines);
  const secondsLeft = new Float64Array(machines);
  const hasBegun = new Uint8Array(machines);
  const breakIn = new Float64Array(machines);
  const breaksDrawn = new Int32Array(machines);
  const bobbinLeft = new Float64Array(machines).fill(chances.bobbinEveryStitches ?? Infinity);
  const segment = new Float64Array(machines);
  const segmentFrom = new Float64Array(machines);
  const sewnFrom = new Float64Array(machines);
  const wakeAt = new Float64Array(machines).fill(-1);
  const sewnS = new Float64Array(machines);
  const careAt = compiled.care.map(({ everySewingS }) => everySewingS);
  const runs = new Int32Array(machines);
  const stitchesSewn = new Float64Array(machines);

  const handTask: (Task | null)[] = Array.from({ length: hands }, () => null);
  const handFrom = new Float64Array(hands);
  const handShiftEnd = new Float64Array(hands);
  const handSeconds = problem.hands.map(() => new Float64Array(handUses.length));
  const overtime = new Float64Array(hands);

  let now = 0;
  let arrived = 0;
  let done = 0;
  let throughS = 0;
  let threadings = 0;
  let midStops = 0;
  let breaks = 0;
  let bobbins = 0;
  let spoiled = 0;
  let events = 0;
  let lastEnd = 0;
  const impossible = pieces - countPossible();

  const floor: Floor = {
    compiled,
    ready: [],
    lists: Array.from({ length: machines }, () => []),
    standing: (machine) => onMachine[machine] === FREE || phase[machine] === HOOPING,
    isIn: (piece) => stateOf[piece] === WAITING || stateOf[piece] === LISTED,
    isHooped: (piece) => stateOf[piece] === HOOPED,
    isFree: (frame) => pieceInFrame[frame] === -1,
    idleHand: () => handTask.some((task, hand) => task === null && shifts[hand]!.endOfHours(now) >= 0),
    assign,
    frame: takeFrame,
    canDo,
  };
  const policy = policyFor(floor);

  function countPossible(): number {
    let count = 0;
    for (let piece = 0; piece < pieces; piece++) if (isPossible(piece)) count++;
    return count;
  }

  function isPossible(piece: number): boolean {
    for (let m = 0; m < machines; m++) if (compiled.fits[piece * machines + m] === 1) return true;
    return false;
  }

  // --- chance -------------------------------------------------------------------------------------------------

  function factor(spread: (typeof chances)["sewing"], item: number, step: number, nth: number): number {
    if (spread.kind === "none") return 1;
    return factorOf(spread, drawAt(seed, item, step, nth), () => drawAt(seed, item, step + SECOND_DRAW, nth));
  }

  /** Pieces and chores draw apart; what belongs to a machine alone draws by its number. */
  const nameOf = (task: Task): number =>
    task.kind === CHORE
      ? compiled.choreName[task.item]!
      : task.item >= 0
        ? compiled.pieceName[task.item]!
        : compiled.machineName[task.machine]!;

  // --- pieces and frames --------------------------------------------------------------------------------------

  function assign(machine: number, item: number): void {
    floor.lists[machine]!.push(item);
    if (item >= 0 && stateOf[item] === WAITING) stateOf[item] = LISTED;
    if (item >= 0 && compiled.hoopKind[item] === -1 && stateOf[item] === LISTED) askHooping(item, machine);
  }

  function takeFrame(piece: number, frame: number): void {
    invariant(pieceInFrame[frame] === -1, "a frame is in one place");
    pieceInFrame[frame] = piece;
    frameOf[piece] = frame;
    askHooping(piece, goesTo(piece));
  }

  function goesTo(piece: number): number {
    for (let m = 0; m < machines; m++)
      if (onMachine[m] === piece || floor.lists[m]!.includes(piece)) return m;
    return -1;
  }

  const askHooping = (piece: number, machine: number): void =>
    ask({
      kind: HOOP,
      item: piece,
      machine: -1,
      goesTo: machine,
      expectedS: jobs[piece]!.hoopS,
      nth: attempt[piece]!,
    });

  /** A step that takes no time needs nobody. */
  function ask(task: Task): void {
    if (task.expectedS === 0) over(task, -1, now);
    else floor.ready.push(task);
  }

  function arrive(piece: number): void {
    stateOf[piece] = floor.lists.some((list) => list.includes(piece)) ? LISTED : WAITING;
    if (stateOf[piece] === LISTED && compiled.hoopKind[piece] === -1) askHooping(piece, goesTo(piece));
    policy.arrived(piece);
  }

  function finished(piece: number): void {
    stateOf[piece] = DONE;
    endOf[piece] = now;
    done++;
    throughS += now - compiled.release[piece]!;
  }

  // --- machines -----------------------------------------------------------------------------------------------

  function advance(machine: number): boolean {
    if (onMachine[machine] === FREE) return begin(machine);
    const piece = onMachine[machine]!;
    if (phase[machine] === HOOPING && stateOf[piece]! >= HOOPED) {
      askLoad(machine, piece);
      return true;
    }
    return phase[machine] === TO_SEW && sewOn(machine);
  }

  /** What a machine that stands empty takes up: care that is due, chores that are released, the next on its list. */
  function begin(machine: number): boolean {
    const care = compiled.care.findIndex(
      (rule, at) => rule.machine === machine && sewnS[machine]! >= careAt[at]!,
    );
    if (care >= 0) {
      careAt[care] = sewnS[machine]! + compiled.care[care]!.everySewingS;
      return occupy(machine, CARING, {
        kind: OIL, item: -1, machine, goesTo: machine, expectedS: compiled.care[care]!.seconds, nth: runs[machine]!,
      }); // prettier-ignore
    }
    const chore = floor.lists[machine]!.find((item) => item < -1);
    const item = chore !== undefined && isNext(machine, chore) ? chore : policy.choose(machine, now);
    if (item === -1 || (item < -1 && released[-2 - item] === 0)) return false;
    const list = floor.lists[machine]!.includes(item)
      ? floor.lists[machine]!
      : floor.lists.find((other) => other.includes(item))!;
    list.splice(list.indexOf(item), 1);
    if (item < -1) return beginChore(machine, -2 - item);
    onMachine[machine] = item;
    runs[machine]!++;
    stretchesOf[machine] = policy.begun(machine, item);
    stretchAt[machine] = 0;
    threadingsDone[machine] = 0;
    toStretch(machine, item);
    return true;
  }

  /** A chore that was put first on the list (it is released) goes before any piece. */
  const isNext = (machine: number, chore: number): boolean => floor.lists[machine]![0] === chore;

  function beginChore(machine: number, chore: number): boolean {
    choreOn[machine] = chore;
    return occupy(machine, CARING, {
      kind: CHORE, item: chore, machine, goesTo: machine, expectedS: problem.chores[chore]!.seconds, nth: 0,
    }); // prettier-ignore
  }

  function occupy(machine: number, what: number, task: Task): boolean {
    onMachine[machine] = what;
    phase[machine] = ASKED;
    uses.switchTo(machine, WAIT_HANDS, now);
    ask(task);
    return true;
  }

  /** Before a stretch come its threadings, then, before the first, the load. */
  function toStretch(machine: number, piece: number): void {
    const stretch = stretchesOf[machine]![stretchAt[machine]!]!;
    threadingsLeft[machine] = stretch.threadings;
    if (stretchAt[machine]! > 0) midStops++;
    threadOn(machine, piece);
  }

  function threadOn(machine: number, piece: number): void {
    if (threadingsLeft[machine]! > 0) {
      phase[machine] = THREADS;
      uses.switchTo(machine, WAIT_HANDS, now);
      ask({
        kind: THREAD, item: piece, machine, goesTo: machine, expectedS: problem.machines[machine]!.threadS,
        nth: attempt[piece]! * 64 + threadingsDone[machine]!,
      }); // prettier-ignore
    } else if (stretchAt[machine]! > 0) toSew(machine, piece);
    else if (stateOf[piece]! >= HOOPED) askLoad(machine, piece);
    else {
      phase[machine] = HOOPING;
      uses.switchTo(machine, WAIT_HOOPING, now);
    }
  }

  function askLoad(machine: number, piece: number): void {
    phase[machine] = ASKED;
    uses.switchTo(machine, WAIT_HANDS, now);
    ask({
      kind: LOAD, item: piece, machine, goesTo: machine, expectedS: problem.machines[machine]!.loadS, nth: attempt[piece]!,
    }); // prettier-ignore
  }

  function toSew(machine: number, piece: number): void {
    const stretch = stretchesOf[machine]![stretchAt[machine]!]!;
    const nth = attempt[piece]! * 64 + stretchAt[machine]!;
    stitchesLeft[machine] = stretch.stitches;
    secondsLeft[machine] = stretch.seconds * factor(chances.sewing, compiled.pieceName[piece]!, SEW, nth);
    hasBegun[machine] = 0;
    breaksDrawn[machine] = nth * 64;
    drawBreak(machine, piece);
    phase[machine] = TO_SEW;
    uses.switchTo(machine, WAIT_WORK, now);
    sewOn(machine);
  }

  function drawBreak(machine: number, piece: number): void {
    breakIn[machine] =
      chances.breakEveryStitches === null
        ? Infinity
        : -Math.log(drawAt(seed, compiled.pieceName[piece]!, BREAK, breaksDrawn[machine]!++)) *
          chances.breakEveryStitches;
  }

  /** Sews until the stretch is over, the thread breaks or the bobbin is empty; begins only where it fits in the open hours. */
  function sewOn(machine: number): boolean {
    const clock = sewable[machine]!;
    if (hasBegun[machine] === 0) {
      const expected = stretchesOf[machine]![stretchAt[machine]!]!.seconds;
      const end = clock.endOfHours(now);
      if (end < 0 || now + expected > end) {
        const start = clock.nextStart(now);
        if (start < Infinity && wakeAt[machine] !== start) {
          wakeAt[machine] = start;
          queue.put(start, 2, (WAKE << BITS) | machine);
        }
        return false;
      }
      hasBegun[machine] = 1;
      sewnFrom[machine] = now;
    }
    const stitches = stitchesLeft[machine]!;
    segment[machine] = Math.min(stitches, breakIn[machine]!, bobbinLeft[machine]!);
    const share = stitches === 0 ? 1 : segment[machine]! / stitches;
    segmentFrom[machine] = now;
    phase[machine] = SEWS;
    uses.switchTo(machine, SEWING, now);
    queue.put(now + secondsLeft[machine]! * share, 0, (STOP << BITS) | machine);
    return true;
  }

  function stop(machine: number): void {
    const piece = onMachine[machine]!;
    const sewn = segment[machine]!;
    secondsLeft[machine]! -= now - segmentFrom[machine]!;
    sewnS[machine]! += now - segmentFrom[machine]!;
    stitchesLeft[machine]! -= sewn;
    stitchesSewn[machine]! += sewn;
    breakIn[machine]! -= sewn;
    bobbinLeft[machine]! -= sewn;
    if (stitchesLeft[machine]! <= 0) stretchOver(machine, piece);
    else if (bobbinLeft[machine]! <= 0) {
      bobbins++;
      askMachine(machine, piece, BOBBIN, chances.bobbinS);
    } else {
      breaks++;
      drawBreak(machine, piece);
      askMachine(machine, piece, MEND, chances.mendS);
    }
  }

  function askMachine(machine: number, piece: number, kind: number, expectedS: number): void {
    phase[machine] = ASKED;
    uses.switchTo(machine, WAIT_HANDS, now);
    ask({ kind, item: piece, machine, goesTo: machine, expectedS, nth: breaksDrawn[machine]! });
  }

  function stretchOver(machine: number, piece: number): void {
    options.tell?.({
      what: "sewing", kind: -1, item: piece, machine, hand: -1, nth: stretchAt[machine]!, start: sewnFrom[machine]!, end: now,
    }); // prettier-ignore
    stretchAt[machine]!++;
    if (stretchAt[machine]! < stretchesOf[machine]!.length) toStretch(machine, piece);
    else askMachine(machine, piece, UNLOAD, problem.machines[machine]!.unloadS);
  }

  function freed(machine: number): void {
    onMachine[machine] = FREE;
    phase[machine] = 0;
    uses.switchTo(machine, floor.lists[machine]!.length > 0 ? WAIT_HOOPING : WAIT_WORK, now);
  }

  // --- hands --------------------------------------------------------------------------------------------------

  function canDo(hand: number, { machine, expectedS }: Task): boolean {
    const end = shifts[hand]!.endOfHours(now);
    if (end < 0 || now + expectedS > end) return false;
    return machine < 0 || isUp(machine, expectedS);
  }

  function isUp(machine: number, seconds: number): boolean {
    const clock = downs[machine]!;
    return clock.endOfHours(now) < 0 && clock.nextStart(now) >= now + seconds;
  }

  function take(hand: number, at: number): void {
    const task = floor.ready[at]!;
    floor.ready.splice(at, 1);
    handTask[hand] = task;
    handFrom[hand] = now;
    handShiftEnd[hand] = shifts[hand]!.endOfHours(now);
    const use = machineUseOfTask[task.kind]!;
    if (use >= 0) uses.switchTo(task.machine, use, now);
    const seconds = task.expectedS * factor(chances.handTimes, nameOf(task), task.kind, task.nth);
    queue.put(now + seconds, 0, (HAND_DONE << BITS) | hand);
  }

  function handDone(hand: number): void {
    const task = handTask[hand]!;
    handTask[hand] = null;
    handSeconds[hand]![useOfTask[task.kind]!]! += now - handFrom[hand]!;
    overtime[hand]! += Math.max(0, now - Math.max(handFrom[hand]!, handShiftEnd[hand]!));
    over(task, hand, handFrom[hand]!);
  }

  function over(task: Task, hand: number, start: number): void {
    const { kind, item, machine, nth } = task;
    options.tell?.({ what: "task", kind, item, machine, hand, nth, start, end: now });
    if (now > lastEnd) lastEnd = now;
    steps[kind]!(item, machine);
  }

  /** What follows when a task is over. */
  const steps: readonly ((item: number, machine: number) => void)[] = [
    (piece) => void (stateOf[piece] = HOOPED),
    (piece, machine) => {
      threadings++;
      threadingsDone[machine]!++;
      threadingsLeft[machine]!--;
      threadOn(machine, piece);
    },
    (piece, machine) => {
      stateOf[piece] = LOADED;
      toSew(machine, piece);
    },
    (piece, machine) => {
      stateOf[piece] = OFF;
      freed(machine);
      ask({
        kind: UNHOOP,
        item: piece,
        machine: -1,
        goesTo: -1,
        expectedS: jobs[piece]!.unhoopS,
        nth: attempt[piece]!,
      });
    },
    (piece) => {
      if (frameOf[piece]! >= 0) pieceInFrame[frameOf[piece]!] = -1;
      frameOf[piece] = -1;
      if (drawAt(seed, compiled.pieceName[piece]!, SPOIL, attempt[piece]!) < chances.spoiledShare)
        remake(piece);
      else {
        stateOf[piece] = FINISHING;
        ask({
          kind: FINISH,
          item: piece,
          machine: -1,
          goesTo: -1,
          expectedS: jobs[piece]!.finishS,
          nth: attempt[piece]!,
        });
      }
    },
    finished,
    (chore, machine) => {
      choreDone[chore] = 1;
      if (machine >= 0) {
        choreOn[machine] = -1;
        freed(machine);
      }
    },
    (_, machine) => again(machine),
    (_, machine) => {
      bobbinLeft[machine] = chances.bobbinEveryStitches ?? Infinity;
      again(machine);
    },
    (_, machine) => freed(machine),
  ];

  function again(machine: number): void {
    phase[machine] = TO_SEW;
    sewOn(machine);
  }

  function remake(piece: number): void {
    spoiled++;
    attempt[piece]!++;
    arrive(piece);
  }

  // --- the day ------------------------------------------------------------------------------------------------

  /** Does all that can be done at this moment. */
  function settle(): void {
    for (let changed = true; changed;) {
      changed = false;
      policy.refill(now);
      for (let machine = 0; machine < machines; machine++) while (advance(machine)) changed = true;
      for (let hand = 0; hand < hands && floor.ready.length > 0; hand++) {
        if (handTask[hand] !== null || shifts[hand]!.endOfHours(now) < 0) continue;
        const at = policy.pick(hand, now);
        if (at >= 0) {
          take(hand, at);
          changed = true;
        }
      }
    }
  }

  function happen(what: number): void {
    const which = what & MASK;
    const kind = what >> BITS;
    if (kind === ARRIVE) {
      arrived++;
      if (isPossible(which)) arrive(which);
    } else if (kind === HAND_DONE) handDone(which);
    else if (kind === STOP) stop(which);
    else if (kind === WAKE_HAND) wakeHand(which);
    else if (kind === RELEASE) release(which);
  }

  function wakeHand(hand: number): void {
    const next = shifts[hand]!.nextStart(now);
    if (next < Infinity) queue.put(next, 1, (WAKE_HAND << BITS) | hand);
  }

  function release(chore: number): void {
    released[chore] = 1;
    const machine = compiled.choreMachine[chore]!;
    if (machine < 0)
      ask({
        kind: CHORE,
        item: chore,
        machine: -1,
        goesTo: -1,
        expectedS: problem.chores[chore]!.seconds,
        nth: 0,
      });
    else if (!floor.lists[machine]!.includes(-2 - chore)) floor.lists[machine]!.unshift(-2 - chore);
  }

  function open(): void {
    for (let piece = 0; piece < pieces; piece++)
      queue.put(compiled.release[piece]!, 1, (ARRIVE << BITS) | piece);
    problem.chores.forEach(({ releaseAt }, chore) => queue.put(releaseAt, 1, (RELEASE << BITS) | chore));
    problem.hands.forEach(({ shifts: own }, hand) => {
      const first = joinedHours(own)[0];
      if (first !== undefined) queue.put(Math.max(0, first[0]), 1, (WAKE_HAND << BITS) | hand);
    });
    compiled.down.forEach((hours) => hours.forEach(([, end]) => queue.put(end, 1, WAKE << BITS)));
  }

  open();
  while (queue.size() > 0) {
    const time = queue.nextTime();
    invariant(time >= now, "time does not go back");
    now = time;
    // All that happens at one moment has happened before anybody decides.
    while (queue.nextTime() === now) {
      happen(queue.take());
      events++;
    }
    settle();
    options.watch?.({ now, stateOf, frameOf, pieceInFrame, onMachine, arrived, done });
    if (done + impossible === pieces && arrived === pieces && choreDone.every((one) => one === 1)) break;
  }
  uses.close(now);
  return summary();

  function summary(): Season {
    let dated = 0;
    let kept = 0;
    let lateS = 0;
    for (let piece = 0; piece < pieces; piece++) {
      const due = compiled.due[piece]!;
      const end = endOf[piece]!;
      if (due === Infinity || (end < 0 && due > now)) continue;
      dated++;
      if (end >= 0 && end <= due) kept++;
      else lateS += (end < 0 ? now : end) - due;
    }
    return {
      pieces,
      done,
      impossible,
      onTimeShare: dated === 0 ? 1 : kept / dated,
      lateS,
      meanThroughS: done === 0 ? 0 : throughS / done,
      threadings,
      midStops,
      breaks,
      bobbins,
      spoiled,
      machines: problem.machines.map(({ id }, machine) => ({
        id,
        seconds: named<MachineUse>(machineUses, uses.seconds[machine]!),
        runs: runs[machine]!,
        stitches: stitchesSewn[machine]!,
      })),
      hands: problem.hands.map(({ id }, hand) => ({
        id,
        seconds: named<HandUse>(handUses, handSeconds[hand]!),
        overtimeS: overtime[hand]!,
        shiftS: shifts[hand]!.within(0, now),
      })),
      endS: lastEnd,
      endOf,
      events,
    };
  }
}

function named<Name extends string>(
  names: readonly Name[],
  values: Float64Array,
): Readonly<Record<Name, number>> {
  return Object.fromEntries(names.map((name, at) => [name, values[at]!])) as Record<Name, number>;
}
