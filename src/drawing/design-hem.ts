import { contrastRatio, hexFromRgb, type Rgb, rgbFromHex } from "#core/thread";
import { threadTones } from "./design";
import type { Scene, Shape } from "./scene";

/** One part in a hem: its colour, and how long it takes (seconds, stitches: any one measure). */
export interface HemPart {
  readonly rgb: Rgb;
  readonly length: number;
}

/**
 * The coloured hem: a bar with the parts in sewing order, each as long as it takes, and a stitched line under it.
 * Parts of no length are left out; the shortest keep 2 % so that no colour is lost.
 */
export function hemScene(
  parts: readonly HemPart[],
  { widthMm, heightMm = 3, label = "Threads in sewing order" }: { readonly widthMm: number; readonly heightMm?: number; readonly label?: string }, // prettier-ignore
): Scene {
  const shown = parts.filter((part) => part.length > 0);
  const total = shown.reduce((sum, part) => sum + part.length, 0);
  const lengths = shown.map((part) => Math.max(part.length / total, 0.02));
  const sum = lengths.reduce((a, b) => a + b, 0);
  const bar = heightMm * 0.68;
  const shapes: Shape[] = [];
  let x = 0;
  shown.forEach((part, i) => {
    const width = (widthMm * lengths[i]!) / sum;
    shapes.push({ kind: "rect", x, y: 0, width, height: bar, fill: hexFromRgb(part.rgb) });
    if (isLight(part.rgb)) {
      const d = `M${x} ${bar}H${x + width}`;
      shapes.push({ kind: "path", d, stroke: OUTLINE, strokeMm: heightMm * 0.05 });
    }
    x += width;
  });
  const y = heightMm * 0.88;
  const dash = `${heightMm * 0.4} ${heightMm * 0.3}`;
  shapes.push({ kind: "path", d: `M0 ${y}H${widthMm}`, stroke: OUTLINE, strokeMm: heightMm * 0.1, dash });
  return { widthMm, heightMm, leftMm: 0, topMm: 0, shapes, label };
}

const OUTLINE = "#5D6170";
const PAPER = rgbFromHex("#FFFDF8")!;

/** Whether a colour needs an outline on paper: WCAG 2.2, 1.4.11 asks for 3 to 1. */
export function isLight(rgb: Rgb): boolean {
  return contrastRatio(rgb, PAPER) < 3;
}

/** A spool of thread, always with its code and name beside it. */
export function spoolScene(
  { rgb, code, name }: { readonly rgb: Rgb; readonly code: string; readonly name: string },
  { heightMm = 10, text = "beside" }: { readonly heightMm?: number; readonly text?: "beside" | "none" } = {},
): Scene {
  const h = heightMm;
  const w = h * 0.72;
  const tones = threadTones(rgb);
  const shapes: Shape[] = [
    { kind: "rect", x: w * 0.1, y: 0, width: w * 0.8, height: h * 0.12, radius: h * 0.03, fill: "#B9A98C" },
    {
      kind: "rect",
      x: w * 0.02,
      y: h * 0.88,
      width: w * 0.96,
      height: h * 0.12,
      radius: h * 0.03,
      fill: "#B9A98C",
    },
    {
      kind: "path",
      d: coneData(w, h),
      fill: tones.body,
      ...(isLight(rgb) ? { stroke: OUTLINE, strokeMm: h * 0.025 } : {}),
    },
  ];
  // Two families of crossing lines read as wound, twisted thread.
  const winds = 7;
  for (let i = 0; i < winds; i++) {
    const y = h * (0.17 + (0.66 * i) / winds);
    const half = w * (0.3 + 0.14 * ((y - h * 0.12) / (h * 0.76)));
    const [left, right] = [w / 2 - half, w / 2 + half];
    shapes.push({ kind: "path", d: `M${left} ${y + h * 0.06}Q${w / 2} ${y + h * 0.11} ${right} ${y}`, stroke: tones.shade, strokeMm: h * 0.018, opacity: 0.7 }); // prettier-ignore
    shapes.push({ kind: "path", d: `M${left} ${y + h * 0.03}Q${w / 2} ${y + h * 0.08} ${right} ${y - h * 0.03}`, stroke: tones.light, strokeMm: h * 0.014, opacity: 0.8 }); // prettier-ignore
  }
  let widthMm = w;
  if (text === "beside") {
    const size = h * 0.34;
    shapes.push({
      kind: "text",
      x: w + h * 0.2,
      y: h * 0.42,
      text: code,
      sizeMm: size,
      fill: "#262A33",
      weight: 700,
    });
    shapes.push({ kind: "text", x: w + h * 0.2, y: h * 0.84, text: name, sizeMm: size, fill: "#5D6170" });
    widthMm = w + h * 0.2 + size * 0.56 * Math.max(code.length, name.length);
  }
  return { widthMm, heightMm: h, leftMm: 0, topMm: 0, shapes, label: `Thread ${code}, ${name}` };
}

function coneData(w: number, h: number): string {
  const [top, bottom] = [h * 0.12, h * 0.88];
  return `M${w * 0.2} ${top}L${w * 0.8} ${top}Q${w * 0.84} ${h * 0.5} ${w * 0.94} ${bottom}L${w * 0.06} ${bottom}Q${w * 0.16} ${h * 0.5} ${w * 0.2} ${top}Z`;
}
