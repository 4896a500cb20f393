import { expect, it } from "vitest";
import { seededChance } from "#core/base";
import { copyCandidate } from "./candidate";
import { compile } from "./compile";
import { createDecoder } from "./decode";
import { moves } from "./moves";
import { createBench } from "./bench";
import { anyProblem } from "./some-shops";
import { greedyCandidates } from "./starts";

it("comes to the same day from where a candidate parts from the one kept as from the beginning", () => {
  let compared = 0;
  for (let seed = 0; seed < 150; seed++) {
    const chance = seededChance(4000 + seed);
    const problem = anyProblem(chance);
    const { compiled, around, decoder } = createBench(problem);
    const fresh = createDecoder(compile(problem));
    const current = greedyCandidates(compiled)[0]!;
    if (current.order.length < 2) continue;
    decoder.decodeAgain(current, Infinity);
    current.left.set(decoder.barred);
    decoder.decodeAgain(current, Infinity);
    decoder.keep(current);
    around.endOf.set(decoder.endOf);
    for (let n = 0; n < 60; n++) {
      const trial = copyCandidate(current);
      if (!moves[chance.below(moves.length)]!.apply(trial, around, chance)) continue;
      const limit = chance.below(4) === 0 ? fresh.decode(current, Infinity).score : Infinity;
      const whole = { ...fresh.decode(trial, limit) };
      const again = { ...decoder.decodeAgain(trial, limit) };
      compared++;
      if (whole.score === Infinity || again.score === Infinity) {
        expect(again.score > limit).toBe(whole.score > limit);
        continue;
      }
      expect(again).toEqual(whole);
      expect(decoder.endOf).toEqual(fresh.endOf);
      expect(decoder.barred).toEqual(fresh.barred);
      if (chance.below(3) > 0) continue;
      decoder.keep(trial);
      trial.left.set(decoder.barred);
      Object.assign(current, trial);
      around.endOf.set(decoder.endOf);
    }
  }
  expect(compared).toBeGreaterThan(3000);
});
