import type { Box } from "#core/base";
import { STITCH, type Stitches, stitchExtents } from "../stitches";
import { composeStitches, type Placed, splitAtStops } from "../transform";
import { type DesignMend, unchanged } from "./mend";

/** Threads this near to one another count as lying over each other. */
const CELL_TENTHS = 8;
const MOST_STATES = 2_000;
const KEPT_STATES = 100;

/**
 * Sews parts of the same thread one after another where nothing lies between them. A part never passes one that it
 * touches, so what lies on top stays on top. Which order has fewest stops is found exactly by breadth-first search
 * over what is done so far; where that has too many ways, only the furthest are gone on with.
 */
export const fewerStops: DesignMend = {
  code: "fewer-stops",
  title: "Sew like colours together",
  about: "Moves whole parts, only past parts they do not touch; every needle point stays where it is.",
  mends: ["more-colours-than-needles", "like-parts-apart", "part-without-stitches"],
  mend: ({ design, context }) => {
    const parts = splitAtStops(design);
    const threads = parts.map((_, part) => context.partThreads?.[part] ?? null);
    const sewn = parts.flatMap((one, part) => (one.kind.includes(STITCH) ? [part] : []));
    const order = bestOrder(sewn, threads, parts);
    const alike = (a: number, b: number): boolean => threads[a] !== null && threads[a] === threads[b];
    const stops = order.reduce((sum, part, n) => sum + (n > 0 && !alike(order[n - 1]!, part) ? 1 : 0), 0);
    const saved = parts.length - 1 - stops;
    if (saved <= 0 || sewn.length === 0) return unchanged(design, "no stop can be saved");
    const placed: Placed[] = order.map((part, n) => ({
      stitches: parts[part]!,
      joins: n > 0 && alike(order[n - 1]!, part) ? "same-part" : "new-part",
    }));
    const partsFrom = order.filter((part, n) => n === 0 || !alike(order[n - 1]!, part));
    return {
      design: composeStitches(placed),
      changed: saved,
      says: `${saved} ${saved === 1 ? "stop" : "stops"} fewer`,
      partsFrom,
    };
  },
};

/** The parts in an order of fewest stops in which no part passes one it touches; ties keep the order they had. */
export function bestOrder(
  sewn: readonly number[],
  threads: readonly (string | null)[],
  parts: readonly Stitches[],
): readonly number[] {
  const grounds = sewn.map((part) => squaresOf(parts[part]!));
  const after: number[][] = sewn.map(() => []);
  const waits = new Uint16Array(sewn.length);
  for (let j = 0; j < sewn.length; j++)
    for (let i = 0; i < j; i++)
      if (touches(grounds[i]!, grounds[j]!)) {
        after[i]!.push(j);
        waits[j]!++;
      }
  const colours = sewn.map((part, n) => threads[part] ?? `#${n}`);
  let layer: State[] = [{ order: [], waits, done: new Uint8Array(sewn.length) }];
  for (;;) {
    const next: State[] = [];
    const seen = new Set<string>();
    for (const state of layer) {
      if (state.order.length === sewn.length) return state.order.map((n) => sewn[n]!);
      const ready = colours.filter((_, n) => state.done[n] === 0 && state.waits[n] === 0);
      for (const colour of new Set(ready)) {
        const taken = sewColour(state, colour, colours, after);
        const key = taken.done.join("");
        if (seen.has(key)) continue;
        seen.add(key);
        next.push(taken);
      }
    }
    // Too many ways: go on with those that have most behind them.
    layer =
      next.length > MOST_STATES
        ? next.sort((a, b) => b.order.length - a.order.length).slice(0, KEPT_STATES)
        : next;
  }
}

/** What is sewn so far, in what order, and for each part how many it touches that must come before it and have not. */
interface State {
  readonly order: readonly number[];
  readonly waits: Uint16Array;
  readonly done: Uint8Array;
}

/** Everything of this thread that can be sewn now, and what that frees: taking it never costs a stop. */
function sewColour(
  state: State,
  colour: string,
  colours: readonly string[],
  after: readonly (readonly number[])[],
): State {
  const order = [...state.order];
  const waits = state.waits.slice();
  const done = state.done.slice();
  for (let n = 0; n < colours.length; n++) {
    if (done[n] === 1 || waits[n]! > 0 || colours[n] !== colour) continue;
    done[n] = 1;
    order.push(n);
    // What is freed comes later in the list, so one pass takes it too.
    for (const other of after[n]!) waits[other]!--;
  }
  return { order, waits, done };
}

interface Ground {
  readonly squares: ReadonlySet<number>;
  readonly box: Box;
}

/** Squares of 0.8 mm a part's thread lies on, as numbers. */
function squaresOf(part: Stitches): Ground {
  const squares = new Set<number>();
  const { kind, x, y } = part;
  const box = stitchExtents(part);
  for (let i = 1; i < kind.length; i++) {
    if (kind[i] !== STITCH || kind[i - 1] !== STITCH) continue;
    const dx = x[i]! - x[i - 1]!;
    const dy = y[i]! - y[i - 1]!;
    const steps = Math.max(1, Math.ceil(Math.sqrt(dx * dx + dy * dy) / (CELL_TENTHS / 2)));
    for (let n = 0; n <= steps; n++)
      squares.add(square(x[i - 1]! + (dx * n) / steps, y[i - 1]! + (dy * n) / steps));
  }
  if (squares.size === 0 && box.left <= box.right) squares.add(square(box.left, box.bottom));
  return { squares, box };
}

const WIDE = 1 << 20;
const square = (x: number, y: number): number =>
  (Math.floor(y / CELL_TENTHS) + WIDE / 2) * WIDE + Math.floor(x / CELL_TENTHS) + WIDE / 2;

/** Whether a part's squares lie on or next to another's. */
function touches(a: Ground, b: Ground): boolean {
  const reach = 2 * CELL_TENTHS;
  if (a.box.right + reach < b.box.left || b.box.right + reach < a.box.left) return false;
  if (a.box.top + reach < b.box.bottom || b.box.top + reach < a.box.bottom) return false;
  const [few, many] = a.squares.size < b.squares.size ? [a.squares, b.squares] : [b.squares, a.squares];
  for (const at of few)
    for (let dy = -1; dy <= 1; dy++)
      for (let dx = -1; dx <= 1; dx++) if (many.has(at + dy * WIDE + dx)) return true;
  return false;
}
