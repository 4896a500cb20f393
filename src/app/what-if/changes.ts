import type { whatIf } from "#contract";
import type { Change } from "#core/floor";
import { addDays, instantOf } from "#core/shop";
import type { PlanClock } from "../plan-clock";
import { whatIfRefusals } from "./refusals";
import type { Basis } from "./season";
import type { ShopNow } from "./shop";

/** A card as the simulation takes it, and in words. */
export interface MeantCard {
  readonly change: Change;
  readonly words: string;
  readonly priceCents: number;
  readonly monthlyCents: number;
  /** What it is about: says which measure the answer leads with. */
  readonly about: "threading" | "through";
  /** Days a machine is away by it, once a season. */
  readonly daysAway?: number;
}

interface Meaning {
  readonly shop: ShopNow;
  readonly basis: Basis;
  readonly clock: PlanClock;
}

/** `nth` keeps two new machines or people of one question apart. */
export function meantCard(meaning: Meaning, card: whatIf.WhatIfCard, nth: number): MeantCard {
  return {
    ...meant(meaning, card.change, nth),
    priceCents: card.priceCents ?? 0,
    monthlyCents: card.monthlyCents ?? 0,
  };
}

type Meant = Pick<MeantCard, "change" | "words" | "about" | "daysAway">;
type Asked<C extends whatIf.WhatIfChange["change"]> = Extract<whatIf.WhatIfChange, { change: C }>;

function meant(meaning: Meaning, change: whatIf.WhatIfChange, nth: number): Meant {
  const { shop } = meaning;
  switch (change.change) {
    case "hoops": {
      const { id, name } = named(shop.hoops, change.hoopId, "hoop");
      return {
        change: { change: "hoops", hoop: id, more: change.more },
        words: `${counted(change.more)} of hoop ${name}`,
        about: "through",
      };
    }
    case "magnetic":
      return magnetic(shop, change);
    case "machine-added":
      return machineAdded(meaning, change, nth);
    case "machine-removed": {
      const { id, name } = named(shop.machines, change.machineId, "machine");
      return { change: { change: "machine-removed", machine: id }, words: `${name} sold`, about: "through" };
    }
    case "hand-added":
      return handAdded(meaning, change, nth);
    case "hand-removed": {
      const { id, name } = named(shop.people, change.personId, "person");
      return { change: { change: "hand-removed", hand: id }, words: `without ${name}`, about: "through" };
    }
    case "fixed-threads": {
      const { id, name } = named(shop.machines, change.machineId, "machine");
      return {
        change: { change: "fixed-threads", machine: id, count: change.count },
        words: `the ${change.count} commonest threads stay on ${name}`,
        about: "threading",
      };
    }
    case "day-length": {
      const { moreMinutes } = change;
      return {
        change: { change: "day-length", moreS: 60 * moreMinutes },
        words: `a day ${Math.abs(moreMinutes)} minutes ${moreMinutes < 0 ? "shorter" : "longer"}`,
        about: "through",
      };
    }
    case "service-days": {
      const now = shop.records.studio.body.dealerTurnaroundDays;
      return {
        change: { change: "service-away", factor: now === 0 ? 1 : change.days / now },
        words: `services of ${change.days} days instead of ${now}`,
        about: "through",
      };
    }
    case "machine-away":
      return machineAway(meaning, change);
    case "orders":
      return {
        change: { change: "orders", factor: 1 + change.percentMore / 100 },
        words: `${Math.abs(change.percentMore)} % ${change.percentMore < 0 ? "fewer" : "more"} orders`,
        about: "through",
      };
  }
}

function magnetic({ hoops, records }: ShopNow, { hoopId }: Asked<"magnetic">): Meant {
  const { id, name } = named(hoops, hoopId, "hoop");
  const { hoopMagneticS, hoopScrewS } = records.studio.body.stepTimes;
  return {
    change: { change: "hooping-time", hoop: id, factor: hoopMagneticS / Math.max(1, hoopScrewS) },
    words: `magnetic hoops in the place of ${name}`,
    about: "through",
  };
}

function machineAdded({ shop, basis }: Meaning, change: Asked<"machine-added">, nth: number): Meant {
  const { id, name } = named(shop.machines, change.likeId, "machine");
  const like = basis.problem.machines.find((machine) => machine.id === id)!;
  const needles = change.needles ?? like.needles;
  const stitchesPerMinute = change.stitchesPerMinute ?? like.stitchesPerMinute;
  const machine = {
    ...like,
    id: `new ${nth + 1}`,
    needles,
    stitchesPerMinute,
    threaded: Array<null>(needles).fill(null),
    fixed: [],
    down: [],
  };
  const own = [
    ...(change.needles === null ? [] : [`${needles} needles`]),
    ...(change.stitchesPerMinute === null ? [] : [`${stitchesPerMinute} stitches a minute`]),
  ];
  return {
    change: { change: "machine-added", machine, like: id },
    words: `a machine more like ${name}${own.length > 0 ? ` with ${own.join(" and ")}` : ""}`,
    about: "through",
  };
}

function handAdded({ shop, clock }: Meaning, change: Asked<"hand-added">, nth: number): Meant {
  const { weekdays, startMinute, endMinute } = change;
  const week = Array.from({ length: 7 }, (_, at) =>
    weekdays.includes(at + 1) ? [{ startMinute, endMinute }] : [],
  );
  const shifts = clock.spans(week, shop.records.studio.body.closedDays);
  return {
    change: { change: "hand-added", hand: { id: `new person ${nth + 1}`, shifts } },
    words: `a person more, ${clockWords(startMinute)}–${clockWords(endMinute)} on ${new Set(weekdays).size} days a week`,
    about: "through",
  };
}

/** In the middle of the days on which orders come in. */
function machineAway({ shop, basis, clock }: Meaning, { machineId, days }: Asked<"machine-away">): Meant {
  const { id, name } = named(shop.machines, machineId, "machine");
  const first = Math.max(0, Math.floor((basis.days - days) / 2));
  const at = (day: number) =>
    clock.secondOf(instantOf(shop.records.studio.body.timeZone, addDays(basis.startsOn, day), 0));
  return {
    change: { change: "machine-away", machine: id, spans: [[at(first), at(first + days)]] },
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
