import { copyCandidate, newCandidate } from "./candidate";
import { type Compiled, NEVER } from "./compile";
import type { Candidate, Decoder } from "./decode";
import type { Plan } from "./problem";

/**
 * The plan a careful person makes: earliest due first, each on the machine where it is finished first, the needle
 * that has lain unused longest re-threaded. Set the decoder's rule to "least-recently-used" to see it as they would.
 */
export function carefulCandidate(decoder: Decoder): Candidate {
  const { compiled } = decoder;
  const byDue = [...compiled.doable].sort(
    (a, b) => compiled.due[a]! - compiled.due[b]! || compiled.release[a]! - compiled.release[b]! || a - b,
  );
  const whole = newCandidate(compiled, byDue);
  whole.patience.fill(compiled.machines);
  for (let at = 0; at < byDue.length; at++) {
    const item = byDue[at]!;
    if (item >= compiled.jobs || compiled.choices[item]!.length < 2) continue;
    const head: Candidate = { ...whole, order: Int32Array.from(byDue.slice(0, at + 1)) };
    let best = -1;
    let soonest = NEVER;
    for (const m of compiled.choices[item]!) {
      whole.machine[item] = m;
      decoder.decode(head, Infinity);
      const end = decoder.endOf[item]!;
      if (end >= 0 && end < soonest) {
        soonest = end;
        best = m;
      }
    }
    whole.machine[item] = best < 0 ? compiled.choices[item]![0]! : best;
  }
  return whole;
}

interface Taste {
  /** What a colour that is not on the machine weighs, in seconds. */
  readonly colourS: number;
  /** What being due soon weighs. */
  readonly due: number;
}

const tastes: readonly Taste[] = [
  { colourS: 60, due: 1 },
  { colourS: 300, due: 1 },
  { colourS: 900, due: 0.5 },
  { colourS: 300, due: 0.1 },
  { colourS: 1800, due: 0.1 },
];

/** Greedy starts: the machine that is free first takes the job that suits its threads and is due soonest. */
export function greedyCandidates(compiled: Compiled): Candidate[] {
  return tastes.map((taste) => greedy(compiled, taste));
}

function greedy(compiled: Compiled, taste: Taste): Candidate {
  const { jobs, machines } = compiled;
  const ready = new Float64Array(machines);
  const magazine = compiled.startColour.map((own) => [...own]);
  const todo = new Set<number>();
  const chores: number[] = [];
  for (const item of compiled.doable) {
    if (item < jobs) todo.add(item);
    else chores.push(item);
  }
  chores.sort((a, b) => compiled.release[a]! - compiled.release[b]! || compiled.due[a]! - compiled.due[b]!);
  const order: number[] = [];
  const placed = newCandidate(compiled, []);
  const sewS = (job: number, m: number): number =>
    compiled.cuts[job * machines + m]![0]!.seconds.reduce((sum, seconds) => sum + seconds, 0) +
    compiled.loadS[m]! +
    compiled.unloadS[m]!;
  while (todo.size > 0) {
    let pick = -1;
    let on = -1;
    let least = Infinity;
    const machinesByReady = [...ready.keys()].sort((a, b) => ready[a]! - ready[b]! || a - b);
    for (const m of machinesByReady) {
      for (const job of todo) {
        const cut = compiled.cuts[job * machines + m]!;
        if (cut.length === 0) continue;
        let fresh = 0;
        for (const colour of new Set(cut[0]!.colours)) if (!magazine[m]!.includes(colour)) fresh++;
        const start = Math.max(ready[m]!, compiled.release[job]!);
        const spare = compiled.due[job] === NEVER ? 200_000 : compiled.due[job]! - start - sewS(job, m);
        const worth =
          fresh * (taste.colourS + compiled.threadS[m]!) +
          (taste.due * Math.min(spare, 200_000)) / Math.sqrt(compiled.weight[job]! || 1e-3) +
          (start - ready[m]!) -
          (cut[0]!.to.length > 1 ? 0 : 1);
        if (worth < least) {
          least = worth;
          pick = job;
          on = m;
        }
      }
      if (pick >= 0) break;
    }
    for (let c = 0; c < chores.length; ) {
      const m = compiled.choreMachine[chores[c]! - jobs]!;
      if (m === on && compiled.release[chores[c]!]! <= ready[on]!) {
        order.push(chores[c]!);
        ready[on]! += compiled.choreS[chores[c]! - jobs]!;
        chores.splice(c, 1);
      } else c++;
    }
    todo.delete(pick);
    order.push(pick);
    placed.machine[pick] = on;
    const start = Math.max(ready[on]!, compiled.release[pick]!);
    const own = magazine[on]!;
    let threadings = 0;
    for (const colour of compiled.cuts[pick * machines + on]![0]!.colours) {
      const at = own.indexOf(colour);
      if (at >= 0) own.push(own.splice(at, 1)[0]!);
      else {
        own.shift();
        own.push(colour);
        threadings++;
      }
    }
    ready[on] = start + sewS(pick, on) + threadings * compiled.threadS[on]!;
  }
  return { ...placed, order: Int32Array.from([...order, ...chores]) };
}

/** The candidate that a known plan comes from: runs by their start, each on its machine; what is new goes last. */
export function candidateOf(compiled: Compiled, plan: Plan): Candidate {
  const { problem, jobs } = compiled;
  const number = new Map(problem.jobs.map((job, index) => [job.id, index]));
  const choreNumber = new Map(problem.chores.map((chore, index) => [chore.id, jobs + index]));
  const machineNumber = new Map(problem.machines.map((machine, index) => [machine.id, index]));
  const at = new Map<number, number>();
  for (const task of plan.tasks) {
    const item = task.do === "load" ? number.get(task.job!) : task.do === "chore" ? choreNumber.get(task.chore!) : undefined;
    if (item !== undefined) at.set(item, task.start);
  }
  const items = [...compiled.doable].sort((a, b) => (at.get(a) ?? NEVER) - (at.get(b) ?? NEVER) || a - b);
  const candidate = copyCandidate(newCandidate(compiled, items));
  for (const run of plan.runs) {
    const job = number.get(run.job);
    const m = machineNumber.get(run.machine);
    if (job === undefined || m === undefined) continue;
    if (compiled.choices[job]!.includes(m)) candidate.machine[job] = m;
  }
  return candidate;
}
