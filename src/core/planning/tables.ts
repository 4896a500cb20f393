import type { Compiled } from "./compile";

/**
 * The cuts of all jobs on all machines in flat arrays, for the loops that run a hundred thousand times a second. Cut k
 * of a job on a machine has the number base[job · machines + machine] + k; its stretches are first[n] … first[n + 1] − 1;
 * a stretch asks for colours[colourFirst[s]] … colours[colourFirst[s + 1] − 1], those on fixed needles left out.
 */
export interface CutTables {
  readonly base: Int32Array;
  readonly first: Int32Array;
  /** Sewing of all stretches of a cut. */
  readonly sewS: Int32Array;
  readonly stretchS: Int32Array;
  readonly colourFirst: Int32Array;
  readonly colours: Int32Array;
  /** 1 for a machine where some stretch after a stop asks for fixed needles alone. */
  readonly odd: Uint8Array;
}

const known = new WeakMap<Compiled, CutTables>();

/** The tables of a problem; made once. */
export function cutTables(compiled: Compiled): CutTables {
  const before = known.get(compiled);
  if (before) return before;
  const { machines, cuts } = compiled;
  const base = new Int32Array(cuts.length);
  const first: number[] = [0];
  const sewS: number[] = [];
  const stretchS: number[] = [];
  const colourFirst: number[] = [0];
  const colours: number[] = [];
  const odd = new Uint8Array(machines);
  cuts.forEach((own, place) => {
    base[place] = sewS.length;
    for (const cut of own) {
      for (let s = 0; s < cut.to.length; s++) {
        const [from, to] = [cut.first[s]!, cut.first[s + 1]!];
        if (s > 0 && from === to) odd[place % machines] = 1;
        for (let e = from; e < to; e++) colours.push(cut.colours[e]!);
        colourFirst.push(colours.length);
        stretchS.push(cut.seconds[s]!);
      }
      first.push(stretchS.length);
      sewS.push(cut.sewS);
    }
  });
  const tables = {
    base,
    first: Int32Array.from(first),
    sewS: Int32Array.from(sewS),
    stretchS: Int32Array.from(stretchS),
    colourFirst: Int32Array.from(colourFirst),
    colours: Int32Array.from(colours),
    odd,
  };
  known.set(compiled, tables);
  return tables;
}
