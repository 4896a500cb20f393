/** The engine: a season played event by event. */
import { invariant } from "#core/base";
import { CHORE, type Floor, HOOPED, LISTED, type PlayOptions, type Policy, type Task, WAITING } from "./floor"; // prettier-ignore
import { createHands } from "./hands";
import { type Clock, createClock, joinedHours } from "./hours";
import { createUseLedger, type Season } from "./ledger";
import { createMachines } from "./machines";
import { createPieces } from "./pieces";
import { createQueue } from "./queue";
import { ARRIVE, event, HAND_DONE, kindOf, RELEASE, type Run, STOP, WAKE, WAKE_HAND, whichOf } from "./run";
import type { Compiled } from "./shop";
import { createState, FREE, HOOPING } from "./state";
import { standingAt, summary } from "./summary";

/**
 * Plays a shop through, event by event: a discrete-event simulation, ordered by time, priority and sequence, with
 * chance by name (`draws.ts`), and no clock. It keeps the rules of docs/formats/problem.md: a person does one task at a
 * time and begins none that does not fit in the shift as expected; a machine is a run's own from its first threading
 * to the end of unloading; a stretch begins only where it fits in the open hours; a frame is a piece's own from its
 * hooping to the end of unhooping. What chance adds may run over the end: that is overtime, and told.
 */
export function play(compiled: Compiled, options: PlayOptions, policyFor: (floor: Floor) => Policy): Season {
  const { pieces, machines: machineCount, hands: handCount } = compiled;
  const { problem } = compiled.shop;
  const [fromS, untilS] = options.counted ?? [0, Infinity];
  const state = createState(compiled);
  const { stateOf, handTask, onMachine, phase, pieceInFrame } = state;
  const queue = createQueue();
  const clocks = (all: Compiled["sewable"]): Clock[] => all.map(createClock);
  const shifts = problem.hands.map((hand) => createClock(joinedHours(hand.shifts)));
  const floor: Floor = {
    compiled,
    ready: [],
    lists: Array.from({ length: machineCount }, () => []),
    standing: (machine) => onMachine[machine] === FREE || phase[machine] === HOOPING,
    isIn: (piece) => stateOf[piece] === WAITING || stateOf[piece] === LISTED,
    isHooped: (piece) => stateOf[piece] === HOOPED,
    isFree: (frame) => pieceInFrame[frame] === -1,
    idleHand: () => handTask.some((task, hand) => task === null && shifts[hand]!.endOfHours(state.now) >= 0),
    assign: (machine, item) => onFloor.assign(machine, item),
    frame: (piece, frame) => onFloor.takeFrame(piece, frame),
    canDo: (hand, task) => hands.canDo(hand, task),
  };
  const run: { -readonly [Key in keyof Run]: Run[Key] } = {
    ...{ compiled, options, state, queue, shifts, floor },
    uses: createUseLedger(clocks(compiled.sewable)),
    sewable: clocks(compiled.sewable),
    downs: clocks(compiled.down),
    policy: undecided,
    ask: (task: Task) => hands.ask(task),
  };
  const onFloor = createPieces(run);
  const machines = createMachines(run);
  const hands = createHands(run, onFloor, machines);
  const policy = (run.policy = policyFor(floor));
  const impossible = countWhere(pieces, (piece) => !isPossible(compiled, piece));

  /** Does all that can be done at this moment. */
  function settle(): void {
    for (let changed = true; changed;) {
      changed = false;
      policy.refill(state.now);
      for (let machine = 0; machine < machineCount; machine++)
        while (machines.advance(machine)) changed = true;
      for (let hand = 0; hand < handCount && floor.ready.length > 0; hand++) {
        if (handTask[hand] !== null || shifts[hand]!.endOfHours(state.now) < 0) continue;
        const at = policy.pick(hand, state.now);
        if (at < 0) continue;
        hands.take(hand, at);
        changed = true;
      }
    }
  }

  function happen(what: number): void {
    const which = whichOf(what);
    const kind = kindOf(what);
    if (kind === ARRIVE) {
      state.arrived++;
      if (isPossible(compiled, which)) onFloor.arrive(which);
    } else if (kind === HAND_DONE) hands.done(which);
    else if (kind === STOP) machines.stopped(which);
    else if (kind === WAKE_HAND) wakeHand(which);
    else if (kind === RELEASE) release(which);
  }

  function wakeHand(hand: number): void {
    const next = shifts[hand]!.nextStart(state.now);
    if (next < Infinity) queue.put(next, 1, event(WAKE_HAND, hand));
  }

  function release(chore: number): void {
    state.released[chore] = 1;
    const machine = compiled.choreMachine[chore]!;
    const { seconds } = problem.chores[chore]!;
    if (machine < 0)
      hands.ask({ kind: CHORE, item: chore, machine: -1, goesTo: -1, expectedS: seconds, nth: 0 });
    else if (!floor.lists[machine]!.includes(-2 - chore)) floor.lists[machine]!.unshift(-2 - chore);
  }

  open(run);
  let before = fromS > 0 ? null : standingAt(run, 0);
  let after: typeof before = null;
  let events = 0;
  while (queue.size() > 0) {
    const time = queue.nextTime();
    invariant(time >= state.now, "time does not go back");
    if (before === null && time >= fromS) before = standingAt(run, fromS);
    if (after === null && time >= untilS) after = standingAt(run, untilS);
    state.now = time;
    // All that happens at one moment has happened before anybody decides.
    while (queue.nextTime() === time) {
      happen(queue.take());
      events++;
    }
    settle();
    options.watch?.(watched(run));
    if (state.done + impossible === pieces && state.arrived === pieces && state.choresLeft === 0) break;
  }
  before ??= standingAt(run, fromS);
  after ??= standingAt(run, untilS === Infinity ? state.now : untilS);
  return summary(run, {
    ...{ fromS, untilS, before, after, events },
    isPossible: (piece) => isPossible(compiled, piece),
  });
}

/** Stands until the policy is made, which wants to see the floor first. */
const undecided: Policy = {
  arrived: () => undefined,
  refill: () => undefined,
  pick: () => -1,
  choose: () => -1,
  begun: () => [],
};

/** What is known from the start: pieces and chores coming in, people coming to work, machines coming back. */
function open({ compiled, queue }: Run): void {
  const { problem } = compiled.shop;
  for (let piece = 0; piece < compiled.pieces; piece++)
    queue.put(compiled.release[piece]!, 1, event(ARRIVE, piece));
  problem.chores.forEach(({ releaseAt }, chore) => queue.put(releaseAt, 1, event(RELEASE, chore)));
  problem.hands.forEach(({ shifts }, hand) => {
    const first = joinedHours(shifts)[0];
    if (first !== undefined) queue.put(Math.max(0, first[0]), 1, event(WAKE_HAND, hand));
  });
  compiled.down.forEach((hours) => hours.forEach(([, end]) => queue.put(end, 1, event(WAKE, 0))));
}

function isPossible({ fits, machines }: Compiled, piece: number): boolean {
  for (let m = 0; m < machines; m++) if (fits[piece * machines + m] === 1) return true;
  return false;
}

function countWhere(upTo: number, holds: (at: number) => boolean): number {
  let count = 0;
  for (let at = 0; at < upTo; at++) if (holds(at)) count++;
  return count;
}

const watched = ({ state }: Run) => {
  const { now, stateOf, frameOf, pieceInFrame, onMachine, arrived, done } = state;
  return { now, stateOf, frameOf, pieceInFrame, onMachine, arrived, done };
};
