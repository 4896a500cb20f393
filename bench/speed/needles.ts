/**
 * How many needle choices and decodings of a day the planner does a second: the choice itself, and the count of
 * threadings that the search of one machine uses, each beside a plain textbook implementation in the same run.
 */
import { type Chance, seededChance, shuffled } from "#core/base";
import { compile } from "../../src/core/planning/compile";
import { createDecoder } from "../../src/core/planning/decode";
import { chooseNeedles, emptyNeedlePlan, needleRoom } from "../../src/core/planning/needles";
import { type Counter, createCounter, TOO_MANY } from "../../src/core/planning/one-machine/count";
import { lineOf } from "../../src/core/planning/one-machine/line";
import { carefulCandidate } from "../../src/core/planning/starts";
import { seededDay } from "../quality/seeded-day";
import { toolSwitching } from "../quality/classical";

const MEASURE_S = 0.3;

/** Times a second, by processor time so that a busy machine does not change it. */
const second = (work: () => void): number => {
  for (let i = 0; i < 200; i++) work();
  const start = process.cpuUsage().user;
  let times = 0;
  while (process.cpuUsage().user - start < MEASURE_S * 1e6) {
    for (let i = 0; i < 20; i++) work();
    times += 20;
  }
  return Math.round((times * 1e6) / (process.cpuUsage().user - start));
};

/** Keep the colour needed soonest, as a textbook has it: the next use is looked up in the list of jobs. */
function textbook(sets: readonly ReadonlySet<number>[], needles: number): number {
  let magazine = new Set<number>();
  let threadings = 0;
  sets.forEach((own, at) => {
    const nextUse = (colour: number): number => {
      for (let later = at + 1; later < sets.length; later++) if (sets[later]!.has(colour)) return later;
      return Infinity;
    };
    const missing = [...own].filter((colour) => !magazine.has(colour));
    threadings += missing.length;
    const others = [...magazine]
      .filter((colour) => !own.has(colour))
      .map((colour) => ({ colour, next: nextUse(colour) }))
      .sort((a, b) => a.next - b.next);
    magazine = new Set([...own, ...others.slice(0, needles - own.size).map(({ colour }) => colour)]);
  });
  return threadings;
}

/** Two places of the order are swapped and counted, as in a search; a tenth of the swaps are kept. */
function searching(counter: Counter, order: Int32Array, chance: Chance): () => void {
  let count = counter.keep(order, 0);
  return () => {
    const a = chance.below(order.length);
    const b = chance.below(order.length);
    const [from, to] = a < b ? [a, b] : [b, a];
    const job = order[from]!;
    order[from] = order[to]!;
    order[to] = job;
    const found = counter.test(order, from, to, count);
    if (found !== TOO_MANY) count = counter.keep(order, from);
    else {
      order[to] = order[from]!;
      order[from] = job;
    }
  };
}

for (const [jobs, colours, needles] of [
  [10, 10, 4],
  [15, 20, 6],
  [40, 30, 10],
  [40, 60, 20],
] as const) {
  const chance = seededChance(jobs + needles);
  const sets = Array.from({ length: jobs }, () =>
    shuffled([...Array(colours).keys()], chance).slice(0, 1 + chance.below(needles)),
  );
  const asSets = sets.map((own) => new Set(own));
  const order = Int32Array.from(sets.keys());
  const counter = createCounter(lineOf(sets, needles, []));
  const cells = [...Array(colours).keys()].flatMap((colour) =>
    asSets.map((own) => (own.has(colour) ? 1 : 0)),
  );
  const compiled = compile(toolSwitching([jobs, colours, needles, ...cells]).problem);
  const room = needleRoom(compiled);
  const plan = emptyNeedlePlan(compiled);
  plan.length = jobs;
  for (let j = 0; j < jobs; j++) plan.key[j] = j << 4;
  chooseNeedles(room, 0, plan);
  const known = textbook(asSets, needles);
  if (plan.threadings !== known || counter.count(order) !== known) throw new Error("the counts differ");
  const plain = second(() => textbook(asSets, needles));
  const times = (rate: number) => `${rate} (${(rate / plain).toFixed(0)}×)`;
  console.log(
    `${jobs} jobs × ${needles} needles, ${colours} colours, orders a second: textbook ${plain}` +
      `, needles chosen ${times(second(() => chooseNeedles(room, 0, plan)))}` +
      `, counted ${times(second(() => counter.count(order)))}` +
      `, counted while searching ${times(second(searching(counter, order, chance)))}`,
  );
}

for (const jobs of [20, 40, 60]) {
  const problem = seededDay({ jobs, machines: 3, hands: 2, seed: jobs });
  const compiled = compile(problem);
  const room = needleRoom(compiled);
  const plan = emptyNeedlePlan(compiled);
  plan.length = jobs;
  for (let j = 0; j < jobs; j++) plan.key[j] = j << 4;
  const needles = second(() => chooseNeedles(room, 2, plan));
  const decoder = createDecoder(compiled);
  const candidate = carefulCandidate(decoder);
  const chance = seededChance(1);
  const days = second(() => {
    // Two items change places, so that needles are chosen anew as in the search.
    const [a, b] = [chance.below(candidate.order.length), chance.below(candidate.order.length)];
    [candidate.order[a], candidate.order[b]] = [candidate.order[b]!, candidate.order[a]!];
    decoder.decode(candidate, Infinity);
  });
  console.log(
    `${jobs} jobs: ${needles} needle choices of the whole order a second, ${days} whole days decoded a second`,
  );
}
