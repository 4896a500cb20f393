import type { shapes } from "#contract";
import type { Problem } from "#core/planning";
import type { LearnedQuantity } from "#core/floor";
import { handTimes, needleWords } from "#core/shop";
import type { JobTable, PieceTable } from "#store";
import type { PlanClock } from "./plan-clock";
import { begunJob, type BegunPiece, type FloorMoves, isBegun, type SeenPlan } from "./plan-floor";
import type { CareOfPlan } from "./care/chores";
import { finishChoreId, type Unfinished } from "./plan-finishing";
import type { FloorMarks } from "./plan-marks";
import type { JobContext } from "./plan-problem";
import type { Kept, StudioKept } from "./records";

type LeftOut = shapes.PlanView["leftOut"][number];

/** Goods that are only sewn are done in batches of at most this long, so that a batch fits between hoopings. */
const LONGEST_BATCH_S = 2 * 3600;
/** Pulled-first pieces weigh so much more than others when something must be late. */
const FIRST_WEIGHT = 5;

export type OpenPiece = PieceTable & {
  readonly reference: string;
  readonly customer: string;
  readonly promise_date: string;
};

export interface Records {
  readonly studio: StudioKept;
  readonly people: ReadonlyMap<string, Kept<shapes.PersonBody>>;
  readonly machines: ReadonlyMap<string, Kept<shapes.MachineBody>>;
  readonly hoops: ReadonlyMap<string, Kept<shapes.HoopBody>>;
  readonly threads: ReadonlyMap<string, Kept<shapes.ThreadBody>>;
  readonly stock: ReadonlyMap<string, Kept<shapes.StockBody>>;
  readonly products: ReadonlyMap<string, Kept<shapes.ProductBody>>;
  readonly versions: ReadonlyMap<string, shapes.DesignVersion & { readonly designName: string }>;
}

export const embroiders = (machine: Kept<shapes.MachineBody>): boolean =>
  !machine.archived && machine.kind !== "straight-stitch" && machine.needles.length > 0;

interface Batch {
  readonly piece: OpenPiece;
  readonly product: Kept<shapes.ProductBody>;
  readonly pieceIds: string[];
}

/** Seconds (or stitches a minute) that the floor has taught for a machine, hoop or product; null where the usual holds. */
export type PlannedTime = (quantity: LearnedQuantity, subjectId: string) => number | null;

export interface GatheringAsked {
  readonly records: Records;
  readonly clock: PlanClock;
  /** Since when each sewing piece sews, and where; what stations told of runs under way. */
  readonly moves: Pick<FloorMoves, "starts" | "told">;
  readonly seen: SeenPlan | null;
  readonly marks: FloorMarks;
  readonly planned: PlannedTime;
  /** Sewn pieces, or placements of them, still to be finished; by piece. */
  readonly unfinished: ReadonlyMap<string, Unfinished>;
}

/** Goes through the pieces and gathers jobs, batches, and what is left out with its reason. */
export class Gathering {
  readonly jobs: Problem["jobs"][number][] = [];
  readonly chores: Problem["chores"][number][] = [];
  readonly jobContexts: JobContext[] = [];
  readonly choreContexts: shapes.PlannedChore[] = [];
  readonly leftOut: LeftOut[] = [];
  readonly first: string[] = [];
  readonly begun: BegunPiece[] = [];
  private readonly batches = new Map<string, Batch>();

  private readonly records: Records;
  private readonly clock: PlanClock;
  private readonly moves: GatheringAsked["moves"];
  private readonly seen: SeenPlan | null;
  private readonly marks: FloorMarks;
  private readonly planned: PlannedTime;
  private readonly unfinished: GatheringAsked["unfinished"];

  constructor(asked: GatheringAsked) {
    this.records = asked.records;
    this.clock = asked.clock;
    this.moves = asked.moves;
    this.seen = asked.seen;
    this.marks = asked.marks;
    this.planned = asked.planned;
    this.unfinished = asked.unfinished;
  }

  takePiece(piece: OpenPiece, jobs: readonly JobTable[]): void {
    const product = this.records.products.get(piece.product_id);
    const leave = (why: string, advice: string) => this.leave(piece, product, why, advice);
    if (!product) return leave("its product is not known any more", "Open the order and choose a product.");
    if (piece.urgency === "held")
      return leave(
        piece.held_why ? `held back: ${piece.held_why}` : "held back",
        "Take the hold off when it may go on.",
      );
    const unfinished = this.unfinished.get(piece.id);
    if (unfinished) this.takeFinishing(piece, product, unfinished);
    if (piece.state === "finishing") return;
    const trouble = jobs.find((job) => job.trouble !== null)?.trouble;
    if (trouble) return leave(trouble, "Open the piece and mend it.");
    if (piece.state === "waiting")
      return leave(waitingWords(piece.waiting_for), "Set it ready when that has come.");
    if (product.kind === "sewn" || jobs.length === 0) return this.takeSewn(piece, product, leave);
    const open = jobs.filter((job) => job.sewn === 0);
    // Of a begun piece one run is under way; its others are hooped when their turn comes.
    const told = this.moves.told.get(piece.id);
    const begun = isBegun(piece)
      ? (open.find((job) => job.id === told?.jobId) ?? begunJob(open, this.seen))
      : null;
    for (const job of open) this.takeJob(piece, product, job, job === begun, leave);
  }

  /** What is left to do by hand of a piece that came off its machine. */
  private takeFinishing(
    piece: OpenPiece,
    product: Kept<shapes.ProductBody>,
    { job, withJobs }: Unfinished,
  ): void {
    const seconds = withJobs.reduce((sum, one) => {
      const { unhoopS, finishS } = this.timesOf(one, product.id);
      return sum + unhoopS + finishS;
    }, 0);
    this.chores.push({
      id: finishChoreId(job.id),
      machine: null,
      seconds,
      releaseAt: 0,
      dueAt: this.clock.dueAt(piece.ship_by),
      weight: this.weight(piece),
    });
    this.jobContexts.push(this.contextOf(piece, product, job));
  }

  private takeSewn(
    piece: OpenPiece,
    product: Kept<shapes.ProductBody>,
    leave: (why: string, advice: string) => void,
  ): void {
    if (product.sewS === 0)
      return leave(
        "nothing is to be sewn on it",
        "Give the product a placement or a sewing time, or move the piece on.",
      );
    const batch = this.batches.get(piece.line_id);
    if (batch) batch.pieceIds.push(piece.id);
    else this.batches.set(piece.line_id, { piece, product, pieceIds: [piece.id] });
  }

  /** Cuts each line's sewn goods into batches, even in length, none longer than two hours unless one piece is. */
  closeBatches(): void {
    for (const [lineId, { piece, product, pieceIds }] of this.batches) {
      const perBatch = Math.max(1, Math.floor(LONGEST_BATCH_S / product.sewS));
      const batches = Math.ceil(pieceIds.length / perBatch);
      for (let index = 0; index < batches; index++) {
        const ids = pieceIds.slice(
          Math.round((index * pieceIds.length) / batches),
          Math.round(((index + 1) * pieceIds.length) / batches),
        );
        const id = `${lineId}/${index + 1}`;
        this.chores.push({
          id,
          machine: null,
          seconds: ids.length * product.sewS,
          releaseAt: 0,
          dueAt: this.clock.dueAt(piece.ship_by),
          weight: this.weight(piece),
        });
        this.choreContexts.push({
          choreId: id,
          title: `Sew ${ids.length} × ${product.name}`,
          machineId: null,
          pieceIds: ids,
          orderReference: piece.reference,
          shipBy: piece.ship_by,
          ruleId: null,
          needle: null,
          instructions: [],
          caution: product.caution,
        });
      }
    }
  }

  /** Care that falls due: a chore at its machine, or of a person alone where the plan has no such machine. */
  takeCare(chores: readonly CareOfPlan[]): void {
    for (const { chore, context } of chores) {
      this.chores.push(chore);
      this.choreContexts.push(context);
    }
  }

  private takeJob(
    piece: OpenPiece,
    product: Kept<shapes.ProductBody>,
    job: JobTable,
    begun: boolean,
    leave: (why: string, advice: string) => void,
  ): void {
    const { hoops, threads } = this.records;
    const version = this.versionOf(job);
    if (!version) return leave("it has no design", "Open the piece and choose a design.");
    const threadIds = JSON.parse(job.thread_ids) as (string | null)[];
    const bare = version.parts.findIndex((_, part) => !threads.has(threadIds[part] ?? ""));
    if (bare >= 0)
      return leave(
        `part ${bare + 1} of ${version.designName} has no thread`,
        "Open the design and choose a thread for each part.",
      );
    const out = threadIds.find((id) => id !== null && this.marks.threadsOut.has(id));
    if (out)
      return leave(
        `thread ${threads.get(out)?.code ?? ""} is used up`,
        "Say so at a station or on Threads when a cone is there again, or choose another thread.",
      );
    const hoop = job.hoop_id === null ? null : (hoops.get(job.hoop_id) ?? null);
    const fits = this.machinesFor(piece, job, version, hoop);
    if ("why" in fits) return leave(fits.why, fits.advice);
    const parts = version.parts.map((part, index) => ({
      colour: threadIds[index]!,
      stitches: part.stitches,
    }));
    this.jobs.push({
      id: job.id,
      parts,
      trims: version.trims,
      hoop: hoop?.id ?? null,
      machines: this.marks.kept({ jobId: job.id, machineIds: fits.ids }),
      releaseAt: begun ? 0 : this.clock.secondOf(this.marks.skippedUntil.get(job.id) ?? 0),
      dueAt: this.clock.dueAt(piece.ship_by),
      weight: this.weight(piece),
      ...this.timesOf(job, product.id),
      // A piece that is hooped already needs no hooping.
      ...(begun ? { hoopS: 0 } : {}),
    });
    if (piece.urgency === "first") this.first.push(job.id);
    if (begun) {
      const start = piece.state === "sewing" ? this.moves.starts.get(piece.id) : undefined;
      const told = this.moves.told.get(piece.id) ?? null;
      this.begun.push({
        jobId: job.id,
        // A piece that is loaded is on its machine, whether the machine runs or not.
        state: told?.isOnMachine ? "sewing" : (piece.state as BegunPiece["state"]),
        machineId: told?.machineId ?? start?.machineId ?? piece.pinned_machine_id,
        sinceMs: start?.atMs ?? piece.state_changed_at_ms,
        told,
      });
    }
    this.jobContexts.push(this.contextOf(piece, product, job));
  }

  private versionOf(job: JobTable) {
    return job.design_version_id === null ? undefined : this.records.versions.get(job.design_version_id);
  }

  /** What pages show of a job. */
  private contextOf(piece: OpenPiece, product: Kept<shapes.ProductBody>, job: JobTable): JobContext {
    const { hoops, threads, stock } = this.records;
    const version = this.versionOf(job);
    const placement = product.placements.find((one) => one.id === job.placement_id);
    const threadIds = JSON.parse(job.thread_ids) as (string | null)[];
    const nameOfStock = (id: string | null | undefined) =>
      id === null || id === undefined ? null : (stock.get(id)?.name ?? null);
    return {
      jobId: job.id,
      pieceId: piece.id,
      pieceCode: piece.code,
      title: piece.personal_text || (version?.designName ?? product.name),
      personalText: piece.personal_text,
      product: product.name,
      placement: job.placement_name,
      where: placement?.where ?? "",
      hoopName: job.hoop_id === null ? null : (hoops.get(job.hoop_id)?.name ?? null),
      backing: nameOfStock(placement?.backingId),
      topping: nameOfStock(placement?.toppingId),
      needleAdvice: placement ? needleWords(placement.needleSizeNm, placement.needlePoint) : "",
      orderId: piece.order_id,
      orderReference: piece.reference,
      customer: piece.customer,
      promiseDate: piece.promise_date,
      shipBy: piece.ship_by,
      designVersionId: version?.id ?? null,
      designName: version?.designName ?? "",
      parts: (version?.parts ?? []).flatMap((part, index) => {
        const threadId = threadIds[index];
        return threadId && threads.has(threadId) ? [{ threadId, stitches: part.stitches }] : [];
      }),
      caution: product.caution,
    };
  }

  /** Times of a job's hand work: its own, else what the floor has taught, else what is usual. */
  private timesOf(
    job: JobTable,
    productId: string,
  ): Pick<Problem["jobs"][number], "hoopS" | "unhoopS" | "finishS"> {
    const { studio, hoops } = this.records;
    const hoop = job.hoop_id === null ? null : (hoops.get(job.hoop_id) ?? null);
    const times = handTimes(
      { hoopS: job.hoop_s, unhoopS: job.unhoop_s, finishS: job.finish_s },
      hoop,
      studio.body.stepTimes,
    );
    return { ...times, ...this.learned(job, hoop?.id ?? null, productId, times) };
  }

  /** Times of the hands as the floor has taught them, where no time of the run's own is set. */
  private learned(
    job: JobTable,
    hoopId: string | null,
    productId: string,
    usual: { readonly unhoopS: number; readonly finishS: number },
  ): { hoopS?: number; unhoopS?: number; finishS?: number } {
    const hoopS = job.hoop_s === null && hoopId !== null ? this.planned("hooping", hoopId) : null;
    const both = job.unhoop_s === null && job.finish_s === null ? this.planned("finishing", productId) : null;
    // Un-hooping and finishing are told as one; they share what was measured as they share what is usual.
    const share = usual.unhoopS / Math.max(1, usual.unhoopS + usual.finishS);
    const unhoopS = both === null ? null : Math.round(both * share);
    return {
      ...(hoopS === null ? {} : { hoopS }),
      ...(both === null || unhoopS === null ? {} : { unhoopS, finishS: both - unhoopS }),
    };
  }

  /** The machines that may sew the job, or why none can, with both sizes. */
  private machinesFor(
    piece: OpenPiece,
    job: JobTable,
    version: shapes.DesignVersion,
    hoop: Kept<shapes.HoopBody> | null,
  ): { ids: string[] } | { why: string; advice: string } {
    const { left, right, bottom, top } = version.extentsMm;
    const [width, height] = [right - left, top - bottom];
    const size = `${width.toFixed(0)} × ${height.toFixed(0)} mm`;
    if (hoop && (width > hoop.fieldWidthMm || height > hoop.fieldHeightMm))
      return {
        why: `the design is ${size}; hoop ${hoop.name} takes ${hoop.fieldWidthMm} × ${hoop.fieldHeightMm} mm`,
        advice: "Choose a larger hoop or a smaller design.",
      };
    const allowed = job.machine_ids === null ? null : new Set(JSON.parse(job.machine_ids) as string[]);
    const taking = [...this.records.machines.values()].filter(
      (machine) =>
        embroiders(machine) &&
        (allowed === null || allowed.has(machine.id)) &&
        (hoop === null || machine.hoopIds.includes(hoop.id)),
    );
    if (taking.length === 0)
      return {
        why: hoop ? `no machine allowed for it takes hoop ${hoop.name}` : "no machine is allowed for it",
        advice: "Say on Machines which hoops each machine takes, or allow more machines.",
      };
    const wide = taking.filter((machine) => width <= machine.fieldWidthMm && height <= machine.fieldHeightMm);
    if (wide.length === 0) {
      const largest = taking.reduce((a, b) =>
        a.fieldWidthMm * a.fieldHeightMm >= b.fieldWidthMm * b.fieldHeightMm ? a : b,
      );
      return {
        why: `the design is ${size}; the largest field that takes its hoop is ${largest.name}'s ${largest.fieldWidthMm} × ${largest.fieldHeightMm} mm`,
        advice: "Choose a smaller design or another hoop.",
      };
    }
    if (piece.pinned_machine_id === null) return { ids: wide.map(({ id }) => id) };
    if (wide.some(({ id }) => id === piece.pinned_machine_id)) return { ids: [piece.pinned_machine_id] };
    const pinned = this.records.machines.get(piece.pinned_machine_id)?.name ?? "a machine that is gone";
    return {
      why: `it is pinned to ${pinned}, which cannot sew it`,
      advice: `Unpin it; ${wide.map(({ name }) => name).join(", ")} can.`,
    };
  }

  private weight(piece: OpenPiece): number {
    return piece.urgency === "first" ? FIRST_WEIGHT : 1;
  }

  private leave(
    piece: OpenPiece,
    product: Kept<shapes.ProductBody> | undefined,
    why: string,
    advice: string,
  ): void {
    if (this.leftOut.some((one) => one.pieceId === piece.id && one.why === why)) return;
    this.leftOut.push({
      pieceId: piece.id,
      pieceCode: piece.code,
      title: piece.personal_text || (product?.name ?? piece.code),
      product: product?.name ?? "",
      shipBy: piece.ship_by,
      why,
      advice,
    });
  }
}

function waitingWords(waitingFor: string | null): string {
  const words: Readonly<Record<string, string>> = {
    stock: "waits for stock",
    artwork: "waits for artwork",
    approval: "waits for the customer's yes",
  };
  return words[waitingFor ?? ""] ?? "waits";
}
