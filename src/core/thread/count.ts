/** Linear density conversions, ISO 1144: tex is grams a kilometre. */
const DENIER_PER_TEX = 9;
const METRIC_TIMES_TEX = 1000;
/** 840 yards a hank, hanks a pound: 590.5412 = 453.59237 g / (840 × 0.9144 m) × 1000. */
const COTTON_TIMES_TEX = 590.5412;

/** Denier is grams in 9 km. */
export const texFromDenier = (denier: number): number => denier / DENIER_PER_TEX;
export const denierFromTex = (tex: number): number => tex * DENIER_PER_TEX;
/** Metric count (Nm) is metres a gram; the same formula both ways. */
export const texFromMetricCount = (metricCount: number): number => METRIC_TIMES_TEX / metricCount;
export const metricCountFromTex = (tex: number): number => METRIC_TIMES_TEX / tex;
export const texFromCottonCount = (cottonCount: number): number => COTTON_TIMES_TEX / cottonCount;

/** Embroidery thread "40 weight": two plies of 120 denier, 26.7 tex, resultant Nm 37.5. Common practice, no source. */
export const FORTY_WEIGHT_TEX = 2 * (120 / DENIER_PER_TEX);

/**
 * The diameter in mm of a round thread of this density: d = √(4·tex / (π·ρ·1000)) with ρ in g/cm³ of the yarn,
 * air included. Polyester fibre is 1.38 g/cm³; a yarn packs to about 0.6 of it (common practice, no source).
 */
export function threadDiameterMm(densityTex: number, yarnGramsPerCm3 = 0.83): number {
  return Math.sqrt((4 * densityTex) / (Math.PI * yarnGramsPerCm3 * 1000));
}
