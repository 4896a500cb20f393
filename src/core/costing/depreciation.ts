/**
 * How a purchase loses its value in the books, year by year, by the usual methods. Rules differ by country and change:
 * whoever does the studio's books decides which holds; these tables only show what each method gives.
 */
import { invariant } from "#core/base";

export interface Depreciated {
  readonly cost: number;
  /** What it is expected to bring when sold, at the end. */
  readonly salvage: number;
  readonly years: number;
}

/** The same every year. */
export function straightLine({ cost, salvage, years }: Depreciated): readonly number[] {
  invariant(years >= 1 && cost >= salvage, "depreciation needs a year or more, and a cost above the salvage");
  return Array.from({ length: years }, () => (cost - salvage) / years);
}

/** By use: hours run, stitches, prints. One amount for each of `unitsByYear`, never more than is left. */
export function byUse(
  { cost, salvage }: Omit<Depreciated, "years">,
  unitsInAll: number,
  unitsByYear: readonly number[],
): readonly number[] {
  invariant(unitsInAll > 0, "depreciation by use needs the units of a whole life");
  const perUnit = (cost - salvage) / unitsInAll;
  let left = cost - salvage;
  return unitsByYear.map((units) => {
    const amount = Math.min(left, units * perUnit);
    left -= amount;
    return amount;
  });
}

/** A share of what is left each year (`factor` 2: twice the straight-line share), never below the salvage. */
export function decliningBalance({ cost, salvage, years }: Depreciated, factor = 2): readonly number[] {
  invariant(years >= 1 && factor > 0, "a declining balance needs a year or more and a factor above 0");
  let book = cost;
  return Array.from({ length: years }, () => {
    const amount = Math.max(0, Math.min(book * Math.min(1, factor / years), book - salvage));
    book -= amount;
    return amount;
  });
}

/** When within the first year the thing counts as bought: its middle, or the middle of a quarter. */
export type Convention = "half-year" | 1 | 2 | 3 | 4;

/**
 * Shares of the cost, in percent, of the United States' accelerated recovery for property of 3, 5, 7, 10 (200 %), 15 or
 * 20 years (150 %): declining balance, going over to equal parts of what is left as soon as those are more. Printed
 * tables round each year to two decimals. Source: IRS Publication 946, Appendix A, tables A-1 to A-5.
 */
export function acceleratedShares(
  years: 3 | 5 | 7 | 10 | 15 | 20,
  convention: Convention,
): readonly number[] {
  const factor = years >= 15 ? 1.5 : 2;
  const firstPart = convention === "half-year" ? 0.5 : (4 - convention + 0.5) / 4;
  let left = 100;
  let lifeLeft = years;
  const shares: number[] = [];
  for (let year = 0; year <= years; year += 1) {
    const part = year === 0 ? firstPart : Math.min(1, lifeLeft);
    const share = part * Math.max((left * factor) / years, left / Math.max(lifeLeft, part));
    shares.push(Math.min(left, share));
    left -= shares[year]!;
    lifeLeft -= part;
  }
  return shares;
}
