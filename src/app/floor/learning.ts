import type { shapes } from "#contract";
import {
  type BreakObservation,
  learnBreaks,
  learnedBreaks,
  learnedTime,
  type LearnedBreaks,
  type LearnedQuantity,
  type LearnedTimes,
  type LearnedValue,
  learnTimes,
  measuredTimes,
  quantityKinds,
  type Run,
  type TimeObservation,
} from "#core/floor";
import { handTimes, instantOf, localTime, machineTimes } from "#core/shop";
import type { Store } from "#store";
import type { Answers, Context } from "../context";
import { allOf, type Kept, studioOf, type StudioKept } from "../records";
import { floorRefusals } from "./refusals";
import { eventOf, runOfRow, takenBackBy } from "./rows";

/**
 * What the floor has taught, and where a plan takes its times from: a time set on a record or fixed by hand first, then
 * what was learned, then what is usual. It is learned anew each night, from what happened before today, so that a plan
 * does not change under people's hands because they worked.
 */

type Reader = Store["db"];

/** So far back the floor is looked at; the estimators let older ones fade besides. */
const DAYS_BACK = 120;
const MOST_EVENTS = 60_000;
const FIXED_KEY = "learned-fixed";

export interface Learnt {
  readonly times: LearnedTimes;
  readonly breaks: LearnedBreaks;
  /** Values fixed by hand, by `quantity subject`. */
  readonly fixed: ReadonlyMap<string, number>;
}

interface Records {
  readonly studio: StudioKept;
  readonly machines: ReadonlyMap<string, Kept<shapes.MachineBody>>;
  readonly hoops: ReadonlyMap<string, Kept<shapes.HoopBody>>;
  readonly products: ReadonlyMap<string, Kept<shapes.ProductBody>>;
}

const remembered = new WeakMap<Reader, { readonly key: string; readonly learnt: Omit<Learnt, "fixed"> }>();

/** What is known this morning; worked out once a day and again when a record's own times change it. */
export async function learntBy(db: Reader, records: Records, nowMs: number): Promise<Learnt> {
  const zone = records.studio.body.timeZone;
  const midnightMs = instantOf(zone, localTime(zone, nowMs).date, 0);
  const newest = await db
    .selectFrom("floor_events")
    .select("seq")
    .where("recorded_at_ms", "<", midnightMs)
    .orderBy("seq", "desc")
    .limit(1)
    .executeTakeFirst();
  const key = `${newest?.seq ?? 0} ${midnightMs} ${records.studio.version}`;
  const known = remembered.get(db);
  const learnt = known?.key === key ? known.learnt : await learn(db, records, midnightMs);
  remembered.set(db, { key, learnt });
  return { ...learnt, fixed: await fixedValues(db) };
}

async function fixedValues(db: Reader): Promise<Map<string, number>> {
  const row = await db.selectFrom("settings").select("value").where("key", "=", FIXED_KEY).executeTakeFirst();
  return new Map(row ? Object.entries(JSON.parse(row.value) as Record<string, number>) : []);
}

async function learn(db: Reader, records: Records, beforeMs: number): Promise<Omit<Learnt, "fixed">> {
  const sinceMs = beforeMs - DAYS_BACK * 86_400_000;
  const [rows, runRows] = await Promise.all([
    db
      .selectFrom("floor_events")
      .selectAll()
      .where("at_ms", ">=", sinceMs)
      .where("at_ms", "<", beforeMs)
      .orderBy("at_ms", "desc")
      .limit(MOST_EVENTS)
      .execute(),
    db
      .selectFrom("floor_runs")
      .select("run")
      .where("last_at_ms", ">=", sinceMs)
      .where("last_at_ms", "<", beforeMs)
      .orderBy("last_at_ms", "desc")
      .limit(MOST_EVENTS)
      .execute(),
  ]);
  const taken = takenBackBy(rows);
  const events = rows.flatMap((row) => {
    const event = taken.has(row.id) ? null : eventOf(row);
    return event && event.kind !== "taken-back" ? [event] : [];
  });
  const runs = new Map(runRows.map(runOfRow).map((run) => [run.jobId, run]));
  const usual = usualTimes(records);
  const measured = measuredTimes({ events, runs, stepsOf: usual.stepsOf });
  const observations = measured.flatMap((one): TimeObservation[] => {
    const value = usual.of(one.quantity, one);
    return value === null ? [] : [{ ...one, usual: value }];
  });
  return { times: learnTimes(observations), breaks: learnBreaks([...runs.values()].flatMap(breaksOf)) };
}

const breaksOf = (run: Run): BreakObservation[] =>
  run.machineId === null || !run.facts || run.endedAtMs === null || run.estimated
    ? []
    : [
        {
          machineId: run.machineId,
          threadId: null,
          stitches: run.facts.stitches,
          breaks: run.stops.filter((stop) => stop.why === "thread-broke").length,
          atMs: run.endedAtMs,
        },
      ];

interface Subject {
  readonly machineId: string | null;
  readonly hoopId: string | null;
  readonly productId: string | null;
}

/** What would be planned without learning. */
function usualTimes({ studio, machines, hoops, products }: Records) {
  const steps = studio.body.stepTimes;
  const machineOf = (id: string | null) => (id === null ? undefined : machines.get(id));
  const times = (id: string | null) => {
    const machine = machineOf(id);
    return machine ? machineTimes(machine, steps) : null;
  };
  return {
    stepsOf: (machineId: string) =>
      times(machineId) ?? { colourChangeS: steps.colourChangeS, trimS: steps.trimS },
    of(quantity: LearnedQuantity, { machineId, hoopId, productId }: Subject): number | null {
      switch (quantity) {
        case "threading":
          return times(machineId)?.threadS ?? null;
        case "loading":
          return times(machineId)?.loadS ?? null;
        case "sewing-speed":
          return machineOf(machineId)?.stitchesPerMinute ?? null;
        case "hooping": {
          const hoop = hoopId === null ? null : (hoops.get(hoopId) ?? null);
          return hoop ? handTimes({ hoopS: null, unhoopS: null, finishS: null }, hoop, steps).hoopS : null;
        }
        case "finishing":
          return productId !== null && products.has(productId) ? steps.unhoopS + steps.finishS : null;
      }
    },
  };
}

/** A time set on the record itself: no learning overrules it. */
function fixedOnRecord({ machines, hoops }: Records, quantity: LearnedQuantity, id: string): number | null {
  switch (quantity) {
    case "threading":
      return machines.get(id)?.times.threadS ?? null;
    case "loading":
      return machines.get(id)?.times.loadS ?? null;
    case "hooping":
      return hoops.get(id)?.hoopS ?? null;
    default:
      return null;
  }
}

const subjectKey: Readonly<Record<LearnedQuantity, keyof Subject>> = {
  threading: "machineId",
  loading: "machineId",
  "sewing-speed": "machineId",
  hooping: "hoopId",
  finishing: "productId",
};

/** What is believed of one subject; null where nothing is usual for it either. */
export function believed(
  learnt: Learnt,
  records: Records,
  quantity: LearnedQuantity,
  subjectId: string,
):
  | (LearnedValue & { readonly usual: number; readonly isOnRecord: boolean; readonly fixed: number | null })
  | null {
  const key = {
    machineId: null,
    hoopId: null,
    productId: null,
    threadId: null,
    [subjectKey[quantity]]: subjectId,
  };
  const usual = usualTimes(records).of(quantity, key);
  if (usual === null) return null;
  const onRecord = fixedOnRecord(records, quantity, subjectId);
  const fixed = onRecord ?? learnt.fixed.get(`${quantity} ${subjectId}`) ?? null;
  const value = learnedTime(learnt.times, { quantity, ...key, usual, fixed });
  return { ...value, usual, fixed, isOnRecord: onRecord !== null };
}

/** Whole seconds (or stitches a minute) for a plan; null where nothing was learned and the usual holds. */
export function plannedWith(
  learnt: Learnt,
  records: Records,
  quantity: LearnedQuantity,
  subjectId: string,
): number | null {
  const value = believed(learnt, records, quantity, subjectId);
  return value === null || value.source === "default" ? null : Math.max(1, Math.round(value.average));
}

export function learningAnswers({ store, nowMs }: Context): Pick<Answers, "learnedTimes" | "fixLearned"> {
  const { db } = store;
  const recordsNow = async (): Promise<Records | null> => {
    const [studio, machines, hoops, products] = await Promise.all([
      studioOf(db),
      allOf(db, "machines"),
      allOf(db, "hoops"),
      allOf(db, "products"),
    ]);
    return studio ? { studio, machines, hoops, products } : null;
  };
  const told = (
    learnt: Learnt,
    records: Records,
    quantity: LearnedQuantity,
    id: string,
    name: string,
  ): shapes.Learned[] => {
    const value = believed(learnt, records, quantity, id);
    if (!value) return [];
    const {
      estimate,
      average,
      low,
      high,
      level,
      observations,
      rejected,
      source,
      sentence,
      usual,
      fixed,
      isOnRecord,
    } = value;
    return [
      {
        quantity,
        subjectId: id,
        subject: name,
        unit: quantityKinds[quantity].unit,
        ...{ usual, estimate, average, low, high, level, observations, rejected, source, sentence, fixed },
        fixedOnRecord: isOnRecord,
      },
    ];
  };
  const all = async () => {
    const records = await recordsNow();
    if (!records) return { times: [], breaks: [] };
    const learnt = await learntBy(db, records, nowMs());
    const machines = [...records.machines.values()].filter(
      (one) => !one.archived && one.kind !== "straight-stitch",
    );
    const hoops = [...records.hoops.values()].filter((one) => !one.archived);
    const products = [...records.products.values()].filter(
      (one) => !one.archived && one.kind === "embroidered",
    );
    return {
      times: [
        ...(["sewing-speed", "threading", "loading"] as const).flatMap((quantity) =>
          machines.flatMap((one) => told(learnt, records, quantity, one.id, one.name)),
        ),
        ...hoops.flatMap((one) => told(learnt, records, "hooping", one.id, one.name)),
        ...products.flatMap((one) => told(learnt, records, "finishing", one.id, one.name)),
      ],
      breaks: machines.map((one) => {
        const rate = learnedBreaks(learnt.breaks, { machineId: one.id, threadId: null, fixed: null });
        return {
          machineId: one.id,
          machine: one.name,
          perThousand: rate.estimate,
          ...{
            low: rate.low,
            high: rate.high,
            level: rate.level,
            breaks: rate.breaks,
            stitches: rate.stitches,
          },
          ...{ source: rate.source, sentence: rate.sentence },
        };
      }),
    };
  };
  return {
    learnedTimes: all,
    fixLearned: async ({ body }, call) => {
      const records = await recordsNow();
      const nameOf = (id: string) =>
        (records?.machines.get(id) ?? records?.hoops.get(id) ?? records?.products.get(id))?.name ?? id;
      await store.write(
        {
          who: call.who,
          what: `Fixed ${quantityKinds[body.quantity].name.toLowerCase()} of ${nameOf(body.subjectId)}`,
        },
        async (writing) => {
          const fixed = await fixedValues(writing.db);
          const key = `${body.quantity} ${body.subjectId}`;
          if (body.value === null) fixed.delete(key);
          else fixed.set(key, body.value);
          await writing.db.deleteFrom("settings").where("key", "=", FIXED_KEY).execute();
          await writing.db
            .insertInto("settings")
            .values({ key: FIXED_KEY, value: JSON.stringify(Object.fromEntries(fixed)) })
            .execute();
          writing.touch("floor");
        },
      );
      const one = (await all()).times.find(
        (time) => time.quantity === body.quantity && time.subjectId === body.subjectId,
      );
      if (!one) throw floorRefusals("nothing-to-fix", `There is no ${body.quantity} of ${body.subjectId}.`);
      return one;
    },
  };
}
