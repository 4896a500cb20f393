/** How many full needle choices and full decodings a second the planner does, on seeded days. */
import { seededChance } from "#core/base";
import { compile } from "../../src/core/planning/compile";
import { createDecoder } from "../../src/core/planning/decode";
import { chooseNeedles, emptyNeedlePlan, needleRoom } from "../../src/core/planning/needles";
import { carefulCandidate } from "../../src/core/planning/starts";
import { seededDay } from "../quality/seeded-day";

const second = (work: () => void): number => {
  const start = performance.now();
  let times = 0;
  while (performance.now() - start < 1000) {
    for (let i = 0; i < 20; i++) work();
    times += 20;
  }
  return Math.round((times * 1000) / (performance.now() - start));
};

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
