import { expect, it } from "vitest";
import { seededChance, shuffled } from "#core/base";
import { compile } from "./compile";
import { chooseNeedles, emptyNeedlePlan, needleRoom } from "./needles";
import { anyProblem } from "./some-shops";
import { emptyThreadCount, threadCounter } from "./threads-before";

it("counts before every stretch what choosing the needles threads there, with stops, fixed needles and second copies", () => {
  let stretches = 0;
  for (let seed = 0; seed < 1500; seed++) {
    const chance = seededChance(61_000 + seed);
    const compiled = compile(anyProblem(chance));
    const room = needleRoom(compiled);
    const countOn = threadCounter(compiled);
    for (let m = 0; m < compiled.machines; m++) {
      const able = [...compiled.doable].filter((item) => compiled.cuts[item * compiled.machines + m]?.length);
      const keys = shuffled(able, chance).map(
        (job) => (job << 4) | chance.below(compiled.cuts[job * compiled.machines + m]!.length),
      );
      const [plan, count] = [emptyNeedlePlan(compiled), emptyThreadCount(compiled)];
      plan.length = count.length = keys.length;
      plan.key.set(keys);
      count.key.set(keys);
      chooseNeedles(room, m, plan);
      countOn(m, count);
      expect([count.threadings, count.midStops, count.stretches]).toEqual([
        plan.threadings,
        plan.midStops,
        plan.stretches,
      ]);
      expect([...count.before.subarray(0, count.stretches)]).toEqual([
        ...plan.before.subarray(0, plan.stretches),
      ]);
      stretches += plan.stretches;
    }
  }
  expect(stretches).toBeGreaterThan(5000);
});
