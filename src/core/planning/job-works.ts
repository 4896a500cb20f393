import type { Compiled } from "./compile";
import { stretchSeconds } from "./cuts";

/** One choice of machine for a job, at its least. */
export interface Work {
  readonly m: number;
  readonly stops: number;
  /** Threadings inside the run, at least. */
  readonly inside: number;
  /** Seconds the machine is busy with the run: loading, sewing, threading inside it, unloading. */
  readonly seconds: number;
  /** Of them, sewing. */
  readonly sewS: number;
  readonly beyond: number;
  readonly busyS: number;
  readonly changesS: number;
}

export function worksOf(compiled: Compiled, job: number): Work[] {
  const { problem, machines } = compiled;
  const { parts, trims } = problem.jobs[job]!;
  const stitches = parts.reduce((sum, part) => sum + part.stitches, 0);
  const changes = parts.filter((part, i) => i > 0 && part.colour !== parts[i - 1]!.colour).length;
  return [...compiled.choices[job]!].map((m) => {
    const machine = problem.machines[m]!;
    const stops = compiled.cuts[job * machines + m]![0]!.to.length - 1;
    const loose = new Set(compiled.colourOf[job]!.filter((colour) => compiled.heldAt[m]![colour]! < 0));
    const beyond = Math.max(0, loose.size - compiled.freeNeedles[m]!.length);
    const inside = Math.max(stops, beyond);
    // A stop saves a change of colour and costs a threading: the least is with as many as pay, or as few as can be.
    const taken = machine.threadS >= machine.colourChangeS ? inside : parts.length - 1;
    const sewing =
      (60 * stitches) / machine.stitchesPerMinute +
      machine.colourChangeS * Math.max(0, changes - taken) +
      machine.trimS * trims;
    const sewS = Math.ceil(sewing - 1e-6);
    const changesS = machine.colourChangeS * changes;
    const unbroken = (60 * stitches) / machine.stitchesPerMinute + changesS + machine.trimS * trims;
    return {
      m,
      stops,
      inside,
      beyond,
      sewS,
      busyS: machine.loadS + machine.unloadS + Math.max(0, unbroken - 1e-6),
      changesS,
      seconds: machine.loadS + machine.unloadS + sewS + machine.threadS * inside,
    };
  });
}

/** The longest that machine m can sew of a job without a stop: colours that no fixed needle holds fit its other needles. */
export function longestStretchS(compiled: Compiled, job: number, m: number): number {
  const { parts } = compiled.problem.jobs[job]!;
  const machine = compiled.problem.machines[m]!;
  const needles = compiled.freeNeedles[m]!.length;
  let longest = 0;
  for (let from = 0, to = 0; from < parts.length && to < parts.length; from++) {
    const loose = new Set<number>();
    for (to = from; to < parts.length; to++) {
      const colour = compiled.colourOf[job]![to]!;
      if (compiled.heldAt[m]![colour]! < 0) loose.add(colour);
      if (loose.size > needles) break;
    }
    if (to > from)
      longest = Math.max(longest, stretchSeconds(compiled.problem.jobs[job]!, machine, from, to - 1) + 1);
  }
  return longest;
}
