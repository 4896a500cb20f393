import { mmFromTenths } from "#core/base";
import { stitchExtents } from "../stitches";
import type { DesignCheck } from "./check";

/** The start is where the machine is lined up; far from the middle the hoop may be struck. */
export const startOffCentre: DesignCheck = ({ design, counts }) => {
  if (counts.stitches === 0) return [];
  const box = stitchExtents(design);
  const dx = mmFromTenths((box.left + box.right) / 2);
  const dy = mmFromTenths((box.bottom + box.top) / 2);
  const half = mmFromTenths(Math.max(box.right - box.left, box.top - box.bottom)) / 2;
  const far = Math.hypot(dx, dy);
  if (far <= Math.max(5, half * 0.25)) return [];
  const sides = [
    Math.abs(dx) >= 0.05 ? `${Math.abs(dx).toFixed(1)} mm ${dx > 0 ? "left" : "right"}` : "",
    Math.abs(dy) >= 0.05 ? `${Math.abs(dy).toFixed(1)} mm ${dy > 0 ? "below" : "above"}` : "",
  ];
  return [
    {
      code: "start-off-centre",
      level: "note",
      message: `The design starts ${far.toFixed(1)} mm from its middle (${sides.filter((side) => side !== "").join(", ")}).`,
      at: { xTenths: 0, yTenths: 0 },
      advice: "Line up the start, not the middle, or move the design so that both fall together.",
    },
  ];
};
