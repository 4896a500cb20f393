import type { Compiled } from "./compile";
import { fewestLoads } from "./one-machine/paging";

/** States looked at for a proof, at most: some tenths of a second. */
const MOST_STATES = 40_000;
/** Jobs whose orders are tried; of more, the widest: without the others nothing more is threaded. */
const MOST_JOBS = 14;

/**
 * How often machine m must thread, at least, beyond once for each colour its jobs ask for that is not on it at the
 * start: where needles are short for the jobs that have no other machine, what gives way is threaded again.
 */
export function threadedAgain(compiled: Compiled, m: number, jobs: readonly number[]): number {
  const on = new Set(compiled.startColour[m]!);
  const once = new Set<number>();
  for (const job of jobs) {
    if (compiled.choices[job]!.length !== 1 || compiled.choices[job]![0] !== m) continue;
    for (const colour of compiled.colourOf[job]!)
      if (!on.has(colour) && compiled.heldAt[m]![colour]! < 0) once.add(colour);
  }
  return once.size === 0 ? 0 : Math.max(0, pinnedLoads(compiled, m, jobs) - once.size);
}

/** What machine m must thread for the jobs that have no other machine, at least. */
function pinnedLoads(compiled: Compiled, m: number, jobs: readonly number[]): number {
  const pinned = jobs.filter((job) => compiled.choices[job]!.length === 1 && compiled.choices[job]![0] === m);
  const asked = pinned.map((job) =>
    [...compiled.colourOf[job]!].filter((colour) => compiled.heldAt[m]![colour]! < 0),
  );
  const width = (colours: readonly number[]): number => new Set(colours).size;
  asked.sort((a, b) => width(b) - width(a));
  const chosen = asked.slice(0, MOST_JOBS);
  const start = [...compiled.startColour[m]!].filter((colour) => colour >= 0);
  const seen = new Set([...chosen.flat(), ...start]);
  const beside = new Set(
    asked
      .slice(MOST_JOBS)
      .flat()
      .filter((colour) => !seen.has(colour)),
  ).size;
  const needles = compiled.freeNeedles[m]!.length;
  return fewestLoads({ needles, start, jobs: chosen }, MOST_STATES) + beside;
}
