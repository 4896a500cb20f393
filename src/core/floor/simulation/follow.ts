/** Plays a plan: the order on each machine, in each frame and for each person is the plan's; only the times are played. */
import { invariant } from "#core/base";
import type { Plan, PlanTask } from "#core/planning";
import type { Stretch } from "./needle-use";
import {
  BOBBIN,
  CHORE,
  FINISH,
  type Floor,
  HOOP,
  LOAD,
  MEND,
  OIL,
  type Policy,
  THREAD,
  UNHOOP,
  UNLOAD,
} from "./floor";
import { stretchSeconds } from "./shop";

const kindOf: Readonly<Record<PlanTask["do"], number>> = {
  hoop: HOOP,
  thread: THREAD,
  load: LOAD,
  unload: UNLOAD,
  unhoop: UNHOOP,
  finish: FINISH,
  chore: CHORE,
};

interface Step {
  readonly kind: number;
  readonly item: number;
}

/** A policy that keeps to a plan of the same jobs; what chance adds (a broken thread) is done by whoever is free first. */
export function followPlan(plan: Plan): (floor: Floor) => Policy {
  return (floor) => {
    const { problem } = floor.compiled.shop;
    const pieceOf = new Map(problem.jobs.map(({ id }, at) => [id, at]));
    const choreOf = new Map(problem.chores.map(({ id }, at) => [id, at]));
    const machineOf = new Map(problem.machines.map(({ id }, at) => [id, at]));
    const handOf = new Map(problem.hands.map(({ id }, at) => [id, at]));
    const byStart = [...plan.tasks].sort((a, b) => a.start - b.start || a.end - b.end);
    const itemOf = (task: PlanTask): number =>
      task.job === undefined ? choreOf.get(task.chore!)! : pieceOf.get(task.job)!;

    const work: Step[][] = problem.hands.map(() => []);
    for (const task of byStart)
      if (task.end > task.start)
        work[handOf.get(task.hand)!]!.push({ kind: kindOf[task.do], item: itemOf(task) });
    const workAt = work.map(() => 0);

    const hoopStart = new Map(
      byStart.filter((task) => task.do === "hoop").map((task) => [task.job!, task.start]),
    );
    const stretches = stretchesOf(plan, byStart, floor, pieceOf, machineOf);
    const framesOf = frameOrder(plan, floor, pieceOf, hoopStart);
    const frameAt = framesOf.map(() => 0);
    listItems(plan, byStart, floor, { pieceOf, choreOf, machineOf });

    return {
      arrived: () => undefined,
      refill() {
        framesOf.forEach((users, frame) => {
          const piece = users[frameAt[frame]!];
          if (piece === undefined || !floor.isIn(piece) || !floor.isFree(frame)) return;
          frameAt[frame]!++;
          floor.frame(piece, frame);
        });
      },
      pick(hand) {
        const next = work[hand]![workAt[hand]!];
        const at = floor.ready.findIndex(
          (task) =>
            ((next !== undefined && task.kind === next.kind && task.item === next.item) ||
              [MEND, BOBBIN, OIL].includes(task.kind)) &&
            floor.canDo(hand, task),
        );
        if (at >= 0 && next !== undefined && floor.ready[at]!.kind === next.kind) workAt[hand]!++;
        return at;
      },
      choose: (machine) => floor.lists[machine]![0] ?? -1,
      begun: (_, piece) => stretches[piece]!,
    };
  };
}

function stretchesOf(
  plan: Plan,
  byStart: readonly PlanTask[],
  { compiled }: Floor,
  pieceOf: ReadonlyMap<string, number>,
  machineOf: ReadonlyMap<string, number>,
): (readonly Stretch[])[] {
  const all: (readonly Stretch[])[] = [];
  const threads = new Map<string, number[]>();
  for (const task of byStart)
    if (task.do === "thread") threads.set(task.job!, [...(threads.get(task.job!) ?? []), task.start]);
  for (const run of plan.runs) {
    const piece = pieceOf.get(run.job)!;
    const machine = machineOf.get(run.machine)!;
    const first = compiled.partFrom[piece]!;
    let before = -Infinity;
    all[piece] = run.stretches.map(({ from, to, start }) => {
      const threadings = (threads.get(run.job) ?? []).filter((at) => at >= before && at < start).length;
      before = start;
      let stitches = 0;
      for (let part = first + from; part <= first + to; part++) stitches += compiled.partStitches[part]!;
      return {
        threadings,
        stitches,
        seconds: stretchSeconds(compiled, piece, machine, first + from, first + to),
      };
    });
  }
  return all;
}

/** The pieces of each frame in the order in which they are hooped. */
function frameOrder(
  plan: Plan,
  { compiled }: Floor,
  pieceOf: ReadonlyMap<string, number>,
  hoopStart: ReadonlyMap<string, number>,
): number[][] {
  const { hoops } = compiled.shop.problem;
  const order: number[][] = [];
  hoops.forEach(({ id, count }) => {
    for (let frame = 1; frame <= count; frame++)
      order.push(
        plan.runs
          .filter(({ hoop }) => hoop === `${id}/${frame}`)
          .sort((a, b) => hoopStart.get(a.job)! - hoopStart.get(b.job)!)
          .map(({ job }) => pieceOf.get(job)!),
      );
  });
  return order;
}

function listItems(
  plan: Plan,
  byStart: readonly PlanTask[],
  floor: Floor,
  numbers: Readonly<Record<"pieceOf" | "choreOf" | "machineOf", ReadonlyMap<string, number>>>,
): void {
  const { pieceOf, choreOf, machineOf } = numbers;
  const items = [
    ...plan.runs.map((run) => ({
      at: run.stretches[0]!.start,
      machine: run.machine,
      item: pieceOf.get(run.job)!,
    })),
    ...byStart
      .filter((task) => task.do === "chore")
      .map((task) => ({
        at: task.start,
        machine: problemMachine(floor, task.chore!),
        item: -2 - choreOf.get(task.chore!)!,
      })),
  ];
  for (const { machine, item } of items.sort((a, b) => a.at - b.at)) {
    if (machine === null) continue;
    invariant(machineOf.has(machine), "a plan names machines that are there");
    floor.assign(machineOf.get(machine)!, item);
  }
}

const problemMachine = ({ compiled }: Floor, chore: string): string | null =>
  compiled.shop.problem.chores.find(({ id }) => id === chore)!.machine;
