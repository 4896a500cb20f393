/** Pieces and frames: coming in, being given a frame, done, or spoiled and made again. */
import { invariant } from "#core/base";
import { drawAt } from "./draws";
import { DONE, FINISH, FINISHING, HOOP, LISTED, OFF, UNHOOP, WAITING } from "./floor";
import { type Run, SPOIL } from "./run";

export interface Pieces {
  assign(machine: number, item: number): void;
  takeFrame(piece: number, frame: number): void;
  arrive(piece: number): void;
  /** Off its machine: it is unhooped next. */
  unloaded(piece: number): void;
  unhooped(piece: number): void;
  finished(piece: number): void;
}

export function createPieces(run: Run): Pieces {
  const { compiled, state, floor } = run;
  const { machines } = compiled;
  const { problem, chances } = compiled.shop;
  const { jobs } = problem;
  const { stateOf, attempt, endOf, frameOf, pieceInFrame, onMachine } = state;

  function goesTo(piece: number): number {
    for (let m = 0; m < machines; m++)
      if (onMachine[m] === piece || floor.lists[m]!.includes(piece)) return m;
    return -1;
  }

  const askAway = (kind: number, piece: number, expectedS: number, goes: number): void =>
    run.ask({ kind, item: piece, machine: -1, goesTo: goes, expectedS, nth: attempt[piece]! });
  const askHooping = (piece: number, machine: number): void =>
    askAway(HOOP, piece, jobs[piece]!.hoopS, machine);

  function arrive(piece: number): void {
    stateOf[piece] = floor.lists.some((list) => list.includes(piece)) ? LISTED : WAITING;
    if (stateOf[piece] === LISTED && compiled.hoopKind[piece] === -1) askHooping(piece, goesTo(piece));
    run.policy.arrived(piece);
  }

  function remake(piece: number): void {
    state.tally.spoiled++;
    attempt[piece]!++;
    arrive(piece);
  }

  return {
    assign(machine, item) {
      floor.lists[machine]!.push(item);
      if (item >= 0 && stateOf[item] === WAITING) stateOf[item] = LISTED;
      if (item >= 0 && compiled.hoopKind[item] === -1 && stateOf[item] === LISTED) askHooping(item, machine);
    },
    takeFrame(piece, frame) {
      invariant(pieceInFrame[frame] === -1, "a frame is in one place");
      pieceInFrame[frame] = piece;
      frameOf[piece] = frame;
      askHooping(piece, goesTo(piece));
    },
    arrive,
    unloaded(piece) {
      stateOf[piece] = OFF;
      askAway(UNHOOP, piece, jobs[piece]!.unhoopS, -1);
    },
    unhooped(piece) {
      if (frameOf[piece]! >= 0) pieceInFrame[frameOf[piece]!] = -1;
      frameOf[piece] = -1;
      const luck = drawAt(run.options.seed, compiled.pieceName[piece]!, SPOIL, attempt[piece]!);
      if (luck < chances.spoiledShare) return remake(piece);
      stateOf[piece] = FINISHING;
      askAway(FINISH, piece, jobs[piece]!.finishS, -1);
    },
    finished(piece) {
      stateOf[piece] = DONE;
      endOf[piece] = state.now;
      state.done++;
    },
  };
}
