/**
 * The local level model: a level that wanders a little, seen through noise, y = E·μ + ε, μ' = μ + η, var ε = σ²E,
 * var η = qσ². Filtered by the Kalman recursion from a diffuse start, σ² concentrated out, q by maximum likelihood over
 * the ratios given (J. Durbin, S. J. Koopman, Time Series Analysis by State Space Methods, 2nd ed. 2012, ch. 2). With
 * q = 0 the level is the plain mean.
 */

export interface LevelAsked {
  /** What was seen in each period, oldest first. */
  readonly values: readonly number[];
  /** How much of a full period each was; a period of 0 tells nothing, but time passes. */
  readonly exposures: readonly number[];
  /** The ratios q to choose from, in order of trust. */
  readonly ratios: readonly number[];
  /** How much likelier (natural logarithm) another ratio must be than the first to be believed. */
  readonly evidence?: number;
}

export interface Level {
  /** The level after the last period, for a full period. */
  readonly level: number;
  /** Its variance. */
  readonly variance: number;
  /** σ², of a full period's noise. */
  readonly noise: number;
  readonly ratio: number;
  /** Periods that told something. */
  readonly periods: number;
  readonly logLikelihood: number;
}

/** The likeliest level; null where no period tells anything. With one period the noise is 0. */
export function fitLevel({ values, exposures, ratios, evidence = 0 }: LevelAsked): Level | null {
  const found = ratios.flatMap((ratio) => filtered(values, exposures, ratio) ?? []);
  const [first] = found;
  if (!first) return null;
  const best = found.reduce((a, b) => (b.logLikelihood > a.logLikelihood ? b : a));
  return best.logLikelihood - first.logLikelihood >= evidence ? best : first;
}

function filtered(values: readonly number[], exposures: readonly number[], ratio: number): Level | null {
  let level = 0;
  /** In units of σ²; Infinity until the first period that tells something. */
  let variance = Infinity;
  let periods = 0;
  let squares = 0;
  let logs = 0;
  values.forEach((value, index) => {
    const exposure = exposures[index]!;
    if (exposure > 0) {
      periods++;
      if (variance === Infinity) {
        level = value / exposure;
        variance = 1 / exposure;
      } else {
        const scale = exposure * exposure * variance + exposure;
        const surprise = value - exposure * level;
        squares += (surprise * surprise) / scale;
        logs += Math.log(scale);
        const gain = (variance * exposure) / scale;
        level += gain * surprise;
        variance -= gain * exposure * variance;
      }
    }
    // The level wanders between periods, not after the last.
    if (index < values.length - 1 && variance !== Infinity) variance += ratio;
  });
  if (periods === 0) return null;
  const degrees = periods - 1;
  const noise = degrees === 0 ? 0 : squares / degrees;
  const logLikelihood =
    degrees === 0 || noise === 0 ? 0 : -0.5 * (degrees * (Math.log(2 * Math.PI * noise) + 1) + logs);
  return { level, variance: variance * noise, noise, ratio, periods, logLikelihood };
}
