import { mmFromTenths } from "#core/base";
import { stitchExtents } from "../stitches";
import type { DesignCheck } from "./check";

/** The design, centred, against the field it is to be sewn in. */
export const outsideField: DesignCheck = ({ design, counts, context }) => {
  const field = context.fieldMm;
  if (field === undefined || counts.stitches === 0) return [];
  const box = stitchExtents(design);
  const width = mmFromTenths(box.right - box.left);
  const height = mmFromTenths(box.top - box.bottom);
  if (width <= field.width && height <= field.height) return [];
  const turned = height <= field.width && width <= field.height;
  return [
    {
      code: "outside-field",
      level: "stop",
      message: `The design is ${width.toFixed(1)} × ${height.toFixed(1)} mm; the field is ${field.width} × ${field.height} mm.`,
      advice: turned ? "Turned by 90° it fits." : "Take a larger hoop, or make the design smaller.",
    },
  ];
};
