import type { Compiled } from "../compile";

/**
 * What one machine is asked for, whatever the order: the colours of each job that must sit on its free needles all at
 * once. Colours are renumbered to those in use; fixed needles and what they hold are left away.
 */
export interface Line {
  readonly jobs: number;
  /** Free needles. */
  readonly needles: number;
  readonly colours: number;
  /** Colours of job j, each once: asked[first[j]…first[j+1]−1]. */
  readonly first: Int32Array;
  readonly asked: Int32Array;
  /** 1 for a colour that stands on a free needle at the start. */
  readonly on: Uint8Array;
}

/** The line of colour sets; colours are any numbers, `on` those on free needles at the start. */
export function lineOf(sets: readonly (readonly number[])[], needles: number, on: readonly number[]): Line {
  const number = new Map<number, number>();
  const first = new Int32Array(sets.length + 1);
  const asked: number[] = [];
  sets.forEach((own, j) => {
    for (const colour of new Set(own)) {
      if (!number.has(colour)) number.set(colour, number.size);
      asked.push(number.get(colour)!);
    }
    first[j + 1] = asked.length;
  });
  const threaded = new Uint8Array(number.size);
  for (const colour of on) if (number.has(colour)) threaded[number.get(colour)!] = 1;
  return {
    jobs: sets.length,
    needles,
    colours: number.size,
    first,
    asked: Int32Array.from(asked),
    on: threaded,
  };
}

/**
 * The line of these jobs on machine m; null when one of them is cut by a stop there, since a stop is more than a
 * change of colours.
 */
export function lineOn(compiled: Compiled, m: number, jobs: readonly number[]): Line | null {
  const sets: number[][] = [];
  for (const job of jobs) {
    const cut = compiled.cuts[job * compiled.machines + m]![0];
    if (!cut || cut.to.length !== 1) return null;
    sets.push([...cut.colours]);
  }
  return lineOf(
    sets,
    compiled.freeNeedles[m]!.length,
    [...compiled.startColour[m]!].filter((c) => c >= 0),
  );
}

/**
 * Where a job's colours are all another's too, it costs nothing beside it: `inner` are the jobs that must be put in
 * order, `beside[j]` the one that job j follows at once, −1 for the inner ones.
 */
export function innerJobs(line: Line): { inner: number[]; beside: Int32Array } {
  const sets = Array.from({ length: line.jobs }, (_, j) => coloursOf(line, j));
  const within = (a: number, b: number): boolean => {
    for (const colour of sets[a]!) if (!sets[b]!.has(colour)) return false;
    return true;
  };
  const beside = new Int32Array(line.jobs).fill(-1);
  const inner: number[] = [];
  const bySize = sets.map((_, j) => j).sort((a, b) => sets[b]!.size - sets[a]!.size || a - b);
  for (const j of bySize) {
    const host = inner.find((other) => within(j, other));
    if (host === undefined) inner.push(j);
    else beside[j] = host;
  }
  return { inner: inner.sort((a, b) => a - b), beside };
}

/** The line of some of its jobs, in the order given. */
export function partOf(line: Line, jobs: readonly number[]): Line {
  const on: number[] = [];
  line.on.forEach((threaded, colour) => threaded && on.push(colour));
  return lineOf(
    jobs.map((j) => [...coloursOf(line, j)]),
    line.needles,
    on,
  );
}

export const coloursOf = (line: Line, j: number): Set<number> =>
  new Set(line.asked.subarray(line.first[j]!, line.first[j + 1]!));
