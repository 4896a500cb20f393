import type { costs, shapes } from "#contract";
import { type Known, machineHour, type MachineHour } from "#core/costing";
import type { Store } from "#store";
import { believed, learntBy, type Learnt } from "../floor/learning";
import { allOf, type Kept, studioOf, type StudioKept } from "../records";
import { refuseApp } from "../refusals";
import { type Asking, asking, knownBy, leastKnown } from "./missing";
import { type Figures, figuresOf, settingsOf } from "./records";
import { measuredRepairs, type MeasuredRepairs } from "./repairs";

/** All that costs are counted from, read once for a request. */

type Reader = Store["db"];

/** From so many pieces or runs on a measured share is believed. */
const ENOUGH = 20;
/** So far back threadings are counted. */
const DAYS_BACK = 120;

export interface Measured {
  readonly spoiled: { readonly share: number; readonly pieces: number } | null;
  readonly threadings: { readonly perRun: number; readonly runs: number } | null;
}

/** What an hour of a machine costs and where that comes from; null while a figure is missing. */
export interface MachineCost {
  readonly hour: MachineHour | null;
  readonly known: Known;
  readonly missing: readonly costs.MissingFigure[];
  /** From the floor's log; null while it says too little. */
  readonly repairs: MeasuredRepairs | null;
}

export interface CostGround {
  readonly studio: StudioKept;
  readonly version: number;
  readonly settings: costs.CostSettings;
  readonly figures: Figures;
  readonly measured: Measured;
  readonly stock: ReadonlyMap<string, Kept<shapes.StockBody>>;
  readonly threads: ReadonlyMap<string, Kept<shapes.ThreadBody>>;
  readonly machines: ReadonlyMap<string, Kept<shapes.MachineBody>>;
  readonly hoops: ReadonlyMap<string, Kept<shapes.HoopBody>>;
  readonly products: ReadonlyMap<string, Kept<shapes.ProductBody>>;
  readonly machineCosts: ReadonlyMap<string, MachineCost>;
  /** A learned time or what is usual, with where it comes from; null where nothing is usual either. */
  readonly time: (
    quantity: Parameters<typeof believed>[2],
    subjectId: string,
  ) => { readonly value: number; readonly known: Known } | null;
}

export async function costGround(db: Reader, nowMs: number): Promise<CostGround> {
  const studio = await studioOf(db);
  if (!studio) throw refuseApp("not-set-up", "There is no studio to count costs for.");
  const [kept, figures, stock, threads, machines, hoops, products, spoiled, threadings, repairs] =
    await Promise.all([
      settingsOf(db),
      figuresOf(db),
      allOf(db, "stock"),
      allOf(db, "threads"),
      allOf(db, "machines"),
      allOf(db, "hoops"),
      allOf(db, "products"),
      spoiledShare(db),
      threadingsPerRun(db, nowMs),
      measuredRepairs(db),
    ]);
  const records = { studio, machines, hoops, products };
  const learnt: Learnt = await learntBy(db, records, nowMs);
  const times = new Map<string, { value: number; known: Known } | null>();
  return {
    studio,
    ...kept,
    figures,
    measured: { spoiled, threadings },
    ...{ stock, threads, machines, hoops, products },
    machineCosts: new Map(
      [...machines.values()].map((one) => [
        one.id,
        machineCost(one, figures.machines.get(one.id), kept.settings, repairs.get(one.id) ?? null),
      ]),
    ),
    time(quantity, subjectId) {
      const key = `${quantity} ${subjectId}`;
      const there = times.get(key);
      if (there !== undefined) return there;
      const value = believed(learnt, records, quantity, subjectId);
      const found =
        value === null
          ? null
          : {
              value: value.source === "default" ? value.usual : value.average,
              known: quantity === "sewing-speed" && value.source === "default" ? byRecord : knownOf(value),
            };
      times.set(key, found);
      return found;
    },
  };
}

/** A machine's speed stands on its record. */
const byRecord: Known = { by: "entered" };

const knownOf = ({
  source,
  observations,
}: {
  readonly source: "learned" | "default" | "fixed";
  readonly observations: number;
}): Known =>
  source === "learned"
    ? { by: "measured", count: observations }
    : { by: source === "fixed" ? "entered" : "common-practice" };

/** Of the pieces that came to an end, the share that was spoiled; null below twenty. */
async function spoiledShare(db: Reader): Promise<Measured["spoiled"]> {
  const rows = await db
    .selectFrom("pieces")
    .select(({ fn }) => ["state", fn.countAll<number | string>().as("count")])
    .where("state", "in", ["done", "packed", "shipped", "spoiled"])
    .groupBy("state")
    .execute();
  const pieces = rows.reduce((sum, row) => sum + Number(row.count), 0);
  const spoiled = Number(rows.find((row) => row.state === "spoiled")?.count ?? 0);
  return pieces < ENOUGH ? null : { share: spoiled / pieces, pieces };
}

/** Threadings told at stations for each run that began there; null below twenty runs. */
async function threadingsPerRun(db: Reader, nowMs: number): Promise<Measured["threadings"]> {
  const rows = await db
    .selectFrom("floor_events")
    .select(({ fn }) => ["kind", fn.countAll<number | string>().as("count")])
    .where("at_ms", ">=", nowMs - DAYS_BACK * 86_400_000)
    .where("kind", "in", ["threaded", "loaded"])
    .groupBy("kind")
    .execute();
  const of = (kind: string) => Number(rows.find((row) => row.kind === kind)?.count ?? 0);
  const runs = of("loaded");
  return runs < ENOUGH ? null : { perRun: of("threaded") / runs, runs };
}

type MachineFigure = Extract<costs.CostFigure, { of: "machine" }>;

function machineCost(
  machine: Kept<shapes.MachineBody>,
  figure: MachineFigure | undefined,
  { energyCentsPerKwh }: costs.CostSettings,
  repairs: MeasuredRepairs | null,
): MachineCost {
  const needed = asking();
  const need = askFor(machine, needed);
  const price = machine.bought
    ? { value: machine.bought.priceCents, from: "entered" as const }
    : need(figure?.priceCents, "what it was bought for");
  const life = need(figure?.lifeHours, "how many hours it lasts");
  const resale = need(figure?.resaleCents, "what it brings when sold");
  const service = need(figure?.serviceCents, "what a service costs");
  const every = need(figure?.serviceEveryHours, "after how many hours it is serviced");
  // What was told at the machine goes before what was typed.
  const repair = repairs
    ? { value: repairs.centsPerHour, from: "entered" as const }
    : need(figure?.repairCentsPerHour, "what repairs cost an hour");
  const power = need(figure?.powerKw, "its power");
  const energy = energyCentsPerKwh ?? needed.ask("the price of energy", "settings");
  const all = [price, life, resale, service, every, repair, power, energy];
  if (!price || !life || !resale || !service || !every || !repair || !power || !energy)
    return { hour: null, known: { by: "guessed" }, missing: needed.found, repairs };
  return {
    hour: machineHour({
      priceCents: price.value,
      resaleCents: Math.min(resale.value, price.value),
      lifeHours: life.value,
      serviceCents: service.value,
      serviceEveryHours: every.value,
      repairCentsPerHour: repair.value,
      powerKw: power.value,
      energyCentsPerKwh: energy.value,
    }),
    known: leastKnown(...all.map((one) => knownBy(one!.from))),
    missing: [],
    repairs,
  };
}

type Figure = NonNullable<costs.CostSettings["wageCentsPerHour"]>;

const askFor =
  ({ id, name }: { readonly id: string; readonly name: string }, needed: Asking) =>
  (figure: Figure | null | undefined, words: string): Figure | null =>
    figure ?? needed.ask(`${name}: ${words}`, "machine", id);
