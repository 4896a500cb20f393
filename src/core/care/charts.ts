/**
 * Two control charts. Counts over unequal units: the c and u charts, centre ± 3 standard deviations of a Poisson count
 * (NIST/SEMATECH e-Handbook of Statistical Methods 6.3.3.1). Slow changes: the exponentially weighted moving average
 * (6.3.2.4; S. W. Roberts, Technometrics 1 (1959) 239–250).
 */
import { invariant } from "#core/base";

export interface CountPoint {
  readonly events: number;
  /** How much was looked at: one piece, thousands of stitches; above 0. */
  readonly units: number;
}

export interface ChartPoint {
  /** Events a unit, or the average. */
  readonly value: number;
  readonly low: number;
  readonly high: number;
  readonly side: "below" | "within" | "above";
}

export interface CountChart {
  /** Events a unit over all points. */
  readonly centre: number;
  readonly points: readonly ChartPoint[];
}

const WIDTH = 3;

const placed = (value: number, low: number, high: number): ChartPoint => ({
  value,
  low,
  high,
  side: value < low ? "below" : value > high ? "above" : "within",
});

/** The u chart of counts (the c chart where every point is one unit). Without points the centre is 0. */
export function countChart(points: readonly CountPoint[]): CountChart {
  invariant(
    points.every((point) => point.units > 0),
    "a count chart needs units above 0",
  );
  const events = points.reduce((sum, point) => sum + point.events, 0);
  const units = points.reduce((sum, point) => sum + point.units, 0);
  const centre = units === 0 ? 0 : events / units;
  return {
    centre,
    points: points.map((point) => {
      const half = WIDTH * Math.sqrt(centre / point.units);
      return placed(point.events / point.units, Math.max(0, centre - half), centre + half);
    }),
  };
}

export interface EwmaAsked {
  /** Each value with its own standard deviation. */
  readonly values: readonly { readonly value: number; readonly sigma: number }[];
  readonly target: number;
  /** Weight of the newest value, 0 to 1. */
  readonly lambda: number;
  /** Half the chart's width in standard deviations of the average. */
  readonly width: number;
}

export interface EwmaChart {
  readonly target: number;
  readonly points: readonly ChartPoint[];
}

/**
 * The moving average z ← λx + (1 − λ)z from the target on, and its limits. Equal sigmas give the handbook's
 * target ± k·s·√(λ/(2 − λ)); unequal ones the same recursion on variances.
 */
export function ewmaChart({ values, target, lambda, width }: EwmaAsked): EwmaChart {
  invariant(0 < lambda && lambda <= 1, "an EWMA's weight lies above 0 and at most at 1");
  let average = target;
  let variance = (lambda / (2 - lambda)) * (values[0]?.sigma ?? 0) ** 2;
  const points = values.map(({ value, sigma }) => {
    average = lambda * value + (1 - lambda) * average;
    variance = lambda ** 2 * sigma ** 2 + (1 - lambda) ** 2 * variance;
    const half = width * Math.sqrt(variance);
    return placed(average, target - half, target + half);
  });
  return { target, points };
}
