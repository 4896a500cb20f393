/** People: what they may begin, and what follows when a task of theirs is over. */
import { BOBBIN, CHORE, FINISH, HOOP, HOOPED, LOAD, LOADED, MEND, OIL, type Task, THREAD, UNHOOP, UNLOAD } from "./floor"; // prettier-ignore
import { CARE, handUses, LOADING, MENDING, THREADING } from "./ledger";
import type { Machines } from "./machines";
import type { Pieces } from "./pieces";
import { event, factor, HAND_DONE, type Run } from "./run";

const handUseOf: readonly number[] = [
  handUses.indexOf("hooping"), handUses.indexOf("threading"), handUses.indexOf("loading"), handUses.indexOf("loading"),
  handUses.indexOf("hooping"), handUses.indexOf("finishing"), handUses.indexOf("chores"), handUses.indexOf("mending"),
  handUses.indexOf("mending"), handUses.indexOf("care"),
]; // prettier-ignore
const machineUseOf: readonly number[] = [
  -1, THREADING, LOADING, LOADING, -1, -1, CARE, MENDING, MENDING, CARE,
]; // prettier-ignore

export interface Hands {
  canDo(hand: number, task: Task): boolean;
  /** Begins the ready task at a place in the floor's list. */
  take(hand: number, at: number): void;
  done(hand: number): void;
  ask(task: Task): void;
}

export function createHands(run: Run, pieces: Pieces, machines: Machines): Hands {
  const { compiled, state, queue, uses, floor, shifts, downs, options } = run;
  const { chances } = compiled.shop;
  const { stateOf, handTask, handFrom, handShiftEnd, handSeconds, overtime } = state;

  /** Pieces and chores draw apart; what belongs to a machine alone draws by its number. */
  const nameOf = (task: Task): number =>
    task.kind === CHORE
      ? compiled.choreName[task.item]!
      : task.item >= 0
        ? compiled.pieceName[task.item]!
        : compiled.machineName[task.machine]!;

  function isUp(machine: number, seconds: number): boolean {
    const clock = downs[machine]!;
    return clock.endOfHours(state.now) < 0 && clock.nextStart(state.now) >= state.now + seconds;
  }

  /** What follows when a task is over. */
  function follow(kind: number, item: number, machine: number): void {
    switch (kind) {
      case HOOP:
        stateOf[item] = HOOPED;
        break;
      case THREAD:
        machines.threaded(item, machine);
        break;
      case LOAD:
        stateOf[item] = LOADED;
        machines.loaded(item, machine);
        break;
      case UNLOAD:
        machines.freed(machine);
        pieces.unloaded(item);
        break;
      case UNHOOP:
        pieces.unhooped(item);
        break;
      case FINISH:
        pieces.finished(item);
        break;
      case CHORE:
        state.choreEnd[item] = state.now;
        state.choresLeft--;
        if (machine >= 0) machines.freed(machine);
        break;
      case MEND:
        machines.mended(machine);
        break;
      case BOBBIN:
        state.bobbinLeft[machine] = chances.bobbinEveryStitches ?? Infinity;
        machines.mended(machine);
        break;
      case OIL:
        machines.freed(machine);
        break;
    }
  }

  function over({ kind, item, machine, nth }: Task, hand: number, start: number): void {
    options.tell?.({ what: "task", kind, item, machine, hand, nth, start, end: state.now });
    if (state.now > state.lastEnd) state.lastEnd = state.now;
    follow(kind, item, machine);
  }

  return {
    canDo(hand, { machine, expectedS }) {
      const end = shifts[hand]!.endOfHours(state.now);
      if (end < 0 || state.now + expectedS > end) return false;
      return machine < 0 || isUp(machine, expectedS);
    },
    take(hand, at) {
      const task = floor.ready[at]!;
      floor.ready.splice(at, 1);
      handTask[hand] = task;
      handFrom[hand] = state.now;
      handShiftEnd[hand] = shifts[hand]!.endOfHours(state.now);
      const use = machineUseOf[task.kind]!;
      if (use >= 0) uses.switchTo(task.machine, use, state.now);
      const by = factor(options.seed, chances.handTimes, nameOf(task), task.kind, task.nth);
      queue.put(state.now + task.expectedS * by, 0, event(HAND_DONE, hand));
    },
    done(hand) {
      const task = handTask[hand]!;
      handTask[hand] = null;
      handSeconds[hand]![handUseOf[task.kind]!]! += state.now - handFrom[hand]!;
      overtime[hand]! += Math.max(0, state.now - Math.max(handFrom[hand]!, handShiftEnd[hand]!));
      over(task, hand, handFrom[hand]!);
    },
    ask(task) {
      if (task.expectedS === 0) over(task, -1, state.now);
      else floor.ready.push(task);
    },
  };
}
