import type { whatIf } from "#contract";

type Change = whatIf.WhatIfChange;
type Shop = whatIf.WhatIfShop;
type Saver = Extract<Change, { change: "seam-handling" }>["by"];

const asThatOne = {
  needles: null,
  stitchesPerMinute: null,
  fieldWidthMm: null,
  fieldHeightMm: null,
  usedHours: null,
};

/** Guesses to be typed over: measure ten seams with and without. */
export const savers: Readonly<Record<Saver, { readonly words: string; readonly savedS: number }>> = {
  "thread-cutter": { words: "a thread cutter", savedS: 4 },
  "knee-lift": { words: "a knee lift", savedS: 3 },
  "straight-stitch": { words: "a straight-stitch machine in the place of a slow all-rounder", savedS: 9 },
};

/** The kinds of cards in the order they are offered; null where the shop has nothing to change that way. */
export const offers: readonly { readonly words: string; readonly make: (shop: Shop) => Change | null }[] = [
  {
    words: "Hoops more or fewer",
    make: ({ hoops }) => (hoops[0] ? { change: "hoops", hoopId: hoops[0].id, more: 1 } : null),
  },
  {
    words: "Magnetic instead of screw hoops",
    make: ({ hoops }) => {
      const screw = hoops.find(({ kind }) => kind === "screw");
      return screw ? { change: "magnetic", hoopId: screw.id } : null;
    },
  },
  {
    words: "A machine more",
    make: ({ machines }) =>
      machines[0]
        ? { change: "machine-added", likeId: machines[0].id, ...asThatOne }
        : null,
  },
  {
    words: "A machine swapped",
    make: ({ machines }) =>
      machines[0] ? { change: "machine-swapped", machineId: machines.at(-1)!.id, ...asThatOne } : null,
  },
  {
    words: "A machine sold",
    make: ({ machines }) =>
      machines.length > 1 ? { change: "machine-removed", machineId: machines.at(-1)!.id } : null,
  },
  {
    words: "A person more",
    make: () => ({ change: "hand-added", weekdays: [1, 2, 3, 4, 5], startMinute: 540, endMinute: 780 }),
  },
  {
    words: "A person fewer",
    make: ({ people }) => (people.length > 1 ? { change: "hand-removed", personId: people.at(-1)!.id } : null),
  },
  {
    words: "Threads that stay on their needles",
    make: ({ machines }) =>
      machines[0]
        ? { change: "fixed-threads", machineId: machines[0].id, count: Math.max(1, Math.min(3, machines[0].needles - 1)) }
        : null,
  },
  { words: "A longer or shorter day", make: () => ({ change: "day-length", moreMinutes: 60 }) },
  {
    words: "Service nearer by",
    make: ({ turnaroundDays }) =>
      turnaroundDays > 0 ? { change: "service-days", days: Math.max(0, Math.floor(turnaroundDays / 2)) } : null,
  },
  {
    words: "A machine away for days",
    make: ({ machines }) => (machines[0] ? { change: "machine-away", machineId: machines[0].id, days: 5 } : null),
  },
  { words: "More or fewer orders", make: () => ({ change: "orders", percentMore: 20 }) },
  {
    words: "A new product",
    make: ({ hoops }) => ({
      change: "new-product", name: "New product", percent: 10, machineMinutes: 10, colours: 3,
      hoopId: hoops[0]?.id ?? null, handMinutes: null, soldForCents: 0, goodsCents: 0,
    }),
  },
  {
    words: "Less handling at seams",
    make: ({ sewsGoods }) =>
      sewsGoods ? { change: "seam-handling", by: "thread-cutter", seams: 8, savedS: savers["thread-cutter"].savedS } : null,
  },
]; // prettier-ignore

export const titles: Readonly<Record<Change["change"], string>> = {
  hoops: "Hoops more or fewer",
  magnetic: "Magnetic instead of screw hoops",
  "machine-added": "A machine more",
  "machine-swapped": "A machine swapped",
  "machine-removed": "A machine sold",
  "hand-added": "A person more",
  "hand-removed": "A person fewer",
  "fixed-threads": "Threads that stay on their needles",
  "day-length": "A longer or shorter day",
  "service-days": "Service nearer by",
  "machine-away": "A machine away for days",
  orders: "More or fewer orders",
  "new-product": "A new product",
  "seam-handling": "Less handling at seams",
};
