import type { Candidate } from "./candidate";
import { type Decoder, taskKinds, TASK_WIDTH } from "./decoder";
import type { PlanTask, PlanTotals, Run, Stretch, Unplanned } from "./problem";

/** A decoded candidate written as a plan: everything but bounds and the solver's note. */
export interface BuiltPlan {
  readonly runs: Run[];
  readonly tasks: PlanTask[];
  readonly unplanned: Unplanned[];
  readonly totals: PlanTotals;
}

/** Decodes once more and writes the plan down; the candidate's items must be the compiled problem's doable ones. */
export function buildPlan(decoder: Decoder, candidate: Candidate): BuiltPlan {
  const { compiled } = decoder;
  const { problem, jobs, machines } = compiled;
  const outcome = decoder.decode(candidate, Infinity);
  const runs: { run: Run; start: number; end: number }[] = [];
  const starts = runStarts(decoder);
  for (let m = 0; m < machines; m++) {
    const plan = decoder.needlePlan[m]!;
    const machine = problem.machines[m]!;
    const free = compiled.freeNeedles[m]!;
    const holder = new Map<number, number>(); // colour → needle from 0
    const on = Int32Array.from(compiled.startColour[m]!);
    for (let n = on.length - 1; n >= 0; n--) if (on[n]! >= 0) holder.set(on[n]!, free[n]!);
    let stretch = 0;
    let threading = 0;
    for (let at = 0; at < plan.length; at++) {
      const job = plan.key[at]! >> 4;
      const cut = compiled.cuts[job * machines + m]![plan.key[at]! & 15]!;
      const needles: number[] = [];
      const stretches: Stretch[] = [];
      for (let s = 0; s < cut.to.length; s++, stretch++) {
        for (let n = plan.before[stretch]!; n > 0; n--, threading++) {
          const place = plan.place[threading]!;
          const old = on[place]!;
          if (old >= 0 && holder.get(old) === free[place]) {
            holder.delete(old);
            on.forEach((colour, other) => other !== place && colour === old && holder.set(old, free[other]!));
          }
          on[place] = plan.colour[threading]!;
          holder.set(plan.colour[threading]!, free[place]!);
        }
        for (let part = cut.from[s]!; part <= cut.to[s]!; part++) {
          const colour = compiled.colourOf[job]![part]!;
          const fixed = compiled.heldAt[m]![colour]!;
          needles.push((fixed >= 0 ? fixed : holder.get(colour)!) + 1);
        }
        const start = decoder.stretchStart[m]![stretch]!;
        stretches.push({ from: cut.from[s]!, to: cut.to[s]!, start, end: start + cut.seconds[s]! });
      }
      const frame = decoder.frameOf[job]!;
      const hoop = frame < 0 ? null : `${problem.jobs[job]!.hoop}/${frame + 1}`;
      const run: Run = { job: problem.jobs[job]!.id, machine: machine.id, hoop, needles, stretches };
      runs.push({ run, start: starts[job]!, end: stretches.at(-1)!.end });
    }
  }
  runs.sort((a, b) => a.start - b.start || a.end - b.end);
  const unplanned: Unplanned[] = [...compiled.impossible];
  for (const item of compiled.doable) {
    if (decoder.endOf[item]! >= 0) continue;
    const entry = item < jobs ? { job: problem.jobs[item]!.id } : { chore: problem.chores[item - jobs]!.id };
    const hours = (compiled.lastShiftEnd / 3600).toFixed(1);
    unplanned.push({
      ...entry,
      why: `it does not fit into the shifts, which end ${hours} h after the plan's start`,
    });
  }
  return {
    runs: runs.map((entry) => entry.run),
    tasks: tasksOf(decoder, candidate),
    unplanned,
    totals: {
      cost: outcome.cost,
      threadings: outcome.threadings,
      midStops: outcome.midStops,
      lateJobs: outcome.lateItems,
      lateMinutes: outcome.lateS / 60,
      finishAt: outcome.finishAt,
    },
  };
}

/** When each job takes its machine. */
function runStarts(decoder: Decoder): Int32Array {
  const starts = new Int32Array(decoder.compiled.jobs).fill(0x7fffffff);
  for (let t = 0; t < decoder.tasksCount; t++) {
    const kind = taskKinds[decoder.tasks[t * TASK_WIDTH]!]!;
    if (kind !== "thread" && kind !== "load") continue;
    const item = decoder.tasks[t * TASK_WIDTH + 1]!;
    starts[item] = Math.min(starts[item]!, decoder.tasks[t * TASK_WIDTH + 3]!);
  }
  return starts;
}

function tasksOf(decoder: Decoder, candidate: Candidate): PlanTask[] {
  const { compiled } = decoder;
  const { problem, jobs } = compiled;
  const result: PlanTask[] = [];
  for (let t = 0; t < decoder.tasksCount; t++) {
    const base = t * TASK_WIDTH;
    const kind = taskKinds[decoder.tasks[base]!]!;
    const item = decoder.tasks[base + 1]!;
    const hand = problem.hands[decoder.tasks[base + 2]!]!.id;
    const start = decoder.tasks[base + 3]!;
    if (kind === "chore") {
      const chore = problem.chores[item - jobs]!;
      const machine = chore.machine === null ? {} : { machine: chore.machine };
      result.push({ hand, do: kind, chore: chore.id, ...machine, start, end: start + chore.seconds });
      continue;
    }
    const m = candidate.machine[item]!;
    const job = problem.jobs[item]!;
    const machine = problem.machines[m]!;
    const own = { hand, do: kind, job: job.id };
    if (kind === "thread") {
      const threading = decoder.tasks[base + 4]!;
      const plan = decoder.needlePlan[m]!;
      const needle = compiled.freeNeedles[m]![plan.place[threading]!]! + 1;
      const colour = compiled.colourNames[plan.colour[threading]!]!;
      result.push({ ...own, machine: machine.id, needle, colour, start, end: start + machine.threadS });
    } else if (kind === "load" || kind === "unload") {
      const seconds = kind === "load" ? machine.loadS : machine.unloadS;
      result.push({ ...own, machine: machine.id, start, end: start + seconds });
    } else {
      const seconds = kind === "hoop" ? job.hoopS : kind === "unhoop" ? job.unhoopS : job.finishS;
      result.push({ ...own, start, end: start + seconds });
    }
  }
  return result.sort((a, b) => a.start - b.start || a.end - b.end);
}
