import { afterAll, expect, it } from "vitest";
import { PlanThreads } from "../../src/app/solving";
import { type Problem, solve } from "#core/planning";
import { job, machine, shop } from "../../src/core/planning/some-shops";

const threads = new PlanThreads();
afterAll(() => threads.close());

const day = (colours: readonly string[]): Problem =>
  shop({
    machines: [machine("m1"), machine("m2")],
    hoops: [{ id: "round", count: 4 }],
    jobs: Array.from({ length: 18 }, (_, j) =>
      job(`j${j}`, [colours[j % colours.length]!, colours[(3 * j + 1) % colours.length]!]),
    ),
  });

it("gives the plan that one thread gives, from one search to the next and from one day to another", async () => {
  const days = [
    day(["red", "sky", "gold", "sand", "moss"]),
    day(["ink", "rose", "teal", "rust", "lime", "plum", "snow"]),
  ];
  // Helpers come up during the first search; from the second on they are warm and must have changed their day.
  for (const problem of [days[0]!, days[1]!, days[0]!, days[1]!]) {
    const asked = { seed: 3, evaluations: 25_000 };
    const alone = solve(problem, asked);
    const shared = await threads.solve(problem, { ...asked, seconds: 120, threads: 3 });
    expect(shared.runs).toEqual(alone.runs);
    expect(shared.totals).toEqual(alone.totals);
  }
});
