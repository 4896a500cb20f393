import { describe, expect, it } from "vitest";
import { seededChance } from "#core/base";
import { certain, compileShop, dispatch, play, type Told } from ".";
import { AWAY, DONE, FINISHING, HOOPED, LISTED, LOADED, OFF, THREAD, WAITING } from "./floor";
import { someDay, someSeason } from "./some-shops";

const season = (seed: number, pieces = 400) => compileShop(someSeason(seededChance(seed), pieces, 60));

describe("nothing is lost on the floor", () => {
  it("holds every piece and frame in one place after each event", () => {
    const compiled = season(3);
    const inFrame = [HOOPED, LOADED, OFF];
    let looked = 0;
    const lost: string[] = [];
    play(
      compiled,
      {
        seed: 9,
        watch: ({ now, stateOf, frameOf, pieceInFrame, onMachine, arrived, done }) => {
          looked++;
          const holds = (what: string, is: boolean) => is || lost.push(`${what} at ${now}`);
          const counts = new Int32Array(8);
          for (const state of stateOf) counts[state]!++;
          const inHand = [WAITING, LISTED, HOOPED, LOADED, OFF, FINISHING].reduce(
            (sum, one) => sum + counts[one]!,
            0,
          );
          holds("in = out + in hand", arrived === done + inHand);
          holds("done", counts[DONE] === done && counts[AWAY] === compiled.pieces - arrived);
          // Who is in a frame knows it, and the frame knows who; a hooped piece is in one until it is unhooped.
          holds(
            "frames",
            pieceInFrame.every((piece, frame) => piece < 0 || frameOf[piece] === frame),
          );
          holds(
            "framed",
            stateOf.every((state, piece) => !inFrame.includes(state) || frameOf[piece]! >= 0),
          );
          holds(
            "as many",
            frameOf.filter((frame) => frame >= 0).length ===
              pieceInFrame.filter((piece) => piece >= 0).length,
          );
          const on = [...onMachine].filter((piece) => piece >= 0);
          holds("one machine", new Set(on).size === on.length);
        },
      },
      dispatch(),
    );
    expect(looked).toBeGreaterThan(3000);
    expect(lost).toEqual([]);
  });

  it("lets no person do two tasks at once, nor begin one outside a shift, nor a machine sew while it is shut", () => {
    const shop = someSeason(seededChance(5), 400, 60);
    const steps: Told[] = [];
    play(compileShop(shop), { seed: 2, tell: (step) => steps.push(step) }, dispatch());
    const { hands, open } = shop.problem;
    hands.forEach(({ shifts }, hand) => {
      const own = steps
        .filter((step) => step.hand === hand && step.end > step.start)
        .sort((a, b) => a.start - b.start);
      own.forEach((step, at) => at > 0 && expect(step.start).toBeGreaterThanOrEqual(own[at - 1]!.end));
      for (const { start } of own)
        expect(shifts.some(([from, to]) => from <= start && start < to)).toBe(true);
    });
    for (const { start } of steps.filter(({ what }) => what === "sewing"))
      expect(open.some(([from, to]) => from <= start && start < to)).toBe(true);
  });

  it("accounts for each second of a machine's open time", () => {
    const compiled = season(8);
    const { machines, endS } = play(compiled, { seed: 4 }, dispatch());
    machines.forEach(({ seconds }, machine) => {
      const all = Object.values(seconds).reduce((sum, one) => sum + one, 0);
      const open = compiled.sewable[machine]!.reduce(
        (sum, [from, to]) => sum + Math.max(0, Math.min(to, endS) - from),
        0,
      );
      // What runs over the closing time comes on top; it is little.
      expect(all).toBeGreaterThanOrEqual(open - 3600);
      expect(all).toBeLessThan(open * 1.02 + 3600);
    });
  });
});

describe("the same shop and seed", () => {
  it("give the same season", () => {
    const one = play(season(6), { seed: 11 }, dispatch());
    const two = play(season(6), { seed: 11 }, dispatch());
    expect(two).toEqual(one);
    expect(play(season(6), { seed: 12 }, dispatch()).endOf).not.toEqual(one.endOf);
  });
});

describe("a shop without a plan", () => {
  it("does all that can be done, and says what cannot", () => {
    const chance = seededChance(31);
    for (let day = 0; day < 20; day++) {
      const problem = someDay(chance);
      const lonely = { ...problem.jobs[0]!, id: "lonely", machines: [] };
      const shop = { problem: { ...problem, jobs: [...problem.jobs, lonely] }, chances: certain, care: [] };
      const { done, impossible, endOf } = play(compileShop(shop), { seed: day }, dispatch());
      expect([done, impossible]).toEqual([problem.jobs.length, 1]);
      expect(endOf.at(-1)).toBe(-1);
    }
  });

  it("stops for threading where a design has more colours than needles, as seldom as can be", () => {
    const { problem, ...rest } = someSeason(seededChance(1), 1, 60);
    const parts = Array.from({ length: 13 }, (_, at) => ({ colour: `thread ${at + 1}`, stitches: 500 }));
    const job = { ...problem.jobs[0]!, parts, machines: ["six"] };
    const threads: Told[] = [];
    const played = play(
      compileShop({ ...rest, chances: certain, problem: { ...problem, jobs: [job] } }),
      { seed: 1, tell: (step) => step.kind === THREAD && threads.push(step) },
      dispatch(),
    );
    // Thirteen colours, six needles: three stretches.
    expect([played.midStops, played.threadings, threads.length]).toEqual([2, 13, 13]);
  });

  it("mends broken threads as often as stitches say, and makes spoiled pieces again", () => {
    const compiled = season(2, 3000);
    const { breaks, bobbins, spoiled, machines } = play(compiled, { seed: 5 }, dispatch());
    const stitches = machines.reduce((sum, machine) => sum + machine.stitches, 0);
    // Poisson: mean ± 3 standard deviations.
    const expected = stitches / 20_000;
    expect(Math.abs(breaks - expected)).toBeLessThan(3 * Math.sqrt(expected));
    expect(bobbins).toBeGreaterThan(stitches / 30_000 - 4);
    expect(bobbins).toBeLessThanOrEqual(stitches / 30_000);
    expect(Math.abs(spoiled - 30)).toBeLessThan(3 * Math.sqrt(30));
  });
});
