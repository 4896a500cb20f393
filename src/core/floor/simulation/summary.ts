/** A season added up: what came in while it was counted, and what machines and hands did meanwhile. */
import { type HandUse, handUses, type MachineUse, machineUses, type Season } from "./ledger";
import type { Run } from "./run";
import type { Tally } from "./state";

/** How far everything had got at a time. */
export interface Standing {
  readonly tally: Tally;
  readonly machineSeconds: readonly Float64Array[];
  readonly handSeconds: readonly Float64Array[];
  readonly overtime: Float64Array;
  readonly runs: Int32Array;
  readonly stitches: Float64Array;
}

export function standingAt({ state, uses }: Run, atS: number): Standing {
  uses.close(atS);
  return {
    tally: { ...state.tally },
    machineSeconds: uses.seconds.map((one) => one.slice()),
    handSeconds: state.handSeconds.map((one) => one.slice()),
    overtime: state.overtime.slice(),
    runs: state.runs.slice(),
    stitches: state.stitchesSewn.slice(),
  };
}

interface Counted {
  readonly fromS: number;
  readonly untilS: number;
  readonly before: Standing;
  readonly after: Standing;
  readonly isPossible: (piece: number) => boolean;
  readonly events: number;
}

export function summary(run: Run, counted: Counted): Season {
  const { compiled, state, shifts } = run;
  const { problem } = compiled.shop;
  const { fromS, untilS, before, after, events } = counted;
  const since = (name: keyof Tally) => after.tally[name] - before.tally[name];
  return {
    ...piecesOf(run, counted),
    threadings: since("threadings"),
    midStops: since("midStops"),
    breaks: since("breaks"),
    bobbins: since("bobbins"),
    spoiled: since("spoiled"),
    machines: problem.machines.map(({ id }, machine) => ({
      id,
      seconds: named<MachineUse>(
        machineUses,
        after.machineSeconds[machine]!,
        before.machineSeconds[machine]!,
      ),
      runs: after.runs[machine]! - before.runs[machine]!,
      stitches: after.stitches[machine]! - before.stitches[machine]!,
    })),
    hands: problem.hands.map(({ id }, hand) => ({
      id,
      seconds: named<HandUse>(handUses, after.handSeconds[hand]!, before.handSeconds[hand]!),
      overtimeS: after.overtime[hand]! - before.overtime[hand]!,
      shiftS: shifts[hand]!.within(fromS, Math.min(untilS, Math.max(state.now, fromS))),
    })),
    endS: state.lastEnd,
    endOf: state.endOf,
    choreEndOf: state.choreEnd,
    events,
  };
}

type OfPieces = Pick<Season, "pieces" | "done" | "impossible" | "onTimeShare" | "lateS" | "meanThroughS">;

function piecesOf({ compiled, state }: Run, { fromS, untilS, isPossible }: Counted): OfPieces {
  let [pieces, done, impossible, dated, kept, lateS, throughS] = [0, 0, 0, 0, 0, 0, 0];
  for (let piece = 0; piece < compiled.pieces; piece++) {
    const release = compiled.release[piece]!;
    if (release < fromS || release >= untilS) continue;
    pieces++;
    if (!isPossible(piece)) impossible++;
    const due = compiled.due[piece]!;
    const end = state.endOf[piece]!;
    if (end >= 0) {
      done++;
      throughS += end - release;
    }
    if (due === Infinity || (end < 0 && due > state.now)) continue;
    dated++;
    if (end >= 0 && end <= due) kept++;
    else lateS += (end < 0 ? state.now : end) - due;
  }
  return {
    pieces,
    done,
    impossible,
    onTimeShare: dated === 0 ? 1 : kept / dated,
    lateS,
    meanThroughS: done === 0 ? 0 : throughS / done,
  };
}

function named<Name extends string>(
  names: readonly Name[],
  values: Float64Array,
  before: Float64Array,
): Readonly<Record<Name, number>> {
  return Object.fromEntries(names.map((name, at) => [name, values[at]! - before[at]!])) as Record<
    Name,
    number
  >;
}
