import { compile } from "./compile";
import { createDecoder } from "./decode";
import type { Replay } from "./elsewhere";
import type { PlanNames } from "./explain";
import type { Job, OneThing, Plan, Problem } from "./problem";
import { lengthWords } from "./words";

/** More late jobs than this are not looked into one by one. */
const MOST_ASKED = 12;
/** A relief that gains less than this explains nothing. */
const WORTH_S = 60;

interface Relief {
  /** Begins the sentence: what it waits for. */
  readonly waits: string;
  /** What was tried: "with one more person in the same hours". */
  readonly tried: string;
  readonly problem: Problem;
  /** Where it differs from the plan's. */
  readonly oneThing?: OneThing;
}

/**
 * Why late jobs and chores are late: the one thing that, were there more of it, would bring the item soonest. Each is
 * tried alone (more hands in the same hours, more frames, no break or closing, no down time, an own machine, no
 * release, no other job with its thing in hand) and the plan decoded anew in the same order; what helps most is what binds.
 */
export function whyLate(problem: Problem, plan: Plan, replay: Replay, names: PlanNames): Map<string, string> {
  const { compiled, endOf } = replay;
  const said = new Map<string, string>();
  const late = [...compiled.doable].filter((item) => endOf[item]! > compiled.due[item]!);
  late.sort((a, b) => endOf[b]! - compiled.due[b]! - (endOf[a]! - compiled.due[a]!));
  if (late.length === 0) return said;
  const shared = reliefsForAll(problem).map((relief) => ({ relief, ends: endsWith(relief, replay) }));
  for (const [index, item] of late.entries()) {
    const isJob = item < compiled.jobs;
    const { id, dueAt } = isJob ? problem.jobs[item]! : problem.chores[item - compiled.jobs]!;
    const due = dueAt!;
    const plain = isJob ? withoutWaiting(problem, plan, problem.jobs[item]!) : null;
    if (plain !== null && plain > due) {
      said.set(id, ownWork(due, plain));
      continue;
    }
    const own =
      isJob && index < MOST_ASKED
        ? reliefsFor(problem, plan, problem.jobs[item]!, names, replay.oneThing)
        : [];
    const tried = [
      ...shared.map(({ relief, ends }) => ({ relief, end: ends[item]! })),
      ...own.map((relief) => ({ relief, end: endsWith(relief, replay)[item]! })),
    ].filter(({ end }) => 0 <= end && end <= endOf[item]! - WORTH_S);
    // Equal gains: the one that is tried first, which is the smallest change.
    const best = tried.reduce<(typeof tried)[number] | null>(
      (least, one) => (least === null || one.end < least.end ? one : least),
      null,
    );
    said.set(id, best ? wordsOf(best.relief, due, best.end, names, problem, item) : noSingle);
  }
  return said;
}

const noSingle =
  "Several things hold it at once: neither one more person, nor more frames, nor a free machine, nor longer hours alone would bring it sooner.";

function wordsOf(
  { waits, tried }: Relief,
  due: number,
  end: number,
  names: PlanNames,
  problem: Problem,
  item: number,
): string {
  const hoop = problem.jobs[item]?.hoop;
  const what = waits.replace("{frame}", hoop ? (names.hoops?.get(hoop) ?? hoop) : "");
  const then = end <= due ? "it would be on time" : `it would be late by ${lengthWords(end - due)} only`;
  return `${what}: ${tried} ${then}.`;
}

function ownWork(due: number, plain: number): string {
  if (due <= 0) return "It was due before this plan began.";
  return `Its own work is too long: with everything free and at hand it would still be late by ${lengthWords(plain - due)}.`;
}

/** When the job would be finished on its machine were hands, frames and machine always free. */
function withoutWaiting(problem: Problem, plan: Plan, job: Job): number | null {
  const run = plan.runs.find((one) => one.job === job.id);
  const machine = problem.machines.find((one) => one.id === run?.machine);
  if (!run || !machine) return null;
  const sewS = run.stretches.reduce((sum, one) => sum + one.end - one.start, 0);
  const { hoopS, unhoopS, finishS, releaseAt } = job;
  return releaseAt + hoopS + machine.loadS + sewS + machine.unloadS + unhoopS + finishS;
}

function reliefsForAll(problem: Problem): Relief[] {
  const horizon = Math.max(
    86_400,
    ...problem.hands.flatMap((hand) => hand.shifts.map(([, end]) => end)),
    ...problem.open.map(([, end]) => end),
  );
  const all = [[0, horizon] as const];
  return [
    {
      waits: "It waits for hands",
      tried: "with as many people again in the same hours",
      problem: {
        ...problem,
        hands: problem.hands.flatMap((hand) => [hand, { ...hand, id: `${hand.id}, another` }]),
      },
    },
    {
      waits: "It waits for a frame {frame}",
      tried: "with more of them",
      problem: {
        ...problem,
        hoops: problem.hoops.map((kind) => ({ ...kind, count: kind.count + problem.jobs.length })),
      },
    },
    {
      waits: "The hours bind it",
      tried: "worked without a break and without closing",
      problem: { ...problem, open: all, hands: problem.hands.map((hand) => ({ ...hand, shifts: all })) },
    },
  ];
}

function reliefsFor(problem: Problem, plan: Plan, job: Job, names: PlanNames, oneThing: OneThing): Relief[] {
  const run = plan.runs.find((one) => one.job === job.id)!;
  const machine = problem.machines.find((one) => one.id === run.machine)!;
  const name = names.machines?.get(machine.id) ?? machine.id;
  const reliefs: Relief[] = [];
  const jobWith = (more: Partial<Job>) =>
    problem.jobs.map((one) => (one.id === job.id ? { ...one, ...more } : one));
  if (machine.down.some(([from]) => from < run.stretches.at(-1)!.end))
    reliefs.push({
      waits: `${name} is away for a while before it`,
      tried: "were it not,",
      problem: {
        ...problem,
        machines: problem.machines.map((one) => (one.id === machine.id ? { ...one, down: [] } : one)),
      },
    });
  if (job.releaseAt > 0)
    reliefs.push({
      waits: "It could not begin sooner",
      tried: "free from the start",
      problem: { ...problem, jobs: jobWith({ releaseAt: 0 }) },
    });
  const own = oneThing.find((jobs) => jobs.includes(job.id));
  if (own)
    reliefs.push({
      waits: "It waits until its piece is out of another hoop",
      tried: "with the piece at hand",
      problem,
      oneThing: oneThing.filter((jobs) => jobs !== own),
    });
  const start = run.stretches[0]!.start;
  const before = plan.runs.filter(
    (one) => one.machine === machine.id && one.stretches[0]!.start < start,
  ).length;
  if (before > 0)
    reliefs.push({
      waits: `It waits for ${name}, which sews ${before === 1 ? "one piece" : `${before} pieces`} before it`,
      tried: "on a machine like it that is free",
      problem: {
        ...problem,
        machines: [...problem.machines, { ...machine, id: `${machine.id}, another` }],
        jobs: jobWith({ machines: [`${machine.id}, another`] }),
      },
    });
  return reliefs;
}

/** When each item ends with the plan's order in another problem; −1 where it finds no place. */
function endsWith({ problem, oneThing }: Relief, replay: Replay): Int32Array {
  const compiled = compile(problem, oneThing ?? replay.oneThing);
  const decoder = createDecoder(compiled);
  const { order, machine, cut, patience } = replay.candidate;
  const own = Int32Array.from(machine, (m, job) => {
    const choices = compiled.choices[job]!;
    return choices.includes(m) ? m : (choices[0] ?? m);
  });
  const left = Uint8Array.from(own, (m, job) => (compiled.choices[job]!.includes(m) ? 0 : 1));
  const cuts = Int32Array.from(cut, (one, job) =>
    one < (compiled.cuts[job * compiled.machines + own[job]!]?.length ?? 0) ? one : 0,
  );
  decoder.decode({ order, machine: own, cut: cuts, patience, left }, Infinity);
  return decoder.endOf;
}
