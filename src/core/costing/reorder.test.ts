import { describe, expect, it } from "vitest";
import {
  balancedService,
  economicOrder,
  normalLoss,
  orderingCost,
  orderWithDiscounts,
  orderWithWaiting,
  reorderCost,
  reorderPoint,
  seasonCost,
  seasonCostWhole,
  seasonOrder,
  seasonOrderWhole,
} from "./reorder";

/** L. V. Snyder, Z.-J. M. Shen, Fundamentals of Supply Chain Theory, 2nd ed., Wiley 2019; values by an open library of it. */
const sweets = { orderCost: 8, holding: 0.225 };
const month = { mean: 1300, deviation: 150, periods: 1 / 12 };

describe("when to order again and how much (Snyder and Shen 2019)", () => {
  it("has the square-root order of Example 3.1 and Problem 3.1", () => {
    expect(economicOrder(1300, sweets).amount).toBeCloseTo(304.0467800264368, 9);
    expect(economicOrder(1300, sweets).cost).toBeCloseTo(68.41052550594829, 9);
    const problem = economicOrder(182_500, { orderCost: 2250, holding: 275 });
    expect(problem.amount).toBeCloseTo(1728.109844993551, 6);
    expect(problem.cost).toBeCloseTo(475_230.2073732266, 6);
    expect(orderingCost(1300, 304.0467800264368, sweets)).toBeCloseTo(68.41052550594829, 9);
  });

  it("takes the discount on all units that costs least (an open library's example)", () => {
    const breaks = [
      { from: 0, price: 500 },
      { from: 200, price: 475 },
      { from: 500, price: 450 },
    ];
    const best = orderWithDiscounts(1000, breaks, { orderCost: 200, rate: 0.2 });
    expect(best).toMatchObject({ amount: 500, price: 450 });
    expect(best.cost).toBeCloseTo(472_900, 6);
  });

  it("orders more where customers wait (Example 3.8)", () => {
    const { amount, cost, waitingShare } = orderWithWaiting(1300, sweets, 5);
    expect(amount).toBeCloseTo(310.81255515896464, 9);
    expect(waitingShare).toBeCloseTo(0.0430622009569378, 12);
    expect(cost).toBeCloseTo(66.92136355097325, 9);
  });

  it("keeps enough for the time until it comes (Example 5.5), and prices a policy exactly (Example 5.1)", () => {
    const service = balancedService(0.225, 7.5);
    expect(reorderPoint(month, service).point).toBeCloseTo(190.3369965715624, 6);
    expect(reorderCost(126.8, 328.5, month, { ...sweets, shortage: 7.5 })).toBeCloseTo(78.07116250928294, 6);
    expect(normalLoss(1.3)).toBeCloseTo(0.04552796208651397, 12);
    // Standard normal quantiles, from memory.
    for (const [share, z] of [
      [0.9, 1.2816],
      [0.95, 1.6449],
      [0.99, 2.3263],
    ] as const)
      expect(reorderPoint({ mean: 0, deviation: 1, periods: 1 }, share).safety).toBeCloseTo(z, 4);
  });

  it("buys once for a season: normal (Example 4.3), by chance (library example), small (Example 4.7)", () => {
    const papers = { over: 0.18, under: 0.7 };
    const { amount, cost } = seasonOrder(50, 8, papers);
    expect(amount).toBeCloseTo(56.60395592743389, 7);
    expect(cost).toBeCloseTo(1.9976051931766445, 8);
    expect(seasonCost(60, 50, 8, papers)).toBeCloseTo(2.156131552870387, 8);
    // The library integrates by steps; its own tolerance.
    expect(Math.abs(seasonCost(40, 50, 8, papers) - 7.35613154776623)).toBeLessThan(1e-8);
    expect(seasonOrderWhole(50, papers).amount).toBe(56);
    expect(seasonOrderWhole(50, papers).cost).toBeCloseTo(1.797235211809178, 9);
    const few = { over: 1, under: 4 };
    expect(seasonOrderWhole(6, few).amount).toBe(8);
    expect(seasonOrderWhole(6, few).cost).toBeCloseTo(3.570106945770941, 9);
    expect(seasonCostWhole(5, 6, few)).toBeCloseTo(6.590296024616343, 9);
  });
});
