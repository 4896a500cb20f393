/** Widths of words as the page draws them, px; remembered, since a board asks for hundreds. */
const known = new Map<string, number>();
let pen: CanvasRenderingContext2D | null | undefined;

const FAMILY = '"Atkinson Hyperlegible Next Variable", system-ui, sans-serif';

export function textWidth(text: string, font: "title" | "tight" | "small"): number {
  const key = `${font} ${text}`;
  const before = known.get(key);
  if (before !== undefined) return before;
  pen ??= document.createElement("canvas").getContext("2d");
  if (!pen) return text.length * 9;
  pen.font = { title: `700 15px ${FAMILY}`, tight: `700 13px ${FAMILY}`, small: `400 13px ${FAMILY}` }[font];
  const width = pen.measureText(text).width;
  known.set(key, width);
  return width;
}

/** Forgets what was measured before the page's own face had arrived. */
export const forgetWidths = (): void => known.clear();
