/** What machines do between runs and around them: care, chores, the next piece, its threadings, its load. */
import { CHORE, HOOPED, LOAD, OIL, type Task, THREAD } from "./floor";
import { WAIT_HANDS, WAIT_HOOPING, WAIT_WORK } from "./ledger";
import type { Run } from "./run";
import { createSewing } from "./sewing";
import { ASKED, CARING, FREE, HOOPING, THREADS, TO_SEW } from "./state";

export interface Machines {
  /** Takes the machine's next step where it can be taken now. */
  advance(machine: number): boolean;
  threaded(piece: number, machine: number): void;
  loaded(piece: number, machine: number): void;
  /** A mended thread or a new bobbin: sewing goes on. */
  mended(machine: number): void;
  freed(machine: number): void;
  /** The sewing of a segment has come to its end. */
  stopped(machine: number): void;
}

export function createMachines(run: Run): Machines {
  const { compiled, state, uses, floor } = run;
  const { problem } = compiled.shop;
  const { stateOf, attempt, released, onMachine, phase, stretchesOf, stretchAt } = state;
  const { threadingsLeft, threadingsDone, sewnS, careAt, runs } = state;
  const { toSew, sewOn, stopped } = createSewing(run, toStretch);

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
    const item =
      chore !== undefined && isNext(machine, chore) ? chore : run.policy.choose(machine, state.now);
    if (item === -1 || (item < -1 && released[-2 - item] === 0)) return false;
    const list = floor.lists[machine]!.includes(item)
      ? floor.lists[machine]!
      : floor.lists.find((other) => other.includes(item))!;
    list.splice(list.indexOf(item), 1);
    if (item < -1) return beginChore(machine, -2 - item);
    onMachine[machine] = item;
    runs[machine]!++;
    stretchesOf[machine] = run.policy.begun(machine, item);
    stretchAt[machine] = 0;
    threadingsDone[machine] = 0;
    toStretch(machine, item);
    return true;
  }

  /** A chore that was put first on the list (it is released) goes before any piece. */
  const isNext = (machine: number, chore: number): boolean => floor.lists[machine]![0] === chore;

  function beginChore(machine: number, chore: number): boolean {
    return occupy(machine, CARING, {
      kind: CHORE, item: chore, machine, goesTo: machine, expectedS: problem.chores[chore]!.seconds, nth: 0,
    }); // prettier-ignore
  }

  function occupy(machine: number, what: number, task: Task): boolean {
    onMachine[machine] = what;
    phase[machine] = ASKED;
    uses.switchTo(machine, WAIT_HANDS, state.now);
    run.ask(task);
    return true;
  }

  /** Before a stretch come its threadings, then, before the first, the load. */
  function toStretch(machine: number, piece: number): void {
    const stretch = stretchesOf[machine]![stretchAt[machine]!]!;
    threadingsLeft[machine] = stretch.threadings;
    if (stretchAt[machine]! > 0) state.tally.midStops++;
    threadOn(machine, piece);
  }

  function threadOn(machine: number, piece: number): void {
    if (threadingsLeft[machine]! > 0) {
      phase[machine] = THREADS;
      uses.switchTo(machine, WAIT_HANDS, state.now);
      run.ask({
        kind: THREAD, item: piece, machine, goesTo: machine, expectedS: problem.machines[machine]!.threadS,
        nth: attempt[piece]! * 64 + threadingsDone[machine]!,
      }); // prettier-ignore
    } else if (stretchAt[machine]! > 0) toSew(machine, piece);
    else if (stateOf[piece]! >= HOOPED) askLoad(machine, piece);
    else {
      phase[machine] = HOOPING;
      uses.switchTo(machine, WAIT_HOOPING, state.now);
    }
  }

  function askLoad(machine: number, piece: number): void {
    phase[machine] = ASKED;
    uses.switchTo(machine, WAIT_HANDS, state.now);
    run.ask({
      kind: LOAD, item: piece, machine, goesTo: machine, expectedS: problem.machines[machine]!.loadS, nth: attempt[piece]!,
    }); // prettier-ignore
  }

  function freed(machine: number): void {
    onMachine[machine] = FREE;
    phase[machine] = 0;
    uses.switchTo(machine, floor.lists[machine]!.length > 0 ? WAIT_HOOPING : WAIT_WORK, state.now);
  }

  return {
    advance,
    threaded(piece, machine) {
      state.tally.threadings++;
      threadingsDone[machine]!++;
      threadingsLeft[machine]!--;
      threadOn(machine, piece);
    },
    loaded: (piece, machine) => toSew(machine, piece),
    mended(machine) {
      phase[machine] = TO_SEW;
      sewOn(machine);
    },
    freed,
    stopped,
  };
}
