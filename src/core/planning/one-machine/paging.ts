/**
 * The fewest threadings of one machine over every order of its jobs when it may stop before any part. Colours are then
 * asked for one by one (L. A. Belady, IBM Systems Journal 5 (1966) 78–101), and stops inside designs only ever save
 * threadings, so no plan threads less.
 *
 * What can be on the needles after so few threadings is told by layers (E. Koutsoupias, C. H. Papadimitriou, SIAM J.
 * Computing 30 (2000) 300–317): colours of the first i layers take no more than i needles. A colour in no layer must be
 * threaded. Best first over (jobs done, layers); colours still asked for that are in no layer bound what is to come.
 */
export interface PagingLine {
  readonly needles: number;
  /** Colours on free needles at the start. */
  readonly start: readonly number[];
  /** Colours asked for by each job in the order it sews them, fixed needles' left out; at most 30 jobs. */
  readonly jobs: readonly (readonly number[])[];
}

interface State {
  readonly done: number;
  readonly loads: number;
  /** The layer of each colour from 1, 0 for none. */
  readonly layer: Uint8Array;
}

/** The fewest threadings, or, once `mostStates` were looked at, a number that is proven to lie not above it. */
export function fewestLoads({ needles, start, jobs }: PagingLine, mostStates: number): number {
  const names = [...new Set(jobs.flat())];
  const asked = jobs.map((job) => job.map((colour) => names.indexOf(colour)));
  if (needles === 0) return names.length;
  const layer = new Uint8Array(names.length);
  let at = 0;
  for (const colour of new Set(start)) {
    const own = names.indexOf(colour);
    if (own >= 0) layer[own] = ++at;
  }
  const all = 2 ** jobs.length - 1;
  const known = new Set<string>();
  const queue: State[][] = []; // by the fewest threadings they can lead to
  const put = (state: State): void => {
    const bound = state.loads + forget(state, asked);
    (queue[bound] ??= []).push(state);
  };
  put({ done: 0, loads: 0, layer });
  let looked = 0;
  for (let bound = 0; bound < queue.length; bound++) {
    // Later states of the same bound are further on: taken first.
    for (let state = queue[bound]?.pop(); state; state = queue[bound]!.pop()) {
      if (state.done === all) return bound;
      const key = `${state.done} ${state.layer.join()}`;
      if (known.has(key)) continue; // threaded no more to get there: bounds only rise, and loads with them
      known.add(key);
      if (++looked > mostStates) return bound;
      for (let job = 0; job < asked.length; job++)
        if (!(state.done & (1 << job))) put(sewn(state, job, asked[job]!, needles));
    }
  }
  return 0;
}

function sewn(state: State, job: number, asked: readonly number[], needles: number): State {
  const layer = state.layer.slice();
  let { loads } = state;
  for (const colour of asked) {
    const own = layer[colour]!;
    if (own === 0) loads++;
    // A colour that must be threaded joins the two last layers, one that can be on the two at its own.
    const from = own === 0 ? needles : own;
    for (let other = 0; other < layer.length; other++) if (layer[other]! >= from) layer[other]!--;
    layer[colour] = needles;
  }
  return { done: state.done | (1 << job), loads, layer };
}

/** Takes colours that are not asked for again off their layers; how many of the others are in none. */
function forget({ done, layer }: State, asked: readonly (readonly number[])[]): number {
  const needed = new Uint8Array(layer.length);
  asked.forEach((job, j) => {
    if (!(done & (1 << j))) for (const colour of job) needed[colour] = 1;
  });
  let missing = 0;
  for (let colour = 0; colour < layer.length; colour++) {
    if (!needed[colour]) layer[colour] = 0;
    else if (layer[colour] === 0) missing++;
  }
  return missing;
}
