import { expect, it } from "vitest";
import { pick, seededChance, shuffled } from "#core/base";
import { newCandidate } from "./candidate";
import { compile, type Compiled } from "./compile";
import { checkPlan, type Problem, runRound } from "./index";
import { finishPlan } from "./solve";
import { createSearch } from "./search";
import { sketchJudge, type SketchedMachine } from "./sketch-machine";
import { beginSketch, FIRST_SKETCH, sketchedCandidate, sketchOn } from "./sketch";
import { anyProblem, job, machine, shop } from "./some-shops";
import { cutTables } from "./tables";
import { emptyThreadCount, threadCounter } from "./threads-before";

/** Jobs a machine can sew, in any order. */
function anyOrder(compiled: Compiled, m: number, chance: ReturnType<typeof seededChance>): SketchedMachine {
  const able = [...compiled.doable].filter(
    (item) => item < compiled.jobs && compiled.choices[item]!.includes(m),
  );
  const own = shuffled(able, chance).slice(0, chance.below(able.length + 1));
  const order = new Int32Array(compiled.jobs);
  order.set(own);
  return { order, length: own.length };
}

it("counts threadings and stops as the decoder does, from any place on", () => {
  const chance = seededChance(51);
  let judged = 0;
  for (let n = 0; n < 400; n++) {
    const problem = {
      ...anyProblem(chance),
      // Threadings, and stops apart from them, can be read off the worth alone.
      cost: { perLateMinute: 0, perThreading: 1, perMidStop: 1000, perFinishMinute: 0 },
    };
    const compiled = compile(problem);
    const judge = sketchJudge(compiled);
    const count = threadCounter(compiled);
    const plan = emptyThreadCount(compiled);
    for (let m = 0; m < compiled.machines; m++) {
      // Where a stop is followed by fixed needles alone the decoder goes by the needles, the sketch by pipes.
      if (cutTables(compiled).odd[m]) continue;
      judge.keep(m, anyOrder(compiled, m, chance), 0);
      for (let again = 0; again < 4; again++) {
        const trial = anyOrder(compiled, m, chance);
        const from = chance.below(trial.length + 1);
        // A kept order with the same head.
        const kept = anyOrder(compiled, m, chance);
        const head = [...trial.order.subarray(0, from)];
        const tail = [...kept.order.subarray(0, kept.length)].filter((one) => !head.includes(one));
        kept.order.set([...head, ...tail]);
        judge.keep(m, { order: kept.order, length: from + tail.length }, 0);
        expect(judge.judge(m, trial, from, Infinity)).toBe(true);
        plan.length = trial.length;
        for (let at = 0; at < trial.length; at++) plan.key[at] = trial.order[at]! << 4;
        count(m, plan);
        expect(judge.said.worth).toBe(plan.threadings + 1000 * plan.midStops);
        if (plan.threadings > 0) expect(judge.judge(m, trial, from, 0.5)).toBe(false);
        judged++;
      }
    }
  }
  expect(judged).toBeGreaterThan(1000);
});

/** A shop with more jobs than days are searched for otherwise: 40 colours, so that a set of them takes two words. */
function largeShop(): Problem {
  const chance = seededChance(52);
  const colours = Array.from({ length: 40 }, (_, at) => `c${at}`);
  return shop({
    hands: Array.from({ length: 3 }, (_, h) => ({
      id: `h${h}`,
      shifts: [
        [0, 30_600],
        [86_400, 117_000],
      ],
    })),
    open: [
      [0, 30_600],
      [86_400, 117_000],
    ],
    hoops: [{ id: "round", count: 12 }],
    machines: Array.from({ length: 6 }, (_, m) =>
      machine(`m${m}`, { needles: 6, threaded: Array.from({ length: 6 }, () => pick(colours, chance)) }),
    ),
    jobs: Array.from({ length: 130 }, (_, j) =>
      job(
        `j${j}`,
        Array.from({ length: 1 + chance.below(4) }, () => pick(colours, chance)),
        { dueAt: chance.below(3) === 0 ? 20_000 + chance.below(90_000) : null },
      ),
    ),
  });
}

it("has fewer threadings than what it was begun with, and leaves no job out or double", () => {
  const compiled = compile(largeShop());
  const from = newCandidate(compiled, compiled.doable);
  from.machine.forEach((_, j) => (from.machine[j] = j % 6));
  const begun = beginSketch(compiled, from);
  const made = sketchOn(compiled, [], begun, { ...FIRST_SKETCH, changes: 20_000, seed: 3 });
  const threadings = (orders: readonly Int32Array[]): number => {
    const plan = emptyThreadCount(compiled);
    return orders.reduce((sum, order, m) => {
      plan.length = order.length;
      order.forEach((one, at) => (plan.key[at] = one << 4));
      threadCounter(compiled)(m, plan);
      return sum + plan.threadings;
    }, 0);
  };
  expect(threadings(made.best)).toBeLessThan(0.7 * threadings(begun.best));
  const candidate = sketchedCandidate(compiled, made, from);
  expect([...candidate.order].sort((a, b) => a - b)).toEqual([...compiled.doable]);
});

it("searches a large shop by sketches to one and the same right plan, its islands posted to a thread or not", () => {
  const problem = largeShop();
  const first = ["j7", "j90"];
  const plans = [true, false].map((posted) => {
    const search = createSearch(problem, 4, { first });
    while (search.evaluations() < 3000)
      search.absorb(
        search
          .nextRound(3000)
          .map((task) => runRound(search.bench, posted ? structuredClone(task) : task))
          .reverse(),
      );
    return finishPlan(search, { seconds: 0, seed: 4 }, "quick");
  });
  expect(plans[0]).toEqual(plans[1]);
  const [plan] = plans;
  expect(checkPlan(problem, plan!).findings).toEqual([]);
  expect(plan!.unplanned).toEqual([]);
  // What is pulled first comes first on its machine.
  for (const id of first) {
    const run = plan!.runs.find((one) => one.job === id)!;
    const before = plan!.runs.filter(
      (one) => one.machine === run.machine && one.stretches[0]!.start < run.stretches[0]!.start,
    );
    expect(before.every((one) => first.includes(one.job))).toBe(true);
  }
});
