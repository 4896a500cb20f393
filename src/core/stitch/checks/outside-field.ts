import { type Finding, mmFromTenths } from "#core/base";
import { STITCH, type Stitches, stitchExtents } from "../stitches";
import { type DesignCheck, placeOf } from "./check";

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
      at: furthest(design, (box.left + box.right) / 2, (box.bottom + box.top) / 2, field),
      advice: turned ? "Turned by 90° it fits." : "Take a larger hoop, or make the design smaller.",
    },
  ];
};

/** The penetration that stands furthest out of the field laid about the design's middle. */
function furthest(
  design: Stitches,
  middleX: number,
  middleY: number,
  field: { readonly width: number; readonly height: number },
): Finding["at"] {
  let most = -Infinity;
  let at = 0;
  for (let i = 0; i < design.kind.length; i++) {
    if (design.kind[i] !== STITCH) continue;
    const out = Math.max(
      Math.abs(design.x[i]! - middleX) - field.width * 5,
      Math.abs(design.y[i]! - middleY) - field.height * 5,
    );
    if (out > most) [most, at] = [out, i];
  }
  return placeOf(design, at);
}
