import { parse, rgb } from "culori";
import { hexFromRgb } from "./colour";

/** A colour of CSS Color 4 as `#rrggbb` with its opacity; null where it is none. */
export function cssColour(text: string): { readonly hex: string; readonly alpha: number } | null {
  if (text.trim().toLowerCase() === "transparent") return { hex: "#000000", alpha: 0 };
  const colour = rgb(parse(text.trim()));
  if (!colour) return null;
  const channel = (value: number): number => Math.round(255 * Math.min(1, Math.max(0, value)));
  return {
    hex: hexFromRgb({ r: channel(colour.r), g: channel(colour.g), b: channel(colour.b) }),
    alpha: colour.alpha ?? 1,
  };
}
