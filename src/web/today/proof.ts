/** What is proven about a plan, in words. */

/** Threadings against what no plan can go below: "no plan can have fewer than 29 threadings". */
export function boundWords(threadings: number, bound: number): string {
  const least = leastOf(bound);
  if (threadings <= least) return "Proven: no plan has fewer threadings.";
  return least > 0
    ? `No plan can have fewer than ${least} ${least === 1 ? "threading" : "threadings"}.`
    : "Nothing is proven yet.";
}

/** The same beside the count of threadings. */
export function shortBoundWords(threadings: number, bound: number): string {
  const least = leastOf(bound);
  if (threadings <= least) return "proven fewest";
  return least > 0 ? `no plan can have fewer than ${least}` : "no lower limit is proven yet";
}

const leastOf = (bound: number): number => Math.max(0, Math.ceil(bound - 1e-6));

/** Whether a plan is proven best: its cost meets the bound. */
export const isProven = (cost: number, bound: number): boolean => bound > 0 && cost <= bound + 1e-6;
