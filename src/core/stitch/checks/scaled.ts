import type { DesignCheck } from "./check";

/** TRADE.md: finished stitches bear ±10 % (common practice, no source). */
export const SCALE_LIMITS = { least: 0.9, most: 1.1 } as const;

/** Finished stitches made larger or smaller than their density bears. */
export const scaled: DesignCheck = ({ context: { scale } }) => {
  if (scale === undefined || (SCALE_LIMITS.least <= scale && scale <= SCALE_LIMITS.most)) return [];
  const spacing = (0.4 * scale).toFixed(2);
  return [
    {
      code: "scaled-too-far",
      level: scale < 0.75 || scale > 1.35 ? "stop" : "warning",
      message: `Scaled to ${Math.round(scale * 100)} %: beyond 90 to 110 % the density is wrong; rows of 0.40 mm now stand ${spacing} mm apart, and ${scale < 1 ? "under 0.30 mm the cloth is cut" : "over 0.50 mm it shows"}.`,
      advice: "Have the design made again at this size.",
    },
  ];
};
