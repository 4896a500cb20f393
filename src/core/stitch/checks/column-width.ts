import type { Finding } from "#core/base";
import { CLOTHS } from "../cloth";
import { countOf, type DesignCheck, placeOf, placesOf } from "./check";
import type { SewnColumn } from "./sewn-columns";

/** A pointed end narrows on purpose: only what stays narrow over this length counts. */
const NARROW_LENGTH_MM = 2;

/** Satin so narrow that it sinks in, or so wide that it catches (TRADE.md; common practice, no source). */
export const columnWidth: DesignCheck = ({ design, context, columns }) => {
  const { smallestColumnMm, splitSatinMm } = CLOTHS[context.cloth ?? "woven"];
  const on = context.cloth === undefined ? "" : ` on ${context.cloth}`;
  const narrow: { readonly at: number; readonly widthMm: number }[] = [];
  const wide: { readonly at: number; readonly widthMm: number }[] = [];
  for (const column of columns()) {
    const thin = narrowStretch(column, smallestColumnMm);
    if (thin !== null) narrow.push(thin);
    const widest = column.widthsMm.reduce((most, width) => Math.max(most, width), 0);
    // Half a tenth is what rounding to whole tenths may add.
    if (widest > splitSatinMm + 0.05)
      wide.push({ at: column.from + 1 + column.widthsMm.indexOf(widest), widthMm: widest });
  }
  const findings: Finding[] = [];
  if (narrow.length > 0) {
    narrow.sort((a, b) => a.widthMm - b.widthMm || a.at - b.at);
    const worst = narrow[0]!;
    findings.push({
      code: "column-too-narrow",
      level: "warning",
      message: `${countOf(narrow.length, "column")} of satin ${narrow.length === 1 ? "is" : "are"} narrower than ${smallestColumnMm} mm (the narrowest ${worst.widthMm.toFixed(1)} mm); under that satin sinks in${on}.`,
      advice: "Have it made larger or bolder, or sewn as a run of two or three passes.",
      at: placeOf(design, worst.at),
      ...placesOf(
        design,
        narrow.map(({ at }) => at),
      ),
    });
  }
  if (wide.length > 0) {
    wide.sort((a, b) => b.widthMm - a.widthMm || a.at - b.at);
    const worst = wide[0]!;
    findings.push({
      code: "column-too-wide",
      level: "warning",
      message: `${countOf(wide.length, "column")} of satin ${wide.length === 1 ? "is" : "are"} wider than ${splitSatinMm} mm (the widest ${worst.widthMm.toFixed(1)} mm); long stitches lie loose and catch${on}.`,
      advice: "Have the long stitches split, or the area filled.",
      at: placeOf(design, worst.at),
      ...placesOf(
        design,
        wide.map(({ at }) => at),
      ),
    });
  }
  return findings;
};

/** The narrowest of what stays under the limit long enough. */
function narrowStretch(
  { from, widthsMm, pitchesMm }: SewnColumn,
  limitMm: number,
): { readonly at: number; readonly widthMm: number } | null {
  let length = 0;
  let least = Infinity;
  let at = 0;
  let found: { at: number; widthMm: number } | null = null;
  for (let i = 0; i < widthsMm.length; i++) {
    // A tenth of mm less is rounding.
    if (widthsMm[i]! >= limitMm - 0.1) {
      length = 0;
      least = Infinity;
      continue;
    }
    length += pitchesMm[i]! / 2;
    if (widthsMm[i]! < least) {
      least = widthsMm[i]!;
      at = from + 1 + i;
    }
    if (length >= NARROW_LENGTH_MM && (found === null || least < found.widthMm))
      found = { at, widthMm: least };
  }
  return found;
}
