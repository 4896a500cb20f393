import type { DesignCheck } from "./check";

/** More threads than needles: the design stops to be threaded. */
export const tooManyColours: DesignCheck = ({ counts, context }) => {
  if (context.needles === undefined) return [];
  const sewn = counts.parts.flatMap((part, index) => (part.stitches > 0 ? [index] : []));
  const named = sewn.map((index) => context.partThreads?.[index] ?? `part ${index}`);
  const colours = new Set(named).size;
  if (colours <= context.needles) return [];
  return [
    {
      code: "more-colours-than-needles",
      level: "note",
      message: `The design uses ${colours} threads; the machine has ${context.needles} needles, so it stops for threading in the middle.`,
      at: { part: firstBeyond(named, sewn, context.needles) },
      advice: "Sew it on a machine with more needles, or use one thread for two parts.",
    },
  ];
};

/** The first part whose thread no longer finds a needle. */
function firstBeyond(named: readonly string[], sewn: readonly number[], needles: number): number {
  const on = new Set<string>();
  const index = named.findIndex((thread) => on.add(thread).size > needles);
  return sewn[index]!;
}
