/** Which threads are on a machine's needles as its runs follow one another. */
import { type Compiled, stretchSeconds } from "./shop";

export interface Stretch {
  /** Threadings before it, one after the other. */
  readonly threadings: number;
  readonly stitches: number;
  /** Expected seconds of sewing. */
  readonly seconds: number;
}

export interface NeedleUse {
  /** Threadings a piece would need before its load, were it next: exact where its colours fit on the needles. */
  missing(machine: number, piece: number): number;
  /** Puts a piece next on the machine: chooses the needles and gives its stretches. */
  take(machine: number, piece: number): readonly Stretch[];
  /** Colours of pieces that wait, for the choice of what to take off. */
  readonly demand: Int32Array;
}

/**
 * Colours that are there stay on their needles; what is missing goes on empty needles first, then in the place of the
 * colour that the fewest waiting pieces ask for (the floor does not know what comes, only what waits). A design with
 * more colours than needles is sewn in as few stretches as there can be: each reaches as far as the needles allow, and
 * what it takes off is what the design needs latest (L. A. Belady, IBM Systems Journal 5 (1966) 78–101).
 */
export function createNeedleUse(compiled: Compiled): NeedleUse {
  const { words, pieceColours, partFrom, partColour, partStitches } = compiled;
  const threaded = compiled.threaded.map((needles) => needles.slice());
  const onMachine = threaded.map((needles) => {
    const bits = new Int32Array(words);
    needles.forEach((colour) => {
      if (colour >= 0) bits[colour >> 5]! |= 1 << (colour & 31);
    });
    return bits;
  });
  const demand = new Int32Array(compiled.colours);
  /** When a colour was last sewn on a machine, for ties. */
  const lastUse = threaded.map(() => new Int32Array(compiled.colours));
  let clock = 0;
  const wanted = new Uint8Array(compiled.colours);

  function missing(machine: number, piece: number): number {
    const bits = onMachine[machine]!;
    let count = 0;
    for (let word = 0; word < words; word++)
      count += bitsIn(pieceColours[piece * words + word]! & ~bits[word]!);
    return count;
  }

  const has = (machine: number, colour: number): boolean =>
    ((onMachine[machine]![colour >> 5]! >>> (colour & 31)) & 1) === 1;

  /** How far a stretch from `from` reaches: the last part whose colours fit beside those before it. */
  function reach(machine: number, from: number, end: number): number {
    const needles = threaded[machine]!;
    const fixed = compiled.fixed[machine]!;
    let free = 0;
    for (let n = 0; n < needles.length; n++) if (fixed[n] === 0) free++;
    let to = from - 1;
    for (let part = from; part < end; part++) {
      const colour = partColour[part]!;
      if (wanted[colour] === 0) {
        const isFixed = needles.some((on, n) => on === colour && fixed[n] === 1);
        if (!isFixed && free-- <= 0) break;
        wanted[colour] = 1;
      }
      to = part;
    }
    return to;
  }

  function put(machine: number, colour: number, after: number, end: number): void {
    const needles = threaded[machine]!;
    const fixed = compiled.fixed[machine]!;
    let best = -1;
    let bestWorth = Infinity;
    for (let n = 0; n < needles.length; n++) {
      const on = needles[n]!;
      if (on < 0 && fixed[n] === 0) {
        best = n;
        break;
      }
      if (fixed[n] === 1 || wanted[on] === 1) continue;
      const worth = worthOf(machine, on, after, end);
      if (worth < bestWorth) {
        bestWorth = worth;
        best = n;
      }
    }
    const off = needles[best]!;
    needles[best] = colour;
    const bits = onMachine[machine]!;
    bits[colour >> 5]! |= 1 << (colour & 31);
    // The same colour may be on a second needle.
    if (off >= 0 && !needles.includes(off)) bits[off >> 5]! &= ~(1 << (off & 31));
  }

  /** How much a colour should stay: one this design needs again above all, sooner more; then what waits, then what was used last. */
  function worthOf(machine: number, colour: number, after: number, end: number): number {
    for (let part = after; part < end; part++)
      if (partColour[part] === colour) return 1e12 - 1e6 * (part - after);
    return demand[colour]! * 1e5 + Math.min(1e5 - 1, (lastUse[machine]![colour]! / (clock + 1)) * 1e5);
  }

  return {
    demand,
    missing,
    take(machine, piece) {
      const end = partFrom[piece + 1]!;
      const stretches: Stretch[] = [];
      clock++;
      for (let from = partFrom[piece]!; from < end;) {
        wanted.fill(0);
        const to = reach(machine, from, end);
        if (to < from)
          throw new Error("Broken invariant: a machine that a piece may go to has a free needle");
        let threadings = 0;
        let stitches = 0;
        for (let part = from; part <= to; part++) {
          const colour = partColour[part]!;
          if (!has(machine, colour)) {
            put(machine, colour, to + 1, end);
            threadings++;
          }
          lastUse[machine]![colour] = clock;
          stitches += partStitches[part]!;
        }
        stretches.push({ threadings, stitches, seconds: stretchSeconds(compiled, piece, machine, from, to) });
        from = to + 1;
      }
      return stretches;
    },
  };
}

function bitsIn(word: number): number {
  let bits = word - ((word >>> 1) & 0x55555555);
  bits = (bits & 0x33333333) + ((bits >>> 2) & 0x33333333);
  return Math.imul((bits + (bits >>> 4)) & 0x0f0f0f0f, 0x01010101) >>> 24;
}
