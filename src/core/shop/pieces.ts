import type { PieceState } from "./nouns";

/** The states in the order a piece passes them; spoiled and cancelled stand beside the way. */
export const pieceStates: readonly PieceState[] = [
  "waiting",
  "ready",
  "hooped",
  "sewing",
  "finishing",
  "done",
  "packed",
  "shipped",
  "spoiled",
  "cancelled",
];

const onward: Readonly<Record<PieceState, readonly PieceState[]>> = {
  waiting: ["ready", "cancelled"],
  ready: ["waiting", "hooped", "sewing", "finishing", "done", "spoiled", "cancelled"],
  hooped: ["ready", "sewing", "spoiled", "cancelled"],
  sewing: ["ready", "hooped", "finishing", "done", "spoiled"],
  finishing: ["sewing", "done", "spoiled"],
  done: ["finishing", "packed", "shipped", "spoiled"],
  packed: ["done", "shipped", "spoiled"],
  shipped: ["packed"],
  spoiled: [],
  cancelled: ["ready"],
};

/** The states a piece may be put into by hand from where it stands; a spoiled piece is remade, not revived. */
export function nextStates(state: PieceState): readonly PieceState[] {
  return onward[state];
}

/** Whether the plan still has to find a machine or a hand for the piece. */
export function awaitsSewing(state: PieceState): boolean {
  return state === "ready" || state === "hooped" || state === "sewing";
}

/** Whether nothing more will happen to the piece. */
export function isClosed(state: PieceState): boolean {
  return state === "shipped" || state === "spoiled" || state === "cancelled";
}
