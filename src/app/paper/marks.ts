import { relativeLuminance, rgbFromHex } from "#core/thread";
import QRCode from "qrcode";
import { ink, mm, type Sheet } from "./sheet";

/** The drawn marks of the house's paper: spool, coloured hem, QR code, caution band, tick box. All measures in points. */

/** Relative luminance, 0 to 1 (WCAG 2.2); what is no colour counts as mid grey. */
function lightness(rgb: string): number {
  const colour = rgbFromHex(rgb);
  return colour === null ? 0.2 : relativeLuminance(colour);
}

/** Whether thread of this colour would be lost on white paper. */
export const isLight = (rgb: string): boolean => lightness(rgb) > 0.68;

/** A mix of two colours, `share` of the second. */
export function mixed(rgb: string, other: string, share: number): string {
  const channel = (hex: string, at: number) => parseInt(hex.slice(at, at + 2), 16);
  const mix = (at: number) =>
    Math.round(channel(rgb, at) * (1 - share) + channel(other, at) * share)
      .toString(16)
      .padStart(2, "0");
  return `#${mix(1)}${mix(3)}${mix(5)}`;
}

/** A spool lying on its side: thread with its twist, an outline that light thread needs to be seen on paper. */
export function drawSpool(
  sheet: Sheet,
  at: { x: number; y: number; width: number; height: number; rgb: string | null },
): void {
  const { doc } = sheet;
  const { x, y, width, height, rgb } = at;
  doc.save().lineWidth(0.6);
  if (rgb === null) {
    doc
      .roundedRect(x, y, width, height, 1.5)
      .dash(1.5, { space: 1.5 })
      .strokeColor(ink.second)
      .stroke()
      .undash();
    doc.restore();
    return;
  }
  doc.roundedRect(x, y, width, height, 1.5).fill(rgb);
  doc.save().roundedRect(x, y, width, height, 1.5).clip();
  // Twist is drawn lighter on dark thread and darker on light thread, so that it reads as thread in both.
  const twist = lightness(rgb) > 0.4 ? mixed(rgb, "#262A33", 0.22) : mixed(rgb, "#FFFFFF", 0.38);
  doc.lineWidth(0.7).strokeColor(twist);
  for (let step = -height; step < width; step += 3.4) {
    doc.moveTo(x + step, y + height).lineTo(x + step + height * 0.8, y);
  }
  doc.stroke().restore();
  doc
    .roundedRect(x, y, width, height, 1.5)
    .strokeColor(mixed(rgb, "#262A33", 0.55))
    .stroke();
  doc.restore();
}

export interface HemPart {
  readonly rgb: string;
  /** Any measure of how long it takes; the hem is shared out by it. */
  readonly length: number;
}

/** The coloured hem: the colours in sewing order, each as long as it takes, with a stitched line under it. */
export function drawHem(
  sheet: Sheet,
  at: { x: number; y: number; width: number; height: number; parts: readonly HemPart[] },
): void {
  const { doc } = sheet;
  const whole = at.parts.reduce((sum, part) => sum + part.length, 0);
  doc.save();
  let x = at.x;
  for (const part of at.parts) {
    const width = whole === 0 ? at.width / at.parts.length : (at.width * part.length) / whole;
    doc.rect(x, at.y, width, at.height).fill(part.rgb);
    x += width;
  }
  if (at.parts.length === 0) doc.rect(at.x, at.y, at.width, at.height).fill(ink.ground);
  doc.lineWidth(0.5).rect(at.x, at.y, at.width, at.height).strokeColor(ink.second).stroke();
  const under = at.y + at.height + mm(0.9);
  doc
    .lineWidth(0.9)
    .dash(mm(1.6), { space: mm(0.9) })
    .moveTo(at.x, under)
    .lineTo(at.x + at.width, under)
    .strokeColor(ink.second)
    .stroke()
    .undash();
  doc.restore();
}

/** A QR code (ISO/IEC 18004, level M) with its quiet zone of four modules inside `size`. */
export function drawQr(sheet: Sheet, at: { x: number; y: number; size: number; text: string }): void {
  const { doc } = sheet;
  const { modules } = QRCode.create(at.text, { errorCorrectionLevel: "M" });
  const step = at.size / (modules.size + 8);
  doc.save();
  doc.rect(at.x, at.y, at.size, at.size).fill(ink.white);
  for (let row = 0; row < modules.size; row++) {
    for (let from = 0; from < modules.size; from++) {
      if (!modules.get(row, from)) continue;
      let to = from;
      while (to + 1 < modules.size && modules.get(row, to + 1)) to++;
      // A hair of overlap keeps renderers from showing white seams between rows.
      doc.rect(at.x + (from + 4) * step, at.y + (row + 4) * step, (to - from + 1) * step, step * 1.02);
      from = to;
    }
  }
  doc.fill("#000000").restore();
}

/** A band of cautions; returns its height. */
export function drawCautions(
  sheet: Sheet,
  at: { x: number; y: number; width: number; texts: readonly string[]; size?: number; draw?: false },
): number {
  const size = at.size ?? 8.5;
  const pad = mm(1.8);
  const text = at.texts.join("  ·  ");
  if (text === "") return 0;
  const inner = at.width - 2 * pad - mm(5);
  const words = {
    x: at.x + pad + mm(5),
    width: inner,
    size,
    colour: ink.caution,
    weight: "semibold" as const,
  };
  const lines = Math.ceil(lineCount(sheet, text, inner, size));
  const height = lines * size * 1.2 + 2 * pad;
  if (at.draw === false) return height;
  const { doc } = sheet;
  doc.save().roundedRect(at.x, at.y, at.width, height, 3).fill(ink.cautionGround);
  const cx = at.x + pad + mm(1.6);
  const cy = at.y + height / 2;
  doc
    .lineWidth(1.1)
    .lineJoin("round")
    .polygon([cx, cy - mm(1.8)], [cx + mm(2), cy + mm(1.6)], [cx - mm(2), cy + mm(1.6)])
    .strokeColor(ink.caution)
    .stroke();
  doc
    .moveTo(cx, cy - mm(0.7))
    .lineTo(cx, cy + mm(0.5))
    .strokeColor(ink.caution)
    .stroke();
  doc.circle(cx, cy + mm(1.05), 0.6).fill(ink.caution);
  doc.restore();
  sheet.write(text, { ...words, y: at.y + pad + size * 0.05, height: lines * size * 1.2 + 1 });
  return height;
}

/** How many lines a text takes at most when words are kept whole. */
export function lineCount(
  sheet: Sheet,
  text: string,
  width: number,
  size: number,
  weight: "regular" | "semibold" | "bold" = "semibold",
): number {
  let lines = 1;
  let line = "";
  for (const word of text.trim().split(/\s+/u)) {
    const longer = line === "" ? word : `${line} ${word}`;
    if (sheet.measure(longer, size, weight) <= width) line = longer;
    else {
      lines += Math.max(1, Math.ceil(sheet.measure(word, size, weight) / width)) - (line === "" ? 1 : 0);
      line = word;
    }
  }
  return lines;
}

/** A box to tick with a pen. */
export function drawTickBox(sheet: Sheet, at: { x: number; y: number; size: number }): void {
  sheet.doc
    .save()
    .lineWidth(0.8)
    .roundedRect(at.x, at.y, at.size, at.size, 1.2)
    .strokeColor(ink.second)
    .stroke()
    .restore();
}

/** A small arrow to the right, drawn: the typeface has none. */
export function drawArrow(sheet: Sheet, at: { x: number; y: number; width: number }): void {
  const { doc } = sheet;
  const end = at.x + at.width;
  doc.save().lineWidth(0.9).lineCap("round").strokeColor(ink.second);
  doc.moveTo(at.x, at.y).lineTo(end, at.y);
  doc
    .moveTo(end - 2.6, at.y - 2.2)
    .lineTo(end, at.y)
    .lineTo(end - 2.6, at.y + 2.2)
    .stroke()
    .restore();
}
