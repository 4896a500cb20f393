/**
 * People who work a plan off, as stations would tell it: at each tick every machine and every pair of hands does what
 * `machineStep` and `handSteps` ask for, and tells it. The clock is the program's own and moves by the tick.
 */
import type { Answer, FloorEventBody } from "#contract";
import {
  type FloorNow,
  handSteps,
  type HandStep,
  type JobColours,
  machineStep,
  type MachineStep,
  type Register,
  registerKey,
} from "#core/floor";
import type { TestProgram } from "./program";

export interface SeenFloor {
  readonly floor: FloorNow;
  readonly colours: JobColours;
  readonly plan: NonNullable<Answer<"currentPlan">["plan"]>;
  readonly now: Answer<"floorNow">;
}

export async function seenFloor(program: TestProgram): Promise<SeenFloor | null> {
  const [{ plan }, now] = await Promise.all([program.ask("currentPlan"), program.ask("floorNow")]);
  if (!plan) return null;
  const jobs = new Map(plan.jobs.map((job) => [job.jobId, job.parts.map((part) => part.threadId)]));
  const registers = new Map((now.registers as Register[]).map((one) => [registerKey(one), one]));
  return {
    plan,
    now,
    colours: (jobId) => jobs.get(jobId) ?? [],
    floor: {
      nowMs: program.clock.nowMs,
      plan: plan.plan as FloorNow["plan"],
      startsAtMs: plan.startsAtMs,
      threaded: new Map(now.machines.map((one) => [one.id, one.needles.map((needle) => needle.threadId)])),
      madeAtMs: plan.madeAtMs,
      chores: new Map(
        plan.chores.map(({ choreId, machineId, ruleId, needle }) => [choreId, { machineId, ruleId, needle }]),
      ),
      runs: new Map(now.runs.map((run) => [run.jobId, run])),
      registers,
      doneChores: new Map(now.doneChores.map((one) => [one.choreId, one.atMs])),
      hoops: new Map(now.hoops.map((hoop) => [hoop.id, hoop.count])),
      unfinished: new Map(now.toFinish.map((one) => [one.jobId, { hoopId: one.hoopId }])),
    },
  };
}

type Draft = FloorEventBody extends infer E
  ? E extends FloorEventBody
    ? Omit<E, "id" | "atMs" | "personId">
    : never
  : never;

export class FloorDay {
  private count = 0;
  readonly told: FloorEventBody[] = [];

  constructor(
    readonly program: TestProgram,
    private readonly name: string,
  ) {}

  /** Tells what happened; `personId`: whose hands, where somebody is named. */
  async tell(draft: Draft, personId: string | null = null): Promise<FloorEventBody> {
    const event = { ...draft, id: `ev-${this.name}-${++this.count}`, atMs: this.program.clock.nowMs, personId } as FloorEventBody; // prettier-ignore
    const { outcomes } = await this.program.ask("tellFloor", { body: { events: [event] } });
    if (outcomes[0]!.outcome !== "kept") throw new Error(`${event.kind}: ${outcomes[0]!.why}`);
    this.told.push(event);
    return event;
  }

  /** One look at every machine and every pair of hands; how many things were done. `without`: what hands leave undone. */
  async tick(minutes: number, without: readonly HandStep["do"][] = []): Promise<number> {
    this.program.clock.nowMs += minutes * 60_000;
    const before = this.told.length;
    const seen = await seenFloor(this.program);
    if (!seen) return 0;
    for (const machine of seen.plan.machines) {
      const now = (await seenFloor(this.program))!;
      await this.atMachine(now, machine.id, machineStep(now.floor, machine.id, now.colours));
    }
    for (const hand of seen.plan.hands) {
      const now = (await seenFloor(this.program))!;
      if (isAway(now.floor, hand.id)) continue;
      for (const step of handSteps(now.floor, hand.id, now.colours)) {
        if (without.includes(step.do)) continue;
        if (step.waitsFor !== null || step.planned.startMs > this.program.clock.nowMs) continue;
        if (step.do === "finish") await this.tell({ kind: "finished", ...this.of(now, step.jobId) }, hand.id);
        else if (step.do === "hoop")
          await this.tell({ kind: "hooped", ...this.of(now, step.jobId), hoop: null }, hand.id);
        else if (step.do === "chore") await this.chore(now, step.choreId);
        else continue;
        break;
      }
    }
    for (const piece of (await this.program.ask("floorNow")).toPack)
      await this.tell({ kind: "packed", pieceId: piece.pieceId });
    return this.told.length - before;
  }

  private of({ plan }: SeenFloor, jobId: string) {
    return { jobId, pieceId: plan.jobs.find((job) => job.jobId === jobId)!.pieceId };
  }

  private async chore({ plan }: SeenFloor, choreId: string): Promise<void> {
    const chore = plan.chores.find((one) => one.choreId === choreId)!;
    const { machineId, ruleId, needle } = chore;
    if (machineId !== null && needle !== null)
      await this.tell({ kind: "needle-changed", machineId, needle, why: "worn", sizeNm: null, point: null });
    else if (machineId !== null && ruleId !== null)
      await this.tell({ kind: "care-done", machineId, ruleId, note: "" });
    else await this.tell({ kind: "batch-done", choreId, pieceIds: chore.pieceIds });
  }

  private async atMachine(seen: SeenFloor, machineId: string, step: MachineStep): Promise<void> {
    const at = { machineId };
    switch (step.do) {
      case "thread":
        await this.tell({
          kind: "threaded",
          ...at,
          needles: step.needles.map(({ needle, to }) => ({ needle, threadId: to })),
        });
        return;
      case "hoop":
        if (step.waits === null)
          await this.tell({ kind: "hooped", ...this.of(seen, step.jobId), hoop: null });
        else if (step.waits.sewnJobId !== null)
          await this.tell({ kind: "unhooped", ...this.of(seen, step.waits.sewnJobId) });
        return;
      case "load":
        await this.tell({ kind: "loaded", ...at, ...this.of(seen, step.jobId) });
        return;
      case "start": {
        const run = seen.plan.plan.runs.find((one) => one.job === step.jobId);
        await this.tell({ kind: "started", ...at, ...this.of(seen, step.jobId), needles: run?.needles });
        return;
      }
      case "sewing":
        if (step.leftS > 0) return;
        await this.tell(
          step.nextStop === null
            ? { kind: "sewn", ...at, ...this.of(seen, step.jobId) }
            : {
                kind: "stopped",
                ...at,
                ...this.of(seen, step.jobId),
                why: "threading",
                needle: null,
                note: "",
              },
        );
        return;
      case "mend":
        await this.tell({ kind: "started", ...at, ...this.of(seen, step.jobId) });
        return;
      case "care":
        await this.chore(seen, step.choreId);
        return;
      default:
    }
  }
}

const isAway = (floor: FloorNow, personId: string): boolean =>
  ((
    floor.registers.get(registerKey({ kind: "away", subject: personId }))?.value as
      { untilMs: number } | undefined
  )?.untilMs ?? 0) > floor.nowMs;
