import { type Candidate, newCandidate } from "./candidate";
import { type Compiled, NEVER } from "./compile";
import type { Decoder } from "./decoder";
import type { Plan } from "./problem";

/**
 * The plan a careful person makes: earliest due first, each on the machine where it is finished first, the needle
 * that has lain unused longest re-threaded. Set the decoder's rule to "least-recently-used" to see it as they would.
 * Jobs `begun` are on their machines already and go on before all else.
 */
export function carefulCandidate(decoder: Decoder, begun: readonly string[] = []): Candidate {
  const { compiled } = decoder;
  const isBegun = new Set(begun);
  const waits = Uint8Array.from(compiled.problem.jobs, (job) => (isBegun.has(job.id) ? 0 : 1));
  const byDue = [...compiled.doable].sort(
    (a, b) =>
      (waits[a] ?? 1) - (waits[b] ?? 1) ||
      compiled.due[a]! - compiled.due[b]! ||
      compiled.release[a]! - compiled.release[b]! ||
      a - b,
  );
  const whole = newCandidate(compiled, byDue);
  whole.patience.fill(compiled.machines);
  const heavy = isLarge(compiled);
  const lastEnd = new Float64Array(compiled.machines);
  for (let at = 0; at < byDue.length; at++) {
    const item = byDue[at]!;
    if (item >= compiled.jobs || compiled.choices[item]!.length < 2) continue;
    const head: Candidate = { ...whole, order: Int32Array.from(byDue.slice(0, at + 1)) };
    let best = -1;
    let soonest = NEVER;
    const choices = [...compiled.choices[item]!];
    // In a large shop only the machines free soonest are tried: the others would finish it later all but surely.
    if (heavy)
      choices.splice(0, choices.length, ...choices.sort((a, b) => lastEnd[a]! - lastEnd[b]!).slice(0, 3));
    for (const m of choices) {
      whole.machine[item] = m;
      decoder.decode(head, Infinity);
      const end = decoder.endOf[item]!;
      if (end >= 0 && end < soonest) {
        soonest = end;
        best = m;
      }
    }
    if (best >= 0) lastEnd[best] = soonest;
    else whole.left[item] = 1;
    whole.machine[item] = best < 0 ? compiled.choices[item]![0]! : best;
  }
  return whole;
}

/** So large that trying every machine for every job takes seconds. */
export const isLarge = ({ doable, machines }: Compiled): boolean => doable.length ** 2 * machines > 200_000;

interface Taste {
  /** How many of the jobs due soonest are looked at for the next place. */
  readonly window: number;
  /** What a colour that is not on the machine weighs beyond its threading, in seconds. */
  readonly colourS: number;
}

const tastes: readonly Taste[] = [
  { window: 1, colourS: 0 },
  { window: 1, colourS: 240 },
  { window: 4, colourS: 240 },
  { window: 10, colourS: 300 },
  { window: 25, colourS: 600 },
  { window: 80, colourS: 900 },
];

/**
 * Greedy starts: of the jobs due soonest, the one that some machine ends soonest goes next, colours that must be
 * threaded for it counting as time. Hands and frames are left aside: decoding sees to them.
 */
export function greedyCandidates(compiled: Compiled): Candidate[] {
  return tastes.map((taste) => greedy(compiled, taste));
}

function greedy(compiled: Compiled, taste: Taste): Candidate {
  const { jobs, machines } = compiled;
  const ready = new Float64Array(machines);
  const magazine = compiled.startColour.map((own) => [...own]);
  const byDue = [...compiled.doable].sort((a, b) => compiled.due[a]! - compiled.due[b]! || a - b);
  const waiting = byDue.filter((item) => item < jobs);
  const chores = byDue.filter((item) => item >= jobs);
  const order: number[] = [];
  const placed = newCandidate(compiled, []);
  const cutOf = (job: number, m: number) => compiled.cuts[job * machines + m]![0]!;
  const busyS = (job: number, m: number): number => {
    let sum = compiled.loadS[m]! + compiled.unloadS[m]!;
    for (const seconds of cutOf(job, m).seconds) sum += seconds;
    return sum;
  };
  while (waiting.length > 0) {
    let pick = 0;
    let on = -1;
    let least = Infinity;
    for (let at = 0; at < Math.min(taste.window, waiting.length); at++) {
      const job = waiting[at]!;
      for (const m of compiled.choices[job]!) {
        const cut = cutOf(job, m);
        let worth = Math.max(ready[m]!, compiled.release[job]!) + busyS(job, m) + 600 * (cut.to.length - 1);
        if (worth >= least) continue;
        for (let e = 0; e < cut.colours.length && worth < least; e++) {
          if (!magazine[m]!.includes(cut.colours[e]!)) worth += taste.colourS + compiled.threadS[m]!;
        }
        if (worth < least) {
          least = worth;
          pick = at;
          on = m;
        }
      }
    }
    const job = waiting.splice(pick, 1)[0]!;
    for (let c = 0; c < chores.length;) {
      const chore = chores[c]!;
      const m = compiled.choreMachine[chore - jobs]!;
      const suits = m === on && compiled.release[chore]! <= ready[on]!;
      if (suits || compiled.due[chore]! <= compiled.due[job]!) {
        order.push(chore);
        if (m >= 0) ready[m] = Math.max(ready[m]!, compiled.release[chore]!) + compiled.choreS[chore - jobs]!;
        chores.splice(c, 1);
      } else c++;
    }
    order.push(job);
    placed.machine[job] = on;
    const own = magazine[on]!;
    let threadings = 0;
    for (const colour of cutOf(job, on).colours) {
      const at = own.indexOf(colour);
      if (at < 0) threadings++;
      own.splice(Math.max(0, at), 1);
      own.push(colour);
    }
    const start = Math.max(ready[on]!, compiled.release[job]!);
    ready[on] = start + busyS(job, on) + threadings * compiled.threadS[on]!;
  }
  return { ...placed, order: Int32Array.from([...order, ...chores]) };
}

/** The candidate that a known plan comes from: runs by their start, each on its machine; what is new goes last. */
export function candidateOf(
  compiled: Compiled,
  plan: Plan,
  by: "load" | "hoop" | "unload" = "load",
): Candidate {
  const { problem, jobs } = compiled;
  const number = new Map(problem.jobs.map((job, index) => [job.id, index]));
  const choreNumber = new Map(problem.chores.map((chore, index) => [chore.id, jobs + index]));
  const machineNumber = new Map(problem.machines.map((machine, index) => [machine.id, index]));
  const at = new Map<number, number>();
  for (const task of plan.tasks) {
    const item =
      task.do === by ? number.get(task.job!) : task.do === "chore" ? choreNumber.get(task.chore!) : undefined;
    if (item !== undefined) at.set(item, task.start);
  }
  const items = [...compiled.doable].sort((a, b) => (at.get(a) ?? NEVER) - (at.get(b) ?? NEVER) || a - b);
  const candidate = newCandidate(compiled, items);
  for (const task of plan.tasks) {
    const job = task.do === "unhoop" ? number.get(task.job!) : undefined;
    if (job === undefined || !at.has(job)) continue;
    // As many items as were begun between its loading and its unhooping.
    candidate.patience[job] = items.filter(
      (item) => at.get(job)! < at.get(item)! && at.get(item)! < task.start,
    ).length;
  }
  for (const run of plan.runs) {
    const job = number.get(run.job);
    const m = machineNumber.get(run.machine);
    if (job === undefined || m === undefined) continue;
    if (!compiled.choices[job]!.includes(m)) continue;
    candidate.machine[job] = m;
    const ends = run.stretches.map((stretch) => stretch.to).join();
    const cut = compiled.cuts[job * compiled.machines + m]!.findIndex((one) => one.to.join() === ends);
    candidate.cut[job] = Math.max(0, cut);
  }
  return candidate;
}

/**
 * The candidate as a text for the solver's note: items in the order they were put in, each with its id, and jobs with
 * machine, cut and patience. With it a plan is found again exactly when it must be made anew.
 */
export function recipeOf(compiled: Compiled, candidate: Candidate): string {
  const { problem, jobs } = compiled;
  return JSON.stringify(
    [...candidate.order].map((item) =>
      item < jobs
        ? [
            problem.jobs[item]!.id,
            problem.machines[candidate.machine[item]!]!.id,
            candidate.cut[item],
            candidate.patience[item],
          ]
        : [problem.chores[item - jobs]!.id],
    ),
  );
}

/** The candidate of a plan's recipe; null when it has none that can be read. What is new goes last, what is gone is left away. */
function candidateOfRecipe(compiled: Compiled, plan: Plan): Candidate | null {
  const text = plan.solver["recipe"];
  if (typeof text !== "string") return null;
  let rows: unknown;
  try {
    rows = JSON.parse(text);
  } catch {
    return null;
  }
  if (!Array.isArray(rows)) return null;
  const { problem, jobs } = compiled;
  const jobNumber = new Map(problem.jobs.map((job, index) => [job.id, index]));
  const choreNumber = new Map(problem.chores.map((chore, index) => [chore.id, jobs + index]));
  const machineNumber = new Map(problem.machines.map((machine, index) => [machine.id, index]));
  const waiting = new Set(compiled.doable);
  const order: number[] = [];
  const candidate = newCandidate(compiled, compiled.doable);
  for (const row of rows as unknown[]) {
    if (!Array.isArray(row)) continue;
    const [id, machine, cut, patience] = row as unknown[];
    const item = (row.length === 1 ? choreNumber : jobNumber).get(String(id));
    if (item === undefined || !waiting.delete(item)) continue;
    order.push(item);
    if (item >= jobs) continue;
    const m = machineNumber.get(String(machine)) ?? -1;
    if (!compiled.choices[item]!.includes(m)) continue;
    candidate.machine[item] = m;
    candidate.cut[item] = Math.min(Number(cut) || 0, compiled.cuts[item * compiled.machines + m]!.length - 1);
    candidate.patience[item] = Number(patience) || 0;
  }
  candidate.order.set([...order, ...waiting]);
  return candidate;
}

/** The candidates a known plan may come from: the order in which things were put in cannot be seen in it for sure. */
export function knownCandidates(compiled: Compiled, plan: Plan): Candidate[] {
  const recipe = candidateOfRecipe(compiled, plan);
  if (recipe) return [recipe];
  const orders = (["load", "hoop", "unload"] as const).map((by) => candidateOf(compiled, plan, by));
  const mostPatience = 2 * compiled.machines + 2;
  return orders.flatMap((one) => {
    const usual = { ...one, patience: one.patience.slice().fill(compiled.machines) };
    const bounded = { ...one, patience: one.patience.map((steps) => Math.min(steps, mostPatience)) };
    return [one, usual, bounded];
  });
}
