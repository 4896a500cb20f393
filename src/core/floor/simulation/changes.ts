/** What could be otherwise in the shop, one plain change at a time; any set of them makes another shop. */
import { invariant } from "#core/base";
import type { Interval, Job, PlanningMachine, Hand } from "#core/planning";
import { drawAt, nameNumber } from "./draws";
import { joinedHours } from "./hours";
import type { SimulatedShop } from "./shop";

export type Change =
  /** So many frames of a kind more, or fewer. */
  | { readonly change: "hoops"; readonly hoop: string; readonly more: number }
  /** Hooping in this kind takes `factor` of the time: magnetic instead of screw. */
  | { readonly change: "hooping-time"; readonly hoop: string; readonly factor: number }
  /**
   * A machine more, with the care of `like`. Pieces that may go to `like` may go to it too; with a field of its own, those
   * that fit in it, in a hoop it takes.
   */
  | {
      readonly change: "machine-added";
      readonly machine: PlanningMachine;
      readonly like: string | null;
      readonly fieldMm?: Size | null;
    }
  | { readonly change: "machine-removed"; readonly machine: string }
  | { readonly change: "hand-added"; readonly hand: Hand }
  | { readonly change: "hand-removed"; readonly hand: string }
  /** The commonest threads of the season stay on a machine's first needles. */
  | { readonly change: "fixed-threads"; readonly machine: string; readonly count: number }
  /** Open hours and everybody's last stretch of the day end later, or earlier. */
  | { readonly change: "day-length"; readonly moreS: number }
  /** A machine is away for these times as well: it failed, and is repaired elsewhere. */
  | { readonly change: "machine-away"; readonly machine: string; readonly spans: readonly Interval[] }
  /** Time away for service becomes `factor` of what it is. */
  | { readonly change: "service-away"; readonly factor: number }
  /** 1.2: a fifth more pieces like those there are; 0.8: a fifth fewer. */
  | { readonly change: "orders"; readonly factor: number }
  /** Something new: so many pieces for each that comes, each in so many of the colours that are asked for. */
  | {
      readonly change: "product-added";
      /** Keeps the pieces of two new products apart. */
      readonly nth: number;
      readonly share: number;
      readonly colours: number;
      readonly stitches: number;
      readonly piece: NewPiece;
    }
  /** Each of the goods sewn by hands takes so many seconds less, but no less than a share of what it took. */
  | { readonly change: "sewing-time"; readonly savedS: number; readonly leastShare: number };

/** A piece of something new without its colours and dates. */
export type NewPiece = Pick<Job, "trims" | "hoop" | "machines" | "hoopS" | "unhoopS" | "finishS">;

const ORDERS = 50;
const NEW = 51;
const COLOUR = 52;

/** The shop with its changes, in their order. `seed` names the luck by which pieces are added or left out. */
export const changedShop = (shop: SimulatedShop, changes: readonly Change[], seed: number): SimulatedShop =>
  changes.reduce((sofar, change) => withChange(sofar, change, seed), shop);

type Problem = SimulatedShop["problem"];

function withChange(shop: SimulatedShop, change: Change, seed: number): SimulatedShop {
  const { problem } = shop;
  const set = (more: Partial<Problem>): SimulatedShop => ({ ...shop, problem: { ...problem, ...more } });
  switch (change.change) {
    case "hoops":
      known(problem.hoops, change.hoop);
      return set({
        hoops: problem.hoops.map((kind) =>
          kind.id === change.hoop ? { ...kind, count: Math.max(0, kind.count + change.more) } : kind,
        ),
      });
    case "hooping-time":
      known(problem.hoops, change.hoop);
      return set({
        jobs: problem.jobs.map((job) =>
          job.hoop === change.hoop ? { ...job, hoopS: Math.round(job.hoopS * change.factor) } : job,
        ),
      });
    case "machine-added":
      return {
        ...set({
          machines: [...problem.machines, change.machine],
          jobs: problem.jobs.map((job) =>
            job.machines !== null && mayGo(job, change)
              ? { ...job, machines: [...job.machines, change.machine.id] }
              : job,
          ),
        }),
        care: [...shop.care, ...careLike(shop.care, change.like, change.machine.id)],
      };
    case "machine-removed":
      known(problem.machines, change.machine);
      return {
        ...set({
          machines: problem.machines.filter(({ id }) => id !== change.machine),
          chores: problem.chores.filter(({ machine }) => machine !== change.machine),
        }),
        care: shop.care.filter(({ machine }) => machine !== change.machine),
      };
    case "hand-added":
      return set({ hands: [...problem.hands, change.hand] });
    case "hand-removed":
      known(problem.hands, change.hand);
      return set({ hands: problem.hands.filter(({ id }) => id !== change.hand) });
    case "fixed-threads":
      known(problem.machines, change.machine);
      return set({
        machines: problem.machines.map((machine) =>
          machine.id === change.machine
            ? withFixed(machine, commonest(problem.jobs, machine, change.count))
            : machine,
        ),
      });
    case "day-length":
      return set({
        open: longer(problem.open, change.moreS),
        hands: problem.hands.map((hand) => ({ ...hand, shifts: longer(hand.shifts, change.moreS) })),
      });
    case "machine-away":
      known(problem.machines, change.machine);
      return set({
        machines: problem.machines.map((machine) =>
          machine.id === change.machine
            ? { ...machine, down: joinedHours([...machine.down, ...change.spans]) }
            : machine,
        ),
      });
    case "service-away":
      return set({
        machines: problem.machines.map((machine) => ({
          ...machine,
          down: machine.down
            .map(([from, to]): Interval => [from, from + Math.round((to - from) * change.factor)])
            .filter(([from, to]) => to > from),
        })),
      });
    case "orders":
      return set({
        jobs: moreOrFewer(problem.jobs, change.factor, seed),
        // Sewn goods are orders too: they are the chores of hands alone.
        chores: [
          ...problem.chores.filter(({ machine }) => machine !== null),
          ...moreOrFewer(
            problem.chores.filter(({ machine }) => machine === null),
            change.factor,
            seed,
          ),
        ],
      });
    case "product-added":
      return set({ jobs: [...problem.jobs, ...newPieces(problem.jobs, change, seed)] });
    case "sewing-time":
      return set({
        chores: problem.chores.map((chore) =>
          chore.machine === null
            ? {
                ...chore,
                seconds: Math.round(
                  Math.max(change.leastShare * chore.seconds, chore.seconds - change.savedS),
                ),
              }
            : chore,
        ),
      });
  }
}

export type Size = readonly [widthMm: number, heightMm: number];
/** Pieces whose size is known fit in a field or not. */
type SizedJob = Job & { readonly sizeMm?: Size };

function mayGo(
  job: SizedJob,
  { like, machine, fieldMm = null }: Extract<Change, { change: "machine-added" }>,
) {
  const { sizeMm } = job;
  if (fieldMm === null || sizeMm === undefined) return like !== null && job.machines!.includes(like);
  const takesHoop = job.hoop === null || machine.hoops.includes(job.hoop);
  return takesHoop && sizeMm[0] <= fieldMm[0] && sizeMm[1] <= fieldMm[1];
}

const careLike = (care: SimulatedShop["care"], like: string | null, machine: string): SimulatedShop["care"] =>
  care.filter((one) => one.machine === like).map((one) => ({ ...one, machine }));

function known(things: readonly { readonly id: string }[], id: string): void {
  invariant(
    things.some((thing) => thing.id === id),
    `a change names what is there (${id})`,
  );
}

/** The colours most pieces ask for among those that may go to the machine. */
function commonest(jobs: readonly Job[], machine: PlanningMachine, count: number): readonly string[] {
  const wanted = new Map<string, number>();
  for (const job of jobs) {
    if (job.machines !== null && !job.machines.includes(machine.id)) continue;
    for (const colour of new Set(job.parts.map((part) => part.colour)))
      wanted.set(colour, (wanted.get(colour) ?? 0) + 1);
  }
  return [...wanted]
    .sort((a, b) => b[1] - a[1] || (a[0] < b[0] ? -1 : 1))
    .slice(0, count)
    .map(([colour]) => colour);
}

/** At least one needle stays free for all other threads. */
function withFixed(machine: PlanningMachine, colours: readonly string[]): PlanningMachine {
  const kept = colours.slice(0, machine.needles - 1);
  const rest = machine.threaded
    .slice(kept.length)
    .map((colour) => (colour !== null && kept.includes(colour) ? null : colour));
  return { ...machine, threaded: [...kept, ...rest], fixed: kept.map((_, at) => at + 1) };
}

const DAY_GAP_S = 4 * 3600;

/** What is followed by a long gap is the last stretch of a day, and ends later; never beyond the next one's start. */
function longer(hours: readonly Interval[], moreS: number): Interval[] {
  const joined = joinedHours(hours);
  return joined
    .map(([from, to], at): Interval => {
      const next = joined[at + 1]?.[0] ?? Infinity;
      return next - to < DAY_GAP_S ? [from, to] : [from, Math.min(to + moreS, next)];
    })
    .filter(([from, to]) => to > from);
}

/** By each piece's own draw: raising the factor adds to the pieces that were there, lowering it takes from them. */
function moreOrFewer<One extends { readonly id: string }>(
  pieces: readonly One[],
  factor: number,
  seed: number,
): readonly One[] {
  const whole = Math.floor(factor);
  return pieces.flatMap((one) => {
    const copies = whole + (drawAt(seed, nameNumber(one.id), ORDERS, 0) < factor - whole ? 1 : 0);
    return Array.from({ length: copies }, (_, at) => (at === 0 ? one : { ...one, id: `${one.id} +${at}` }));
  });
}

/** The name of a new product's piece begins so, its number after it: who counts money knows it by that. */
export const NEW_PIECE = "new product ";

/** They come with the orders that are there; colours are drawn from those of all pieces, as often as those ask for them. */
function newPieces(
  jobs: readonly Job[],
  { nth: product, share, colours, stitches, piece }: Extract<Change, { change: "product-added" }>,
  seed: number,
): Job[] {
  const pool = jobs.flatMap(({ parts }) => parts.map(({ colour }) => colour));
  const draw = (name: number, nth: number) =>
    pool[Math.floor(drawAt(seed, name, COLOUR, nth) * pool.length)]!;
  return jobs.flatMap(({ id, releaseAt, dueAt }) => {
    const name = nameNumber(id);
    const whole = Math.floor(share);
    const count = whole + (drawAt(seed, name, NEW, product) < share - whole ? 1 : 0);
    return Array.from({ length: count }, (_, at): Job => {
      const own = new Set<string>();
      for (let nth = 0; own.size < colours && nth < 20 * colours; nth++) own.add(draw(name, 1000 * at + nth));
      const each = Math.max(1, Math.round(stitches / own.size));
      const parts = [...own].map((colour) => ({ colour, stitches: each }));
      return { ...piece, id: `${NEW_PIECE}${product} ${id} ${at}`, parts, releaseAt, dueAt, weight: 1 };
    });
  });
}
