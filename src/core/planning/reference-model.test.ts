import loadHighs from "highs";
import { describe, expect, it } from "vitest";
import { type Chance, pick, seededChance } from "#core/base";
import { checkPlan, type Problem, solve } from "./index";
import { job, machine, shop } from "./some-shops";

/**
 * Tiny days as a mixed-integer model, solved by HiGHS (a general solver of such models, MIT licence): which job stands
 * at which place of which machine, which colours are on its needles there, when the place ends. Hands and frames abound,
 * handling off the machine takes no time and stops are dear, so that nothing else decides. Our plans must cost the
 * same, and no bound may lie above.
 */
interface Tiny {
  readonly problem: Problem;
  readonly colours: readonly string[];
}

function tinyDay(chance: Chance): Tiny {
  const colours = ["a", "b", "c", "d", "e"].slice(0, 3 + chance.below(3));
  const machines = Array.from({ length: 1 + chance.below(2) }, (_, m) => {
    const needles = 2 + chance.below(2);
    const first = pick(colours, chance);
    const threaded = Array.from({ length: needles }, (__, n) => (n === 0 && m === 0 ? first : null));
    // A stitch takes a second.
    return machine(`m${m}`, {
      needles,
      threaded,
      stitchesPerMinute: 60,
      colourChangeS: 3 * m,
      trimS: 0,
      threadS: 40 + 20 * m,
      loadS: 30,
      unloadS: 10,
    });
  });
  const jobs = Array.from({ length: 5 - machines.length }, (_, j) => {
    const own = colours.filter(() => chance.below(2) === 0).slice(0, 2);
    const asked = own.length > 0 ? own : [pick(colours, chance)];
    return job(`j${j}`, asked, {
      parts: asked.map((colour) => ({ colour, stitches: 60 + 30 * chance.below(8) })),
      hoopS: 0,
      unhoopS: 0,
      finishS: 0,
      dueAt: chance.below(3) === 0 ? null : 300 + 100 * chance.below(9),
      weight: 1 + chance.below(2),
    });
  });
  const hands = ["ann", "ben", "cleo", "dan"].map((id) => ({ id, shifts: [[0, 20_000]] as const }));
  const cost = { perLateMinute: 2, perThreading: 1.5, perMidStop: 1000, perFinishMinute: 0.5 };
  const hoops = [{ id: "round", count: 9 }];
  return { problem: shop({ hands, open: [[0, 20_000]], hoops, machines, jobs, cost }), colours };
}

/** The model in the CPLEX LP format. */
function modelOf({ problem, colours }: Tiny): string {
  const { jobs, machines, cost } = problem;
  const sewnS = jobs.reduce((sum, one) => sum + one.parts.reduce((own, part) => own + part.stitches, 0), 0);
  // No day that is any good lasts longer: all on one machine, everything threaded for each job.
  const longest = sewnS + jobs.length * (40 + 2 * 60 + 3);
  const places = jobs.map((_, k) => k);
  const rows: string[] = [];
  const binaries: string[] = [];
  const at = (j: number, m: number, k: number) => `x_${j}_${m}_${k}`;
  const on = (c: number, m: number, k: number) => `y_${c}_${m}_${k}`;
  const threads = (c: number, m: number, k: number) => `z_${c}_${m}_${k}`;
  const ends = (m: number, k: number) => `t_${m}_${k}`;
  jobs.forEach((_, j) => {
    rows.push(`${machines.flatMap((__, m) => places.map((k) => at(j, m, k))).join(" + ")} = 1`);
  });
  machines.forEach((own, m) => {
    places.forEach((k) => {
      rows.push(`${jobs.map((_, j) => at(j, m, k)).join(" + ")} <= 1`);
      // Places are filled from the front: the same days, fewer ways to say them.
      if (k > 0)
        rows.push(
          `${jobs.map((_, j) => at(j, m, k - 1)).join(" + ")} - ${jobs.map((_, j) => at(j, m, k)).join(" - ")} >= 0`,
        );
      rows.push(`${colours.map((_, c) => on(c, m, k)).join(" + ")} <= ${own.needles}`);
      colours.forEach((colour, c) => {
        const before = k > 0 ? ` + ${on(c, m, k - 1)}` : "";
        const start = k === 0 && own.threaded.includes(colour) ? 1 : 0;
        rows.push(`${threads(c, m, k)} - ${on(c, m, k)}${before} >= ${-start}`);
        jobs.forEach((one, j) => {
          if (one.parts.some((part) => part.colour === colour))
            rows.push(`${on(c, m, k)} - ${at(j, m, k)} >= 0`);
        });
        binaries.push(on(c, m, k));
      });
      const busy = jobs.map((one, j) => {
        const sewn = one.parts.reduce((sum, part) => sum + part.stitches, 0);
        const changes = one.parts.length - 1;
        return ` - ${own.loadS + sewn + own.colourChangeS * changes + own.unloadS} ${at(j, m, k)}`;
      });
      const threading = colours.map((_, c) => ` - ${own.threadS} ${threads(c, m, k)}`);
      const earlier = k > 0 ? ` - ${ends(m, k - 1)}` : "";
      rows.push(`${ends(m, k)}${earlier}${busy.join("")}${threading.join("")} >= 0`);
      jobs.forEach((one, j) => {
        binaries.push(at(j, m, k));
        if (one.dueAt !== null)
          rows.push(`l_${j} - ${ends(m, k)} - ${longest} ${at(j, m, k)} >= ${-one.dueAt - longest}`);
      });
    });
    rows.push(`f - ${ends(m, places.length - 1)} >= 0`);
  });
  const late = jobs.flatMap(({ dueAt, weight }, j) =>
    dueAt === null ? [] : [`${(cost.perLateMinute * weight) / 60} l_${j}`],
  );
  const threaded = machines.flatMap((_, m) =>
    places.flatMap((k) => colours.map((__, c) => `${cost.perThreading} ${threads(c, m, k)}`)),
  );
  const objective = [...late, ...threaded, `${cost.perFinishMinute / 60} f`].join(" + ");
  const numbered = rows.map((row, at) => ` r${at}: ${row}`).join("\n");
  return `Minimize\n obj: ${objective}\nSubject To\n${numbered}\nBinary\n ${binaries.join("\n ")}\nEnd\n`;
}

const DAYS = 6;

describe("tiny days against HiGHS", () => {
  it("cost what the exact model costs, and no bound lies above it", async () => {
    const highs = await loadHighs();
    const chance = seededChance(41);
    for (let n = 0; n < DAYS; n++) {
      const tiny = tinyDay(chance);
      const exact = highs.solve(modelOf(tiny), { mip_rel_gap: 0, mip_abs_gap: 1e-7 });
      expect(exact.Status).toBe("Optimal");
      const plan = solve(tiny.problem, { evaluations: 2000 });
      expect(checkPlan(tiny.problem, plan).findings).toEqual([]);
      expect(plan.totals.cost).toBeCloseTo(exact.ObjectiveValue, 4);
      expect(plan.bounds.cost).toBeLessThanOrEqual(exact.ObjectiveValue + 1e-6);
    }
  });
});
