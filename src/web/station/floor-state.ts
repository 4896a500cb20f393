import type { Answer, FloorEventBody, shapes } from "#contract";
import {
  byTime,
  type FloorEvent,
  type FloorNow,
  isLater,
  type JobColours,
  type Register,
  registerKey,
  registersOf,
  type Run,
  runAfter,
} from "#core/floor";
import type { Before, Told } from "./outbox";

/**
 * What stands on the floor as this tablet knows it: the program's last word, and over it what the tablet told since,
 * folded in by the same rules, so that it goes on without the network.
 */
export type FloorAnswer = Answer<"floorNow">;

export interface Snapshot {
  readonly answer: FloorAnswer;
  /** When it was asked for, ms by the tablet's clock. */
  readonly askedAtMs: number;
  /** How far the program's clock is ahead of the tablet's, ms. */
  readonly aheadMs: number;
}

export interface SeenFloor {
  readonly floor: FloorNow;
  readonly colours: JobColours;
  readonly view: shapes.PlanView | null;
  readonly answer: FloorAnswer;
  readonly toPack: FloorAnswer["toPack"];
  /** Sewn and still to be finished, whoever does it. */
  readonly toFinish: FloorAnswer["toFinish"];
  readonly jobs: ReadonlyMap<string, shapes.PlannedJob>;
  readonly threads: ReadonlyMap<string, FloorAnswer["threads"][number]>;
}

/** Whether the program's last word has the event in it already. */
export const isIn = (told: Told, { answer, askedAtMs }: Snapshot): boolean =>
  answer.lately.some((one) => one.id === told.event.id) ||
  (told.state === "kept" && told.answeredAtMs !== null && told.answeredAtMs < askedAtMs);

interface Standing {
  readonly runs: Map<string, Run>;
  readonly registers: Map<string, Register>;
  readonly doneChores: Map<string, number>;
}

/** The floor with what was told here and is not in the program's last word yet. */
export function seenFloor(
  snapshot: Snapshot,
  view: shapes.PlanView | null,
  list: readonly Told[],
  nowMs: number,
): SeenFloor {
  const { answer } = snapshot;
  const standing: Standing = {
    runs: new Map(answer.runs.map((run) => [run.jobId, run])),
    registers: new Map((answer.registers as Register[]).map((one) => [registerKey(one), one])),
    doneChores: new Map(answer.doneChores.map((one) => [one.choreId, one.atMs])),
  };
  const ahead = list.filter((one) => one.state !== "refused" && !isIn(one, snapshot));
  const events = ahead.map((one): FloorEvent => one.event).sort(byTime);
  const takenBack = new Set(events.flatMap((one) => (one.kind === "taken-back" ? [one.eventId] : [])));
  for (const one of list)
    if (takenBack.has(one.event.id) && !ahead.includes(one)) restore(standing, one.event, one.before);
  const added = events.filter((one) => !takenBack.has(one.id));
  for (const event of added) take(standing, event);
  const jobs = new Map((view?.jobs ?? []).map((job) => [job.jobId, job]));
  const toFinish = finishing(answer.toFinish, added, jobs, standing.runs);
  return {
    view,
    answer,
    jobs,
    toFinish,
    threads: new Map(answer.threads.map((thread) => [thread.id, thread])),
    colours: (jobId) => jobs.get(jobId)?.parts.map((part) => part.threadId) ?? [],
    toPack: packing(answer, added, jobs, standing.runs),
    floor: {
      nowMs,
      plan: (view?.plan ?? { runs: [], tasks: [] }) as FloorNow["plan"],
      startsAtMs: view?.startsAtMs ?? nowMs,
      threaded: new Map(answer.machines.map((one) => [one.id, one.needles.map((needle) => needle.threadId)])),
      madeAtMs: view?.madeAtMs ?? nowMs,
      chores: new Map(
        (view?.chores ?? []).map(({ choreId, machineId, ruleId, needle }) => [
          choreId,
          { machineId, ruleId, needle },
        ]),
      ),
      hoops: new Map(answer.hoops.map((hoop) => [hoop.id, hoop.count])),
      unfinished: new Map(toFinish.map((one) => [one.jobId, { hoopId: one.hoopId }])),
      ...standing,
    },
  };
}

function take({ runs, registers, doneChores }: Standing, event: FloorEvent): void {
  for (const register of registersOf(event)) {
    const key = registerKey(register);
    if (isLater(register, registers.get(key))) registers.set(key, register);
  }
  if (event.kind === "batch-done") doneChores.set(event.choreId, event.atMs);
  if ("jobId" in event && event.jobId !== null) {
    const run = runAfter(runs.get(event.jobId) ?? null, event.jobId, [event]);
    if (run) runs.set(event.jobId, run);
  }
}

/** Puts back what stood before an event, where nothing came after it. */
function restore({ runs, registers, doneChores }: Standing, event: FloorEventBody, before: Before): void {
  for (const { kind, subject } of registersOf(event)) {
    const key = registerKey({ kind, subject });
    if (registers.get(key)?.eventId !== event.id) continue;
    const was = before.registers.find((one) => registerKey(one) === key);
    if (was) registers.set(key, was);
    else registers.delete(key);
  }
  if (event.kind === "batch-done") doneChores.delete(event.choreId);
  if ("jobId" in event && event.jobId !== null) {
    if (before.run) runs.set(event.jobId, before.run);
    else runs.delete(event.jobId);
  }
}

/** What stands before an event is told: kept with it. */
export function before({ floor }: SeenFloor, event: FloorEventBody): Before {
  return {
    run: "jobId" in event && event.jobId !== null ? (floor.runs.get(event.jobId) ?? null) : null,
    registers: registersOf(event).flatMap((one) => floor.registers.get(registerKey(one)) ?? []),
  };
}

/** A clock that is a little behind another tablet's must not make what is told now count as earlier. */
const MOST_APART_MS = 2 * 60_000;

/** When an event happens that is told now: after all that stands of the same things. Ms by the program's clock. */
export function timeOfTelling({ floor }: SeenFloor, event: FloorEventBody, nowMs: number): number {
  const stands = registersOf({ ...event, atMs: nowMs }).flatMap(
    (one) => floor.registers.get(registerKey(one))?.atMs ?? [],
  );
  return stands
    .filter((atMs) => atMs < nowMs + MOST_APART_MS)
    .reduce((last, atMs) => Math.max(last, atMs + 1), nowMs);
}

/** What is to be finished, with what was sewn here and without what was finished, spoiled or packed since. */
function finishing(
  toFinish: FloorAnswer["toFinish"],
  events: readonly FloorEvent[],
  jobs: SeenFloor["jobs"],
  runs: ReadonlyMap<string, Run>,
): FloorAnswer["toFinish"] {
  const over = new Set(
    events.flatMap((one) =>
      one.kind === "finished" || one.kind === "spoiled" || one.kind === "packed" ? [one.pieceId] : [],
    ),
  );
  const listed = new Set(toFinish.map((one) => one.pieceId));
  const sewn = events.flatMap((event) => {
    const job = event.kind === "sewn" ? jobs.get(event.jobId) : undefined;
    if (!job || listed.has(job.pieceId) || runs.get(job.jobId)?.stage !== "sewn") return [];
    const { pieceId, jobId, pieceCode, title, product, customer, shipBy } = job;
    listed.add(pieceId);
    const hoopId = runs.get(jobId)?.facts?.hoopId ?? null;
    return [
      {
        pieceId,
        jobId,
        code: pieceCode,
        title,
        product,
        customer,
        shipBy,
        state: "finishing" as const,
        hoopId,
      },
    ];
  });
  return [...toFinish, ...sewn].filter((one) => !over.has(one.pieceId));
}

/** What is to be packed, with what was finished and without what was packed since. */
function packing(
  { toPack, toFinish }: FloorAnswer,
  events: readonly FloorEvent[],
  jobs: SeenFloor["jobs"],
  runs: ReadonlyMap<string, Run>,
): FloorAnswer["toPack"] {
  const packed = new Set(events.flatMap((one) => (one.kind === "packed" ? [one.pieceId] : [])));
  const listed = new Set(toPack.map((one) => one.pieceId));
  const finished = events.flatMap((event) => {
    if (event.kind !== "finished") return [];
    const job = jobs.get(event.jobId);
    const known = toFinish.find((one) => one.jobId === event.jobId && one.state === "finishing");
    if (known && !listed.has(known.pieceId)) {
      const { jobId: _job, hoopId: _hoop, ...piece } = known;
      listed.add(piece.pieceId);
      return [{ ...piece, state: "done" as const }];
    }
    if (!job || listed.has(job.pieceId)) return [];
    const own = [...jobs.values()].filter((one) => one.pieceId === job.pieceId);
    if (!own.every((one) => ["sewn", "finished"].includes(runs.get(one.jobId)?.stage ?? ""))) return [];
    const { pieceId, pieceCode, title, product, customer, shipBy } = job;
    listed.add(pieceId);
    return [{ pieceId, code: pieceCode, title, product, customer, shipBy, state: "done" as const }];
  });
  return [...toPack, ...finished].filter((one) => !packed.has(one.pieceId));
}
