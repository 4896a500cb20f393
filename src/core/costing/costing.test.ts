import { describe, expect, it } from "vitest";
import { seededChance } from "#core/base";
import {
  allowanceWords,
  earned,
  fittedWear,
  machineHour,
  pieceCost,
  type PieceCostAsked,
  priceFor,
  renewalAge,
  roundedPrice,
  sharedCents,
  standardTime,
  standardTimeOf,
  tierPrices,
} from ".";

describe("renewing a part before it fails", () => {
  // R. E. Barlow, F. Proschan (1965), ch. 4; the numbers from a public worked problem and two of its solvers.
  it("finds 493 hours for shape 2.5, scale 1000, costs 1 and 5", () => {
    const { hours, costPerHour, costPerHourUntilFailure } = renewalAge(
      { shape: 2.5, scaleHours: 1000 },
      { planned: 1, afterFailure: 5 },
    );
    expect(hours).toBeCloseTo(493.047, 2);
    expect(costPerHour).toBeCloseTo(0.003462043, 8);
    expect(costPerHourUntilFailure).toBeCloseTo(0.005635302, 8);
  });

  it("renews nothing early that does not wear, or whose failure costs no more", () => {
    expect(renewalAge({ shape: 1, scaleHours: 500 }, { planned: 1, afterFailure: 9 }).hours).toBeNull();
    expect(renewalAge({ shape: 3, scaleHours: 500 }, { planned: 2, afterFailure: 2 }).hours).toBeNull();
  });

  it("fits the log of the NIST/SEMATECH e-Handbook, 8.4.1.3", () => {
    const fitted = fittedWear({
      failedHours: [54, 187, 216, 240, 244, 335, 361, 373, 375, 386],
      soundHours: Array(10).fill(500),
    })!;
    expect(fitted.shape).toBeCloseTo(1.7207, 3);
    expect(fitted.scaleHours).toBeCloseTo(606.528, 1);
    expect(fittedWear({ failedHours: [100], soundHours: [300] })).toBeNull();
  });
});

describe("standard time (time-study teaching examples)", () => {
  it("knows both conventions of the allowance, and says which", () => {
    expect(standardTime(21.5 * 0.85, { share: 0.1, of: "of-shift" })).toBeCloseTo(20.306, 3);
    expect(standardTime(30 * 1.25, { share: 0.2, of: "of-work" })).toBeCloseTo(45, 9);
    expect(standardTime(18.2, { share: 0.14, of: "of-work" })).toBeCloseTo(20.748, 9);
    expect(allowanceWords({ share: 0.09, of: "of-work" })).toBe("9 % on top of the work");
    expect(allowanceWords({ share: 0.125, of: "of-shift" })).toBe("12.5 % of the shift");
  });

  it("adds up elements by how often they come", () => {
    const observed = [2.22, 1.14, 1.43, 5.5, 10];
    const times = [1, 1, 1, 0.2, 0.1];
    const elements = observed.map((observedS, at) => ({ observedS, times: times[at]! }));
    const minutes = standardTimeOf(elements, 1.3, { share: 0.25, of: "of-shift" });
    expect(minutes).toBeCloseTo(11.943, 2);
    expect(480 / minutes).toBeCloseTo(40.19, 1);
  });
});

describe("cents that add up", () => {
  it("shares any total so that the parts make it, each within a cent of its share", () => {
    const chance = seededChance(3);
    for (let round = 0; round < 2000; round += 1) {
      const weights = Array.from({ length: 1 + chance.below(9) }, () =>
        chance.below(4) === 0 ? 0 : chance.next(),
      );
      const total = chance.below(10_000) - 2000;
      const parts = sharedCents(total, weights);
      const sum = weights.reduce((all, one) => all + one, 0);
      expect(parts.reduce((all, one) => all + one, 0)).toBe(total);
      parts.forEach((part, at) => {
        const exact = sum === 0 ? total / weights.length : (total * weights[at]!) / sum;
        expect(Math.abs(part - exact)).toBeLessThan(1 + 1e-9);
      });
    }
  });

  it("rounds as a shop does", () => {
    const up = { stepCents: 100, endCents: 95, way: "up" } as const;
    expect([1201, 1295, 1296, 12].map((cents) => roundedPrice(cents, up))).toEqual([1295, 1295, 1395, 95]);
    expect(roundedPrice(1224, { stepCents: 50, endCents: 0, way: "nearest" })).toBe(1200);
    expect(roundedPrice(0.1 * 3 * 1000, { stepCents: 100, endCents: 0, way: "up" })).toBe(300);
  });
});

const entered = { by: "entered" } as const;
const asked: PieceCostAsked = {
  used: [
    { kind: "blank", what: "hand towel", amount: 1, unit: "piece", centsPerUnit: 640, known: entered },
    { kind: "thread", what: "sea blue", amount: 31.4, unit: "m", centsPerUnit: 0.42, known: entered },
    { kind: "machine", what: "ten-needle", amount: 0.21, unit: "h", centsPerUnit: 386, known: entered },
  ],
  work: [
    { what: "hooping", seconds: 47, known: { by: "measured", count: 31 } },
    { what: "finishing", seconds: 300, known: { by: "common-practice" } },
  ],
  wageCentsPerHour: 1850,
  allowance: { share: 0.09, of: "of-work" },
  spoiledShare: 0.02,
  spoiledKnown: { by: "guessed" },
  overhead: { key: "per-hand-hour", rate: 900 },
};

describe("a piece's cost", () => {
  it("opens to its numbers and adds up to the cent", () => {
    const { lines, totalCents } = pieceCost(asked);
    expect(lines.reduce((sum, { cents }) => sum + cents, 0)).toBe(totalCents);
    lines.forEach((line) => expect(line.amount * line.rate).toBeCloseTo(line.exactCents, 9));
    // Worked by hand: 640 + 13.188 + 81.06, hands 347 s × 1.09 / 3600 h × 1850; 2 of 98 remade; overhead on hands' hours.
    const hands = ((347 * 1.09) / 3600) * 1850;
    const direct = 640 + 13.188 + 81.06 + hands;
    expect(totalCents).toBe(Math.round(direct * (1 + 2 / 98) + ((347 * 1.09) / 3600) * 900));
  });

  it("works out a machine's hour from its parts", () => {
    const hour = machineHour({
      priceCents: 900_000,
      resaleCents: 200_000,
      lifeHours: 10_000,
      serviceCents: 40_000,
      serviceEveryHours: 500,
      repairCentsPerHour: 12,
      powerKw: 0.4,
      energyCentsPerKwh: 30,
    });
    expect(hour).toEqual({ lossOfWorth: 70, service: 80, repair: 12, energy: 12, total: 174 });
  });
});

describe("price and margin", () => {
  const selling = { taxShare: 0.21, feeShare: 0.065, feeCents: 20 };

  it("adds up: tax, fees, cost and profit are the price", () => {
    const sold = earned(2495, 1120, selling);
    expect(sold.taxCents + sold.feesCents + sold.costCents + sold.profitCents).toBe(2495);
    expect(earned(500, 1120, selling).profitCents).toBeLessThan(0);
  });

  it("reaches the margin asked for, with the smallest price that does", () => {
    const rounding = { stepCents: 5, endCents: 0, way: "up" } as const;
    const chance = seededChance(19);
    for (let round = 0; round < 500; round += 1) {
      const cost = 100 + chance.below(9000);
      const margin = 0.5 * chance.next();
      const sold = priceFor(cost, margin, selling, rounding);
      expect(sold.margin!).toBeGreaterThanOrEqual(margin - 1e-9);
      expect(earned(sold.priceCents - 10, cost, selling).margin!).toBeLessThan(margin + 1e-9);
    }
  });

  it("refuses a margin that the fees leave no room for", () => {
    expect(() => priceFor(1000, 0.95, selling, { stepCents: 1, endCents: 0, way: "up" })).toThrow(
      /leaves nothing/,
    );
  });

  it("gives tiers that fall and never lose", () => {
    const tiers = [
      { from: 1, margin: 0.35 },
      { from: 10, margin: 0.3 },
      { from: 50, margin: 0.25 },
    ];
    const prices = tierPrices({ onceCents: 3000, eachCents: 900 }, tiers, selling, {
      stepCents: 10,
      endCents: 0,
      way: "up",
    });
    const written = prices.map(({ priceCents }) => priceCents);
    expect([...written].sort((a, b) => b - a)).toEqual(written);
    prices.forEach(({ profitCents }) => expect(profitCents).toBeGreaterThan(0));
  });
});
