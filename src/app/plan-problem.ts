import type { shapes } from "#contract";
import {
  type Plan,
  planAsSeen,
  type PlanWishes,
  type Problem,
  type ProblemWhileRunning,
  problemWhileRunning,
  withFramesAsTheyAre,
} from "#core/planning";
import type { LearnedQuantity } from "#core/floor";
import { machineTimes } from "#core/shop";
import type { Store } from "#store";
import { careOfPlan } from "./care/chores";
import { learntBy, plannedWith } from "./floor/learning";
import { PlanClock } from "./plan-clock";
import { downAfterRunning, floorMoves, floorOf, type FloorState, isBegun, type SeenPlan } from "./plan-floor";
import { unfinishedOf, withFinishing } from "./plan-finishing";
import { floorMarks, type FloorMarks, joinedSpans, without } from "./plan-marks";
import { embroiders, Gathering, type OpenPiece, type PlannedTime, type Records } from "./plan-gathering";
import { withSecondRuns } from "./placing";
import { allOf, groupedBy, inPortions, studioOf, versionOf } from "./records";

/**
 * From the studio's records to one planning problem. What cannot be planned is never dropped: it comes back in
 * `leftOut` with its reason. Colours of the problem are thread ids, hands are people, hoops are hoop kinds.
 */

/** What pages need of a planned job beside the problem; kept with the plan, for the records may change. */
export type JobContext = Omit<
  shapes.PlannedJob,
  "state" | "urgency" | "pinnedMachineId" | "pieceVersion" | "why" | "whyLate"
>;

export interface PlanContext {
  readonly timeZone: string;
  readonly jobs: readonly JobContext[];
  readonly chores: readonly shapes.PlannedChore[];
  readonly machines: readonly { readonly id: string; readonly name: string }[];
  readonly hands: readonly {
    readonly id: string;
    readonly name: string;
    readonly skills: readonly string[];
  }[];
  readonly hoops: readonly { readonly id: string; readonly name: string; readonly count: number }[];
  readonly threads: readonly {
    readonly id: string;
    readonly code: string;
    readonly name: string;
    readonly rgb: string;
  }[];
  readonly leftOut: shapes.PlanView["leftOut"];
}

export interface MadeProblem {
  /** By the studio's clock; what runs stands in `floor`. */
  readonly problem: Problem;
  readonly floor: FloorState;
  readonly startsAtMs: number;
  readonly context: PlanContext;
  /** Jobs to pull first. */
  readonly first: readonly string[];
}

interface Asked {
  readonly store: Store;
  readonly nowMs: number;
  /** Calendar days the plan may reach over. */
  readonly days: number;
  /** The plan in force: it tells which run of a begun piece is under way, and its frame. */
  readonly seen: SeenPlan | null;
}

/** Makes the problem, or null where there is no studio yet. */
export async function makeProblem({ store, nowMs, days, seen }: Asked): Promise<MadeProblem | null> {
  const studio = await studioOf(store.db);
  if (!studio) return null;
  const [people, machines, hoops, threads, stock, products] = await Promise.all([
    allOf(store.db, "people"),
    allOf(store.db, "machines"),
    allOf(store.db, "hoops"),
    allOf(store.db, "threads"),
    allOf(store.db, "stock"),
    allOf(store.db, "products"),
  ]);
  const startsAtMs = Math.ceil(nowMs / 60_000) * 60_000;
  const clock = new PlanClock(studio, startsAtMs, days);
  const openPieces = (await store.db
    .selectFrom("pieces")
    .innerJoin("orders", "orders.id", "pieces.order_id")
    .selectAll("pieces")
    .select(["orders.reference", "orders.customer", "orders.promise_date"])
    .where("pieces.state", "in", ["waiting", "ready", "hooped", "sewing", "finishing"])
    .orderBy("pieces.ship_by")
    .orderBy("pieces.code")
    .execute()) as OpenPiece[];
  const pieceIds = openPieces.map((piece) => piece.id);
  const wholeJobs = await inPortions(pieceIds, (ids) =>
    store.db.selectFrom("jobs").selectAll().where("piece_id", "in", ids).execute(),
  );
  const versionIds = [
    ...new Set(wholeJobs.flatMap((job) => (job.design_version_id === null ? [] : [job.design_version_id]))),
  ];
  const versionRows = await inPortions(versionIds, (ids) =>
    store.db
      .selectFrom("design_versions")
      .innerJoin("designs", "designs.id", "design_versions.design_id")
      .selectAll("design_versions")
      .select("designs.name as design_name")
      .where("design_versions.id", "in", ids)
      .execute(),
  );
  const wholeVersions = new Map(
    versionRows.map((row) => [row.id, { ...versionOf(row), designName: row.design_name }]),
  );
  const begun = openPieces.filter(isBegun).map((piece) => piece.id);
  const allMoves = await floorMoves(store.db, begun, nowMs);
  const { pieces, jobs, versions, told } = await withSecondRuns(store.db, {
    pieces: openPieces,
    jobs: wholeJobs,
    versions: wholeVersions,
    told: allMoves.told,
    starts: allMoves.starts,
    nowMs,
  });
  const moves = { ...allMoves, told };
  const jobsByPiece = groupedBy(
    [...jobs].sort((a, b) => a.position - b.position),
    (job) => job.piece_id,
  );
  const records: Records = { studio, people, machines, hoops, threads, stock, products, versions };

  const [marks, unfinished] = await Promise.all([
    floorMarks(store.db, nowMs, seen),
    unfinishedOf(store.db, pieces, jobs),
  ]);
  const learnt = await learntBy(store.db, records, nowMs);
  const planned = (quantity: LearnedQuantity, subjectId: string) =>
    plannedWith(learnt, records, quantity, subjectId);
  const planning = new Gathering({ records, clock, moves, seen, marks, planned, unfinished });
  for (const piece of pieces) planning.takePiece(piece, jobsByPiece.get(piece.id) ?? []);
  planning.closeBatches();
  planning.takeCare(await careOfPlan({ db: store.db, clock, machines, seen, startsAtMs }));
  const { problemMachines, problemHands } = resources(records, clock, marks, planned);
  const asked: Problem = {
    format: "spoolwright/problem@1",
    hands: problemHands.map(({ id, shifts }) => ({ id, shifts })),
    open: clock.spans(studio.body.openHours, studio.body.closedDays),
    hoops: [...hoops.values()]
      .filter((hoop) => !hoop.archived)
      .map((hoop) => ({ id: hoop.id, count: hoop.count })),
    machines: problemMachines,
    jobs: planning.jobs,
    chores: planning.chores,
    cost: studio.body.costWeights,
  };
  const { problem, floor } = floorOf({
    problem: asked,
    startsAtMs,
    studio,
    downTimes: new Map([...machines.values()].map((machine) => [machine.id, machine.downTimes])),
    begun: planning.begun,
    seen,
  });
  const usedThreads = new Set([
    ...planning.jobs.flatMap((job) => job.parts.map((part) => part.colour)),
    ...problemMachines.flatMap((one) => one.threaded),
  ]);
  return {
    problem,
    floor,
    startsAtMs,
    first: planning.first,
    context: {
      timeZone: studio.body.timeZone,
      jobs: planning.jobContexts,
      chores: planning.choreContexts,
      machines: problemMachines.map(({ id }) => ({ id, name: machines.get(id)!.name })),
      hands: problemHands.map(({ id, name, skills }) => ({ id, name, skills })),
      hoops: problem.hoops.map(({ id, count }) => ({ id, count, name: hoops.get(id)!.name })),
      threads: [...threads.values()]
        .filter(({ id }) => usedThreads.has(id))
        .map(({ id, code, name, rgb }) => ({ id, code, name, rgb })),
      leftOut: planning.leftOut,
    },
  };
}

function resources(records: Records, clock: PlanClock, marks: FloorMarks, planned: PlannedTime) {
  const { studio, people, machines } = records;
  const problemHands = [...people.values()]
    .filter((person) => !person.archived && canRun(person))
    .map((person) => ({
      id: person.id,
      name: person.name,
      skills: person.skills,
      shifts: without(
        clock.spans(person.shifts, [...studio.body.closedDays, ...person.daysOff]),
        clock.secondOf(marks.awayUntil.get(person.id) ?? 0),
      ),
    }));
  const problemMachines = [...machines.values()].filter(embroiders).map((machine) => ({
    id: machine.id,
    needles: machine.needles.length,
    threaded: machine.needles.map((needle) => needle.threadId),
    fixed: machine.needles.filter((needle) => needle.fixed).map((needle) => needle.number),
    hoops: machine.hoopIds.filter((id) => records.hoops.get(id)?.archived === false),
    down: joinedSpans(clock.down(machine.downTimes), clock.secondOf(marks.downUntil.get(machine.id) ?? 0)),
    ...machineTimes(machine, studio.body.stepTimes),
    stitchesPerMinute: planned("sewing-speed", machine.id) ?? machine.stitchesPerMinute,
    ...learnedSteps(planned, machine.id),
  }));
  return { problemHands, problemMachines };
}

/** What the floor has taught of a machine's steps. */
function learnedSteps(planned: PlannedTime, machineId: string): { threadS?: number; loadS?: number } {
  const [threadS, loadS] = [planned("threading", machineId), planned("loading", machineId)];
  return { ...(threadS === null ? {} : { threadS }), ...(loadS === null ? {} : { loadS }) };
}

/** The problem to be solved and checked: what runs said in the problem's own words, in a clock put back a little. */
export function askedOf(made: MadeProblem): ProblemWhileRunning {
  const { running } = made.floor;
  return problemWhileRunning(downAfterRunning(made.problem, running), running);
}

/** The plan by the studio's clock, as people see it: what is in its frame already is not hooped again. */
export function seenOf(made: Pick<MadeProblem, "problem" | "floor">, shiftS: number, plan: Plan): Plan {
  const seen = withFinishing(planAsSeen(made.problem, made.floor.running, shiftS, plan));
  if (made.floor.hooped.length === 0) return seen;
  const hooped = new Set(made.floor.hooped.map((piece) => piece.job));
  return {
    ...seen,
    tasks: seen.tasks.filter((task) => !(task.do === "hoop" && task.job && hooped.has(task.job))),
  };
}

/** The solved plan with every begun piece in the frame it is in. */
export const framedOf = (made: MadeProblem, plan: Plan): Plan =>
  withFramesAsTheyAre(plan, [...made.floor.running, ...made.floor.hooped]);

/** A hand of the plan does every step of a run; who only cuts or sews is not planned by it. */
const canRun = (person: shapes.PersonBody): boolean =>
  person.skills.includes("hoop") && person.skills.includes("embroider");

/** What the studio asks of a plan beside its problem: what comes first, and that a piece is in one hoop at a time. */
export const wishesOf = (made: MadeProblem, running: readonly string[]): PlanWishes => ({
  first: made.first,
  // Running pieces come first of all, then those that wait in their frames.
  begun: [...running, ...made.floor.hooped.map((piece) => piece.job)],
  oneThing: placementsOf(made),
});

/** The planned jobs of each piece that has several placements to sew. */
export function placementsOf(made: MadeProblem): string[][] {
  const planned = new Set(made.problem.jobs.map((job) => job.id));
  const jobs = made.context.jobs.filter((job) => planned.has(job.jobId));
  return [...groupedBy(jobs, (job) => job.pieceId).values()]
    .filter((own) => own.length > 1)
    .map((own) => own.map((job) => job.jobId));
}
