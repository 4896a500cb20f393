import { describe, expect, it } from "vitest";
import { changedShop } from "#core/floor";
import { someBasis, somePrices } from "../../../test/support/some-basis";
import { firstCandidates, type MeantQuestion, nextCandidates, type Played } from "./candidates";
import { type ResultAsked, resultOf } from "./results";
import { playSeason, seasonShop } from "./season";

const noNames = { hoops: new Map([["side", "Side"]]), machines: new Map([["gull", "Gull"]]) };
const noWorth = { handHourCents: null, latePieceCents: null, pieceCents: null };
type Card = Extract<MeantQuestion, { kind: "changes" }>["cards"][number];
const card = (own: Partial<Card> & Pick<Card, "changes">): Card => ({
  words: "a change",
  priceCents: 0,
  monthlyCents: 0,
  about: "through",
  ...own,
});
const moreHoops = (more: number, own: Partial<Card> = {}) =>
  card({ changes: [{ change: "hoops", hoop: "side", more }], words: `${more} more of hoop Side`, ...own });

/** Plays a question to its end, as the runner does. */
function answered(question: MeantQuestion, own: Partial<ResultAsked> = {}, seasons = 5) {
  const basis = own.basis ?? someBasis();
  const asked = { question, worth: noWorth, basis, currency: "EUR", names: noNames, ...own };
  let candidates = firstCandidates(question, basis, noNames);
  const played = new Map<number, ReturnType<typeof playSeason>[]>();
  for (let round = 0; round < 10; round++) {
    for (const { number, changes } of candidates)
      if (!played.has(number))
        played.set(
          number,
          Array.from({ length: seasons }, (_, season) => playSeason(basis, changes, season)),
        );
    const more = nextCandidates({ ...asked, candidates, played: played as Played });
    if (more.length === 0) break;
    candidates = [...candidates, ...more];
  }
  return { result: resultOf({ ...asked, candidates, played }), candidates, played };
}

describe("a season", () => {
  it("comes out the same wherever it is played, and each has a luck of its own", () => {
    const basis = someBasis();
    const again = JSON.parse(JSON.stringify(basis)) as typeof basis;
    expect(playSeason(again, [], 3)).toEqual(playSeason(basis, [], 3));
    expect(playSeason(basis, [], 4)).not.toEqual(playSeason(basis, [], 3));
  });

  it("brings orders in when the shop opens on their day, with the days until their date as the past had them", () => {
    const { problem } = seasonShop(someBasis(), 0).shop;
    expect(problem.jobs.length).toBeGreaterThan(40);
    for (const { releaseAt, dueAt } of problem.jobs) {
      const day = Math.floor(releaseAt / 86_400);
      expect(releaseAt - day * 86_400).toBe(day % 7 < 5 ? 28_800 : 0);
      const days = (dueAt! - 57_600) / 86_400 - day;
      expect([2, 3, 4]).toContain(days);
    }
    expect(new Set(problem.jobs.map(({ id }) => id)).size).toBe(problem.jobs.length);
  });

  it("plays past orders once again on their own dates", () => {
    const basis = someBasis({ orders: "those-that-came", startsOn: "2026-02-02" });
    const one = seasonShop(basis, 0).shop.problem.jobs;
    expect(seasonShop(basis, 1).shop.problem.jobs).toEqual(one);
    const past = basis.habits.orders.filter(({ date }) => "2026-02-02" <= date && date <= "2026-02-15");
    const runs = past.flatMap(({ pieces }) => pieces.flatMap((kind) => basis.kinds[kind]!.runs)).length;
    expect(one).toHaveLength(runs);
  });
});

describe("a change", () => {
  it("of nothing makes no difference at all, on the same luck", () => {
    const { result } = answered({ kind: "changes", cards: [moreHoops(0)] });
    if (result.kind !== "changes") throw new Error("another result");
    for (const { difference } of result.measures)
      expect(difference).toMatchObject({ mean: 0, low: 0, high: 0 });
    expect(result.sentence).toContain("no difference that stands out of chance");
  });

  it("that helps is told with its limits: a second hoop where there is one for two machines", () => {
    const { result } = answered({ kind: "changes", cards: [moreHoops(1)] });
    if (result.kind !== "changes") throw new Error("another result");
    const through = result.measures.find(({ measure }) => measure === "through")!;
    expect(through.difference.high).toBeLessThan(0);
    expect(result.sentence).toMatch(
      /^1 more of hoop Side: a piece is done about [\d.]+ (hours|minutes) sooner \([\d.]+–[\d.]+\)/,
    );
  }); // prettier-ignore

  it("is worth the money of its hours, less what it costs each month", () => {
    const worth = { handHourCents: 2000, latePieceCents: 500, pieceCents: null };
    const gain = (monthlyCents: number) => {
      const { result } = answered({ kind: "changes", cards: [moreHoops(1, { monthlyCents, priceCents: 9000 })] }, { worth });
      return result.kind === "changes" ? result.money! : null;
    }; // prettier-ignore
    expect(gain(1000)!.gainCents.mean).toBeCloseTo(gain(0)!.gainCents.mean - 1000, 6);
    expect(gain(0)!.priceCents).toBe(9000);
  });
});

describe("a machine that is away", () => {
  it("costs so much for each day of it, where both are away so that pieces are late", () => {
    const worth = { handHourCents: null, latePieceCents: 1000, pieceCents: null };
    const away = ["gull", "tern"].map((machine) =>
      card({
        changes: [{ change: "machine-away", machine, spans: [[2 * 86_400, 9 * 86_400]] }],
        daysAway: 7,
      }),
    );
    const { result, played } = answered({ kind: "changes", cards: away }, { worth });
    if (result.kind !== "changes") throw new Error("another result");
    const late = (number: number) => {
      const outcomes = played.get(number)!;
      return (
        outcomes.reduce((sum, { measures, done }) => sum + (1 - measures.onTimeShare) * done, 0) /
        outcomes.length
      );
    };
    // Late pieces more × 10.00 each, over the 14 days of both machines.
    const each = Math.round(((late(1) - late(0)) * 10) / 14);
    expect(each).toBeGreaterThan(0);
    expect(result.moneySentence).toContain(`about EUR ${each} for each day it is away`);
  });
});

describe("how many hoops", () => {
  it("is a curve that falls and has its knee where one more hardly helps", () => {
    const { result } = answered({ kind: "how-many-hoops", hoopId: "side", most: 6 });
    if (result.kind !== "curve") throw new Error("another result");
    const means = result.points.map(({ value }) => value.mean);
    expect(result.points.map(({ at }) => at)).toEqual([1, 2, 3, 4, 5, 6]);
    // Against six, pair by pair: six itself is no different from itself.
    expect(means[0]).toBeGreaterThan(0);
    expect(result.points[5]!.value).toMatchObject({ mean: 0, low: 0, high: 0 });
    // Two machines: one hoop sewing and one being hooped on each (common practice, TRADE.md).
    expect([2, 3, 4]).toContain(result.kneeAt);
  });
});

describe("how many machines", () => {
  it("leaves out a number with which some pieces could not be made", () => {
    const basis = someBasis();
    const kinds = basis.kinds.map((kind, at) => ({
      ...kind,
      runs: kind.runs.map((run) => (at === 0 ? { ...run, machines: ["tern"] } : run)),
    }));
    const question: MeantQuestion = { kind: "how-many-machines", likeId: "gull", most: 3 };
    const { result } = answered(question, { basis: { ...basis, kinds } });
    if (result.kind !== "curve") throw new Error("another result");
    expect(result.points.map(({ at, isToday }) => [at, isToday])).toEqual([
      [2, true],
      [3, false],
    ]);
  });
});

describe("what next", () => {
  it("climbs by gain for money and stops where nothing pays", () => {
    const useless = card({ changes: [{ change: "service-away", factor: 0.5 }], words: "nearer service", priceCents: 100 });
    const question: MeantQuestion = {
      kind: "what-next",
      cards: [useless, moreHoops(1, { priceCents: 5000 })],
      budgetCents: null,
    };
    const { result } = answered(question);
    if (result.kind !== "ladder") throw new Error("another result");
    expect(result.rungs[0]!.what).toBe("1 more of hoop Side");
    expect(result.rungs.map(({ what }) => what)).not.toContain("nearer service");
    expect(result.rungs.length).toBeLessThan(6);
    expect(result.stopped).toContain("Nothing else");
  }); // prettier-ignore

  it("stops where the money ends", () => {
    const question: MeantQuestion = {
      kind: "what-next",
      cards: [moreHoops(1, { priceCents: 5000 })],
      budgetCents: 4000,
    };
    const { result } = answered(question);
    expect(result).toMatchObject({ kind: "ladder", rungs: [] });
    expect(result.kind === "ladder" && result.stopped).toContain("more than is left");
  });
});

describe("money", () => {
  const basis = someBasis({ prices: somePrices });

  it("is the minutes played at what an hour costs, goods, and what pieces bring", () => {
    const outcome = playSeason(basis, [], 1);
    const { came, pieces, netCents, goodsCents, machineCents, handCents, overheadCents } = outcome.money!;
    const { measures } = outcome;
    const hours = measures.handHoursADay * basis.workingDays;
    expect(handCents).toBeCloseTo(hours * 1.15 * 1800, 3);
    const sewn = measures.sewingHoursADay * basis.workingDays;
    expect(machineCents).toBeGreaterThanOrEqual(240 * sewn - 1e-6);
    expect(machineCents).toBeLessThanOrEqual(300 * sewn + 1e-6);
    expect(overheadCents).toBeCloseTo(150 * pieces, 6);
    expect(pieces).toBeLessThanOrEqual(came);
    // Each is a towel or a robe; a robe of two runs brings its price once.
    expect(netCents).toBeGreaterThan(2000 * pieces);
    expect(netCents).toBeLessThan(4000 * pieces);
    expect(goodsCents).toBeGreaterThan(600 * pieces);
  });

  it("is told as cost of a piece and profit a year, overhead as today's in both shops", () => {
    const dear = { ...moreHoops(0), monthlyCents: 30_000 };
    const { result, played } = answered({ kind: "changes", cards: [dear] }, { basis });
    if (result.kind !== "changes") throw new Error("another result");
    const of = (measure: string) => result.measures.find((one) => one.measure === measure)!;
    // Nothing changes but what is paid each month: twelve months of it a year, and its share of each piece.
    expect(of("profit-a-year").difference.mean).toBeCloseTo(-12 * 30_000, 3);
    expect(of("profit-a-year").isPlain).toBe(true);
    const fixed = (30_000 * basis.days) / (365.25 / 12);
    const perPiece = played.get(0)!.map(({ money }) => fixed / money!.came);
    expect(of("cost-per-piece").difference.mean).toBeCloseTo(perPiece.reduce((a, b) => a + b, 0) / perPiece.length, 6);
    expect(result.money!.gainCents.mean).toBeCloseTo(-30_000, 3);
  });

  it("counts a new product by its own price, and pays back what its machine costs", () => {
    const added = { 0: { name: "cap", netCents: 1500, goodsCents: 400, sewingCents: 0 } };
    const piece = { trims: 2, hoop: "side", machines: null, hoopS: 60, unhoopS: 60, finishS: 60 };
    const cap = card({
      changes: [{ change: "product-added", nth: 0, share: 0.3, colours: 2, stitches: 2000, piece }],
      words: "caps as well",
      priceCents: 20_000,
    });
    const { result, played } = answered(
      { kind: "changes", cards: [cap] },
      { basis: { ...basis, prices: { ...somePrices, added } } },
    );
    if (result.kind !== "changes") throw new Error("another result");
    const came = (number: number) => played.get(number)!.reduce((sum, { money }) => sum + money!.came, 0);
    // Three for ten runs that come today.
    expect(came(1) / came(0)).toBeGreaterThan(1.2);
    expect(came(1) / came(0)).toBeLessThan(1.6);
    expect(result.sentence).toMatch(/pays? back|it pays/);
  });
}); // prettier-ignore

describe("a machine of its own field", () => {
  it("takes what fits in it and nothing larger", () => {
    const basis = someBasis();
    const sized = basis.kinds.map((kind, at) => ({
      ...kind,
      runs: kind.runs.map((run) => ({
        ...run,
        machines: ["tern"],
        sizeMm: [at === 0 ? 60 : 200, 50] as const,
      })),
    }));
    const { shop } = seasonShop({ ...basis, kinds: sized }, 0);
    const machine = { ...basis.problem.machines[0]!, id: "gull new 1" };
    const { problem } = changedShop(
      shop,
      [{ change: "machine-added", machine, like: "gull", fieldMm: [100, 100] }],
      1,
    );
    const taken = problem.jobs.filter(({ machines }) => machines!.includes("gull new 1"));
    expect(taken.length).toBeGreaterThan(5);
    expect(taken.every((job) => (job as { sizeMm?: readonly number[] }).sizeMm![0] === 60)).toBe(true);
  });
});

describe("goods sewn by hand", () => {
  it("take fewer seconds with less handling at seams, and come more often with more orders", () => {
    const basis = someBasis({ kinds: [{ runs: [], sewS: 900, product: 0 }, { runs: [], sewS: 100, product: 0 }, { runs: [], sewS: 900, product: 0 }] });
    const { shop } = seasonShop(basis, 0);
    const seconds = (one: typeof shop) => one.problem.chores.map((chore) => chore.seconds);
    const faster = changedShop(shop, [{ change: "sewing-time", savedS: 90, leastShare: 0.2 }], 1);
    expect(new Set(seconds(faster))).toEqual(new Set([810, 20]));
    const more = changedShop(shop, [{ change: "orders", factor: 2 }], 1);
    expect(seconds(more)).toHaveLength(2 * seconds(shop).length);
  });
}); // prettier-ignore

describe("a season that is warmed up", () => {
  it("counts only its own days: work in hand at their start is there already", () => {
    const whole = someBasis({ days: 28 });
    const cold = playSeason(whole, [], 0);
    const warm = playSeason({ ...whole, warmDays: 14, days: 14, counted: [14 * 86_400, 28 * 86_400], workingDays: 10 }, [], 0);
    expect(warm.pieces).toBeLessThan(cold.pieces);
    // The same orders come: those of the second fortnight wait behind those of the first.
    expect(warm.measures.throughHours).toBeGreaterThan(cold.measures.throughHours);
    expect(warm.measures.handHoursADay).toBeGreaterThan(0);
  });
}); // prettier-ignore
