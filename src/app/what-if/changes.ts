import type { whatIf } from "#contract";
import { failuresBetween } from "#core/costing";
import type { Change, Size } from "#core/floor";
import type { Interval } from "#core/planning";
import { addDays, handTimes, instantOf } from "#core/shop";
import type { PlanClock } from "../plan-clock";
import type { Wear } from "./new-or-used";
import { newMachineId, type ProductPrice } from "./prices";
import { whatIfRefusals } from "./refusals";
import type { Basis } from "./season";
import type { ShopNow } from "./shop";
import { centsWords } from "./words";

/** A card as the simulation takes it, and in words. */
export interface MeantCard {
  readonly changes: readonly Change[];
  readonly words: string;
  readonly priceCents: number;
  readonly monthlyCents: number;
  /** What a new product brings and takes. */
  readonly product?: ProductPrice;
  readonly assumptions?: readonly whatIf.Assumption[];
  /** What it is about: says which measure the answer leads with. */
  readonly about: "threading" | "through" | "hands";
  /** Days a machine is away by it, once a season. */
  readonly daysAway?: number;
}

interface Meaning {
  readonly shop: ShopNow;
  readonly basis: Basis;
  readonly clock: PlanClock;
  /** The wage on Costs; null while there is none. */
  readonly wageCentsPerHour: number | null;
  /** How often machines fail by the repairs on record here; null where none is. */
  readonly repairs: whatIf.RepairsKnown["fitted"];
}

/** `nth` keeps two new machines or people of one question apart. */
export function meantCard(meaning: Meaning, card: whatIf.WhatIfCard, nth: number): MeantCard {
  const { usualMonthlyCents = 0, ...own } = meant(meaning, card.change, nth);
  return {
    ...own,
    priceCents: card.priceCents ?? 0,
    monthlyCents: card.monthlyCents ?? usualMonthlyCents,
    assumptions:
      card.change.change === "hand-added" && card.monthlyCents === null && usualMonthlyCents > 0
        ? [...(own.assumptions ?? []), wageAssumed(usualMonthlyCents, meaning)]
        : (own.assumptions ?? []),
  };
}

const wageAssumed = (monthlyCents: number, { shop }: Meaning): whatIf.Assumption => ({
  what: "A person more costs a month",
  value: `${centsWords(monthlyCents, shop.records.studio.body.currency)}: the wage on Costs for the hours she is there`,
  source: "entered",
  count: null,
});

type Meant = Omit<MeantCard, "priceCents" | "monthlyCents"> & {
  /** Where nobody has said what it costs a month. */
  readonly usualMonthlyCents?: number;
};
type Asked<C extends whatIf.WhatIfChange["change"]> = Extract<whatIf.WhatIfChange, { change: C }>;

function meant(meaning: Meaning, change: whatIf.WhatIfChange, nth: number): Meant {
  const { shop } = meaning;
  switch (change.change) {
    case "hoops": {
      const { id, name } = named(shop.hoops, change.hoopId, "hoop");
      return {
        changes: [{ change: "hoops", hoop: id, more: change.more }],
        words: `${counted(change.more)} of hoop ${name}`,
        about: "through",
      };
    }
    case "magnetic":
      return magnetic(shop, change);
    case "machine-added":
      return machineAdded(meaning, change, nth);
    case "machine-swapped":
      return machineSwapped(meaning, change, nth);
    case "new-product":
      return newProduct(meaning, change, nth);
    case "seam-handling":
      return seamHandling(meaning, change);
    case "machine-removed": {
      const { id, name } = named(shop.machines, change.machineId, "machine");
      return {
        changes: [{ change: "machine-removed", machine: id }],
        words: `${name} sold`,
        about: "through",
      };
    }
    case "hand-added":
      return handAdded(meaning, change, nth);
    case "hand-removed": {
      const { id, name } = named(shop.people, change.personId, "person");
      return { changes: [{ change: "hand-removed", hand: id }], words: `without ${name}`, about: "through" };
    }
    case "fixed-threads": {
      const { id, name } = named(shop.machines, change.machineId, "machine");
      return {
        changes: [{ change: "fixed-threads", machine: id, count: change.count }],
        words: `the ${change.count} commonest threads stay on ${name}`,
        about: "threading",
      };
    }
    case "day-length": {
      const { moreMinutes } = change;
      return {
        changes: [{ change: "day-length", moreS: 60 * moreMinutes }],
        words: `a day ${Math.abs(moreMinutes)} minutes ${moreMinutes < 0 ? "shorter" : "longer"}`,
        about: "through",
      };
    }
    case "service-days": {
      const now = shop.records.studio.body.dealerTurnaroundDays;
      return {
        changes: [{ change: "service-away", factor: now === 0 ? 1 : change.days / now }],
        words: `services of ${change.days} days instead of ${now}`,
        about: "through",
      };
    }
    case "machine-away":
      return machineAway(meaning, change);
    case "orders":
      return {
        changes: [{ change: "orders", factor: 1 + change.percentMore / 100 }],
        words: `${Math.abs(change.percentMore)} % ${change.percentMore < 0 ? "fewer" : "more"} orders`,
        about: "through",
      };
  }
}

function magnetic({ hoops, records }: ShopNow, { hoopId }: Asked<"magnetic">): Meant {
  const { id, name } = named(hoops, hoopId, "hoop");
  const { hoopMagneticS, hoopScrewS } = records.studio.body.stepTimes;
  return {
    changes: [{ change: "hooping-time", hoop: id, factor: hoopMagneticS / Math.max(1, hoopScrewS) }],
    words: `magnetic hoops in the place of ${name}`,
    about: "through",
  };
}

type MachineOwn = Pick<
  Asked<"machine-added">,
  "needles" | "stitchesPerMinute" | "fieldWidthMm" | "fieldHeightMm" | "usedHours"
>;

function machineAdded(meaning: Meaning, change: Asked<"machine-added">, nth: number): Meant {
  const { added, words } = newMachine(meaning, change.likeId, change, nth);
  const used = usedMachine(meaning, change.usedHours, added.machine.id);
  return {
    ...used,
    changes: [added, ...used.changes],
    words: `a ${used.words}machine more like ${words}`,
    about: "through",
  };
}

function machineSwapped(meaning: Meaning, change: Asked<"machine-swapped">, nth: number): Meant {
  const { added, words, name } = newMachine(meaning, change.machineId, change, nth);
  const used = usedMachine(meaning, change.usedHours, added.machine.id);
  return {
    ...used,
    // It comes before the other leaves: its care is as the other's.
    changes: [added, { change: "machine-removed", machine: change.machineId }, ...used.changes],
    words:
      words === name
        ? `another ${used.words}machine for ${name}`
        : `in the place of ${name} a ${used.words}one ${words.slice(name.length + 1)}`,
    about: "through",
  };
}

function newMachine({ shop, basis }: Meaning, likeId: string, own: MachineOwn, nth: number) {
  const { id, name } = named(shop.machines, likeId, "machine");
  const record = shop.records.machines.get(id)!;
  const like = basis.problem.machines.find((machine) => machine.id === id)!;
  const needles = own.needles ?? like.needles;
  const stitchesPerMinute = own.stitchesPerMinute ?? like.stitchesPerMinute;
  const fieldMm: Size | null =
    own.fieldWidthMm === null && own.fieldHeightMm === null
      ? null
      : [own.fieldWidthMm ?? record.fieldWidthMm, own.fieldHeightMm ?? record.fieldHeightMm];
  const machine = {
    ...like,
    id: newMachineId(id, nth + 1),
    needles,
    stitchesPerMinute,
    threaded: Array<null>(needles).fill(null),
    fixed: [],
    down: [],
  };
  const said = [
    ...(own.needles === null ? [] : [`${needles} needles`]),
    ...(own.stitchesPerMinute === null ? [] : [`${stitchesPerMinute} stitches a minute`]),
    ...(fieldMm === null ? [] : [`a field of ${fieldMm[0]} × ${fieldMm[1]} mm`]),
  ];
  const added = { change: "machine-added", machine, like: id, fieldMm } as const satisfies Change;
  return { added, name, words: `${name}${said.length > 0 ? ` with ${said.join(" and ")}` : ""}` };
}

/** What is taken where no repair is on record: as on the page beside it, new or used. A guess. */
const GUESSED_WEAR: Wear = { scaleHours: 3000, shape: 1.5 };
/** Hours a machine runs a year, where nobody has said. A guess. */
const HOURS_A_YEAR = 1500;

/**
 * What the hours on a used machine bring: days it is away in the season played, and its repairs by the month, both as
 * often as the wear on record says for its age. Its failures in a year are spread over the season as their mean.
 */
function usedMachine(
  { shop, basis, clock, repairs }: Meaning,
  hours: number | null,
  machine: string,
): Pick<Meant, "changes" | "assumptions" | "usualMonthlyCents" | "words"> {
  if (hours === null) return { changes: [], assumptions: [], words: "" };
  const { studio } = shop.records;
  const wear = repairs ? { scaleHours: repairs.firstAfterHours, shape: repairs.shape } : GUESSED_WEAR;
  const aYear = failuresBetween(wear, hours, hours + HOURS_A_YEAR);
  const each = studio.body.dealerTurnaroundDays;
  const days = Math.min(basis.days, Math.round((aYear * each * basis.days) / 365));
  const monthlyCents = Math.round((aYear * (repairs?.repairCents ?? 0)) / 12);
  const { currency } = studio.body;
  return {
    changes:
      days > 0 ? [{ change: "machine-away", machine, spans: [awaySpan({ shop, basis, clock }, days)] }] : [],
    words: "used ",
    usualMonthlyCents: monthlyCents,
    assumptions: [
      {
        what: `A machine with ${hours} hours on it fails`,
        value: `${aYear.toFixed(1)} times a year at ${HOURS_A_YEAR} hours, away ${each} days each time: ${days} days of the season`,
        source: repairs ? "measured" : "guessed",
        count: repairs?.count ?? null,
      },
      ...(repairs?.repairCents === undefined || repairs.repairCents === null
        ? [
            {
              what: "Its repairs",
              value: "no cost of a repair is on record: none is counted",
              source: "guessed",
              count: null,
            } as const,
          ]
        : [
            {
              what: "Its repairs",
              value: `${centsWords(monthlyCents, currency)} a month by the repairs on record`,
              source: "measured",
              count: repairs.count,
            } as const,
          ]),
    ],
  };
}

function handAdded(
  { shop, clock, wageCentsPerHour }: Meaning,
  change: Asked<"hand-added">,
  nth: number,
): Meant {
  const { weekdays, startMinute, endMinute } = change;
  const week = Array.from({ length: 7 }, (_, at) =>
    weekdays.includes(at + 1) ? [{ startMinute, endMinute }] : [],
  );
  const shifts = clock.spans(week, shop.records.studio.body.closedDays);
  return {
    changes: [{ change: "hand-added", hand: { id: `new person ${nth + 1}`, shifts } }],
    usualMonthlyCents: Math.round(
      (wageCentsPerHour ?? 0) * ((endMinute - startMinute) / 60) * new Set(weekdays).size * WEEKS_A_MONTH,
    ),
    words: `a person more, ${clockWords(startMinute)}–${clockWords(endMinute)} on ${new Set(weekdays).size} days a week`,
    about: "through",
  };
}

const WEEKS_A_MONTH = 365.25 / 12 / 7;

/** Its pieces come with the orders that come; it may go to every machine that takes its hoop. */
function newProduct({ shop, basis }: Meaning, change: Asked<"new-product">, nth: number): Meant {
  const hoop = change.hoopId === null ? null : named(shop.hoops, change.hoopId, "hoop");
  const machines = basis.problem.machines.filter(({ hoops }) => hoop === null || hoops.includes(hoop.id));
  if (machines.length === 0)
    throw whatIfRefusals("change-unfitting", `No machine takes the hoop ${hoop!.name}.`);
  const speed = machines.reduce((sum, one) => sum + one.stitchesPerMinute, 0) / machines.length;
  const usual = handTimes(
    { hoopS: null, unhoopS: null, finishS: null },
    hoop,
    shop.records.studio.body.stepTimes,
  );
  const usualS = usual.hoopS + usual.unhoopS + usual.finishS;
  const by = change.handMinutes === null || usualS === 0 ? 1 : (60 * change.handMinutes) / usualS;
  const piece = {
    trims: change.colours,
    hoop: hoop?.id ?? null,
    machines: null,
    hoopS: Math.round(by * usual.hoopS),
    unhoopS: Math.round(by * usual.unhoopS),
    finishS: Math.round(by * usual.finishS),
  };
  const stitches = Math.round(change.machineMinutes * speed);
  return {
    changes: [
      { change: "product-added", nth, share: change.percent / 100, colours: change.colours, stitches, piece },
    ],
    words: `${change.name} as well, ${change.percent} for a hundred pieces that come today`,
    about: "through",
    product: {
      name: change.name,
      netCents: change.soldForCents,
      goodsCents: change.goodsCents,
      sewingCents: 0,
    },
    assumptions: [
      {
        what: `${change.name}: what comes`,
        value: `with the orders there are, ${change.colours} colours each, as often as other pieces ask for them; ${stitches} stitches`,
        source: "guessed",
        count: null,
      },
      {
        what: `${change.name}: price`,
        value: "as entered, tax and fees as for what is sold now",
        source: "entered",
        count: null,
      },
    ],
  };
}

const saverWords: Readonly<Record<Asked<"seam-handling">["by"], string>> = {
  "thread-cutter": "a sewing machine that cuts its thread",
  "knee-lift": "a sewing machine with a knee lift",
  "straight-stitch": "a straight-stitch machine in the place of a slow all-rounder",
};

/** However many seconds are saved, cloth is cut, laid and pressed as before: a fifth of the time at least stays. */
const LEAST_SEWING = 0.2;

function seamHandling({ basis }: Meaning, { by, seams, savedS }: Asked<"seam-handling">): Meant {
  if (!basis.kinds.some(({ sewS }) => sewS > 0))
    throw whatIfRefusals("change-unfitting", "Nothing that was ordered is sewn by hand.");
  return {
    changes: [{ change: "sewing-time", savedS: seams * savedS, leastShare: LEAST_SEWING }],
    words: `${saverWords[by]} (${seams} seams a piece, ${savedS} s less at each)`,
    about: "hands",
    assumptions: [
      {
        what: "Seconds saved at a seam",
        value: `${savedS} s at each of ${seams} seams; measure ten seams with and without before you pay`,
        source: "guessed",
        count: null,
      },
    ],
  };
}

/** So many days in the middle of those that are counted, seconds of the season's clock. */
function awaySpan({ shop, basis, clock }: Pick<Meaning, "shop" | "basis" | "clock">, days: number): Interval {
  const first = basis.warmDays + Math.max(0, Math.floor((basis.days - days) / 2));
  const at = (day: number) =>
    clock.secondOf(instantOf(shop.records.studio.body.timeZone, addDays(basis.startsOn, day), 0));
  return [at(first), at(first + days)];
}

function machineAway(meaning: Meaning, { machineId, days }: Asked<"machine-away">): Meant {
  const { id, name } = named(meaning.shop.machines, machineId, "machine");
  return {
    changes: [{ change: "machine-away", machine: id, spans: [awaySpan(meaning, days)] }],
    words: `${name} away for ${days === 1 ? "a day" : `${days} days`}`,
    about: "through",
    daysAway: days,
  };
}

const clockWords = (minute: number): string =>
  `${Math.floor(minute / 60)}:${String(minute % 60).padStart(2, "0")}`;

const counted = (more: number): string =>
  more === 1 ? "one more" : more < 0 ? `${-more} fewer` : `${more} more`;

function named<T extends { readonly id: string; readonly name: string }>(
  things: readonly T[],
  id: string,
  noun: string,
): T {
  const found = things.find((thing) => thing.id === id);
  if (!found) throw whatIfRefusals("change-unfitting", `There is no ${noun} ${id} in use.`);
  return found;
}
