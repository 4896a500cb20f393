/**
 * Thread: its colour, its density, and how much of it is used. Colours are sRGB or CIELAB under D65, densities tex,
 * lengths mm or metres as the name says. It takes lengths, not stitches, and knows no maker's colour card.
 */
export {
  colourDifference,
  contrastRatio,
  hexFromRgb,
  type Lab,
  labFromHex,
  labFromRgb,
  nearestColour,
  relativeLuminance,
  type Rgb,
  rgbFromHex,
  rgbFromLab,
} from "./colour";
export { cssColour } from "./css-colour";
export {
  CONSUMPTION_DEFAULTS,
  type ConsumptionInput,
  type ConsumptionModel,
  threadConsumption,
} from "./consumption";
export {
  denierFromTex,
  FORTY_WEIGHT_TEX,
  metricCountFromTex,
  texFromCottonCount,
  texFromDenier,
  texFromMetricCount,
  threadDiameterMm,
} from "./count";
