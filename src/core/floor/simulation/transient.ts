/** How long a season that begins with an empty shop takes to forget it. */

const BATCH = 5;

/**
 * MSER-5 (K. P. White, M. J. Cobb, S. C. Spratt, Proceedings of the Winter Simulation Conference 2000, 755–760, from
 * memory): of the means of batches of five, so many are left out from the beginning that the squared standard error of
 * the mean of the rest is least; never more than half. Gives observations to leave out; half or more of the batches
 * means that the run was too short to tell, and gives `null`.
 */
export function initialTransient(values: readonly number[]): number | null {
  const batches = Array.from({ length: Math.floor(values.length / BATCH) }, (_, at) =>
    values.slice(at * BATCH, (at + 1) * BATCH).reduce((sum, one) => sum + one / BATCH, 0),
  );
  const half = Math.floor(batches.length / 2);
  if (half < 2) return null;
  let best = 0;
  let least = Infinity;
  for (let left = 0; left <= half; left++) {
    const rest = batches.slice(left);
    const mean = rest.reduce((sum, one) => sum + one, 0) / rest.length;
    const squares = rest.reduce((sum, one) => sum + (one - mean) ** 2, 0);
    const error = squares / rest.length ** 2;
    if (error < least) {
      least = error;
      best = left;
    }
  }
  return best === half ? null : best * BATCH;
}
