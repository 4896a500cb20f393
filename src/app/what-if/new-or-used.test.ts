import { expect, it } from "vitest";
import { newOrUsed } from "./new-or-used";

const question = {
  fresh: { priceCents: 1_000_000, resaleCents: 200_000 },
  used: { priceCents: 400_000, hours: 4000, resaleCents: 50_000 },
  hoursAYear: 1500,
  years: 5,
  rate: 0.05,
  failures: { firstAfterHours: 3000, shape: 2, count: 6, repairCents: 60_000, daysAway: 5 },
  lostDayCents: 4000,
};

it("a used machine is told by its hours and its price, with what the failures known leave open", () => {
  const answer = newOrUsed(question, "EUR");
  expect(answer.evenPriceCents.low).toBeLessThan(answer.evenPriceCents.likely);
  expect(answer.evenPriceCents.likely).toBeLessThan(answer.evenPriceCents.high);
  expect(answer.failures.used).toBeGreaterThan(answer.failures.fresh);
  expect(answer.sentence).toMatch(/fewer than about \d+ hours \(\d+–\d+\) at its price, or costs less than about EUR \d+/);
  expect(answer.questions.length).toBeGreaterThan(5);
}); // prettier-ignore

it("the range is wider where nobody has counted, and hours are not told where they do not matter", () => {
  const spread = (count: number | null) => {
    const { low, high } = newOrUsed(
      { ...question, failures: { ...question.failures, count } },
      "EUR",
    ).evenPriceCents;
    return high - low;
  };
  expect(spread(100)).toBeLessThan(spread(null));
  const steady = newOrUsed({ ...question, failures: { ...question.failures, shape: 1 } }, "EUR");
  expect(steady.evenHours).toBeNull();
  expect(steady.sentence).not.toContain("fewer than");
});
