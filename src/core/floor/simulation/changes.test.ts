import { expect, it } from "vitest";
import { seededChance } from "#core/base";
import { changedShop, compileShop, dispatch, play, type Told } from ".";
import { someSeason } from "./some-shops";

const shop = someSeason(seededChance(3), 60, 60);
const [first] = shop.problem.machines;

it("a machine more wants the same care as the one it is like", () => {
  const cared = { ...shop, care: [{ machine: first!.id, everySewingS: 7200, seconds: 300 }] };
  const machine = { ...first!, id: "new" };
  const changed = changedShop(cared, [{ change: "machine-added", machine, like: first!.id }], 1);
  expect(changed.care).toEqual([...cared.care, { machine: "new", everySewingS: 7200, seconds: 300 }]);
});

it("a machine that is away begins no sewing meanwhile, and keeps the absences it had", () => {
  const [from, to] = shop.problem.open[1]!;
  const had = { ...first!, down: [[0, 3600]] as const };
  const { problem } = changedShop(
    { ...shop, problem: { ...shop.problem, machines: [had, ...shop.problem.machines.slice(1)] } },
    [{ change: "machine-away", machine: first!.id, spans: [[from, to]] }],
    1,
  );
  expect(problem.machines[0]!.down).toEqual([
    [0, 3600],
    [from, to],
  ]);
  const steps: Told[] = [];
  play(compileShop({ ...shop, problem }), { seed: 1, tell: (step) => steps.push(step) }, dispatch());
  const own = steps.filter(({ what, machine }) => what === "sewing" && machine === 0);
  expect(own.length).toBeGreaterThan(0);
  expect(own.filter(({ start }) => from <= start && start < to)).toEqual([]);
});
