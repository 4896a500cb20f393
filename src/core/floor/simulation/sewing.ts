/** A stretch of sewing: until it is over, the thread breaks or the bobbin is empty. */
import { drawAt } from "./draws";
import { BOBBIN, MEND, UNLOAD } from "./floor";
import { SEWING, WAIT_HANDS, WAIT_WORK } from "./ledger";
import { BREAK, event, factor, type Run, SEW, STOP, WAKE } from "./run";
import { ASKED, SEWS, TO_SEW } from "./state";

export interface Sewing {
  toSew(machine: number, piece: number): void;
  /** Begins or goes on where the hours allow it. */
  sewOn(machine: number): boolean;
  stopped(machine: number): void;
}

/** `toStretch` readies the machine for the next stretch of the same piece. */
export function createSewing(run: Run, toStretch: (machine: number, piece: number) => void): Sewing {
  const { compiled, state, queue, uses, sewable } = run;
  const { problem, chances } = compiled.shop;
  const { seed } = run.options;
  const { attempt, onMachine, phase, stretchesOf, stretchAt, stitchesLeft, secondsLeft, hasBegun } = state;
  const { breakIn, breaksDrawn, bobbinLeft, segment, segmentFrom, sewnFrom, wakeAt, sewnS, stitchesSewn } =
    state;

  function toSew(machine: number, piece: number): void {
    const stretch = stretchesOf[machine]![stretchAt[machine]!]!;
    const nth = attempt[piece]! * 64 + stretchAt[machine]!;
    stitchesLeft[machine] = stretch.stitches;
    secondsLeft[machine] =
      stretch.seconds * factor(seed, chances.sewing, compiled.pieceName[piece]!, SEW, nth);
    hasBegun[machine] = 0;
    breaksDrawn[machine] = nth * 64;
    drawBreak(machine, piece);
    phase[machine] = TO_SEW;
    uses.switchTo(machine, WAIT_WORK, state.now);
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
      const end = clock.endOfHours(state.now);
      if (end < 0 || state.now + expected > end) {
        const start = clock.nextStart(state.now);
        if (start < Infinity && wakeAt[machine] !== start) {
          wakeAt[machine] = start;
          queue.put(start, 2, event(WAKE, machine));
        }
        return false;
      }
      hasBegun[machine] = 1;
      sewnFrom[machine] = state.now;
    }
    const stitches = stitchesLeft[machine]!;
    segment[machine] = Math.min(stitches, breakIn[machine]!, bobbinLeft[machine]!);
    const share = stitches === 0 ? 1 : segment[machine]! / stitches;
    segmentFrom[machine] = state.now;
    phase[machine] = SEWS;
    uses.switchTo(machine, SEWING, state.now);
    queue.put(state.now + secondsLeft[machine]! * share, 0, event(STOP, machine));
    return true;
  }

  function stopped(machine: number): void {
    const piece = onMachine[machine]!;
    const sewn = segment[machine]!;
    secondsLeft[machine]! -= state.now - segmentFrom[machine]!;
    sewnS[machine]! += state.now - segmentFrom[machine]!;
    stitchesLeft[machine]! -= sewn;
    stitchesSewn[machine]! += sewn;
    breakIn[machine]! -= sewn;
    bobbinLeft[machine]! -= sewn;
    if (stitchesLeft[machine]! <= 0) stretchOver(machine, piece);
    else if (bobbinLeft[machine]! <= 0) {
      state.tally.bobbins++;
      askMachine(machine, piece, BOBBIN, chances.bobbinS);
    } else {
      state.tally.breaks++;
      drawBreak(machine, piece);
      askMachine(machine, piece, MEND, chances.mendS);
    }
  }

  function askMachine(machine: number, piece: number, kind: number, expectedS: number): void {
    phase[machine] = ASKED;
    uses.switchTo(machine, WAIT_HANDS, state.now);
    run.ask({ kind, item: piece, machine, goesTo: machine, expectedS, nth: breaksDrawn[machine]! });
  }

  function stretchOver(machine: number, piece: number): void {
    run.options.tell?.({
      what: "sewing", kind: -1, item: piece, machine, hand: -1, nth: stretchAt[machine]!, start: sewnFrom[machine]!, end: state.now,
    }); // prettier-ignore
    stretchAt[machine]!++;
    if (stretchAt[machine]! < stretchesOf[machine]!.length) toStretch(machine, piece);
    else askMachine(machine, piece, UNLOAD, problem.machines[machine]!.unloadS);
  }

  return { toSew, sewOn, stopped };
}
