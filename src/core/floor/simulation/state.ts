/** Where everything is while a season is played, as arrays by number: pieces, frames, machines, hands. */
import type { Task } from "./floor";
import { handUses } from "./ledger";
import type { Stretch } from "./needle-use";
import type { Compiled } from "./shop";

/** On no machine, or nothing on it. */
export const FREE = -1;
/** A machine that is cared for. */
export const CARING = -2;

// What a machine with a piece waits for: a task that is ready or being done, sewing, or nothing yet.
export const THREADS = 1;
export const HOOPING = 2;
export const ASKED = 3;
export const TO_SEW = 4;
export const SEWS = 5;

/** Numbers that only grow; a season's are those at its end less those at the end of its warming up. */
export interface Tally {
  threadings: number;
  midStops: number;
  breaks: number;
  bobbins: number;
  spoiled: number;
}

export type State = ReturnType<typeof createState>;

export function createState(compiled: Compiled) {
  const { pieces, machines, hands, chores } = compiled;
  const { bobbinEveryStitches } = compiled.shop.chances;
  const firstFrame = new Int32Array(compiled.frames.length + 1);
  compiled.frames.forEach((count, kind) => (firstFrame[kind + 1] = firstFrame[kind]! + count));
  return {
    now: 0,
    arrived: 0,
    done: 0,
    lastEnd: 0,
    tally: { threadings: 0, midStops: 0, breaks: 0, bobbins: 0, spoiled: 0 } as Tally,
    // Pieces.
    stateOf: new Uint8Array(pieces),
    attempt: new Uint16Array(pieces),
    endOf: new Float64Array(pieces).fill(-1),
    frameOf: new Int32Array(pieces).fill(-1),
    pieceInFrame: new Int32Array(firstFrame.at(-1)!).fill(-1),
    // Chores.
    released: new Uint8Array(chores),
    choreEnd: new Float64Array(chores).fill(-1),
    choresLeft: chores,
    // Machines.
    onMachine: new Int32Array(machines).fill(FREE),
    phase: new Uint8Array(machines),
    stretchesOf: Array.from({ length: machines }, (): readonly Stretch[] => []),
    stretchAt: new Int32Array(machines),
    threadingsLeft: new Int32Array(machines),
    threadingsDone: new Int32Array(machines),
    stitchesLeft: new Float64Array(machines),
    secondsLeft: new Float64Array(machines),
    hasBegun: new Uint8Array(machines),
    breakIn: new Float64Array(machines),
    breaksDrawn: new Int32Array(machines),
    bobbinLeft: new Float64Array(machines).fill(bobbinEveryStitches ?? Infinity),
    segment: new Float64Array(machines),
    segmentFrom: new Float64Array(machines),
    sewnFrom: new Float64Array(machines),
    wakeAt: new Float64Array(machines).fill(-1),
    sewnS: new Float64Array(machines),
    careAt: compiled.care.map(({ everySewingS }) => everySewingS),
    runs: new Int32Array(machines),
    stitchesSewn: new Float64Array(machines),
    // Hands.
    handTask: Array.from({ length: hands }, (): Task | null => null),
    handFrom: new Float64Array(hands),
    handShiftEnd: new Float64Array(hands),
    handSeconds: Array.from({ length: hands }, () => new Float64Array(handUses.length)),
    overtime: new Float64Array(hands),
  };
}
