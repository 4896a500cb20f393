import type { Stitches } from "#core/stitch";
import { designScene, type DrawnThread } from "./design";
import { spoolScene } from "./design-hem";
import type { Scene, Shape } from "./scene";

export interface ProofInput {
  readonly design: Stitches;
  readonly threads: readonly (DrawnThread | undefined)[];
  /** The cloth behind it, `#rrggbb`. */
  readonly cloth: string;
  /** The text as it will be sewn, line by line: written large, so that its spelling is what the customer says yes to. */
  readonly textLines: readonly string[];
  /** Code, name and colour of each thread, once, in sewing order. */
  readonly spools: readonly {
    readonly rgb: DrawnThread["rgb"];
    readonly code: string;
    readonly name: string;
  }[];
  /** What it is and how large: "Swim robe, left chest", "82 × 40 mm". */
  readonly facts: readonly string[];
}

const INK = "#262A33";
const QUIET = "#5D6170";
const WIDE = 180;
const MARGIN = 10;

/**
 * The customer's proof as a sheet 180 mm wide: the name large in plain letters, the design as thread on its cloth
 * (at true scale where it fits, else smaller, and the sheet says so), then facts and threads. As high as it needs.
 */
export function proofScene({ design, threads, cloth, textLines, spools, facts }: ProofInput): Scene {
  const shapes: Shape[] = [];
  let y = MARGIN;
  const longest = Math.max(1, ...textLines.map((line) => [...line].length));
  const sizeMm = Math.min(18, (WIDE - 2 * MARGIN) / (longest * 0.6));
  if (textLines.length > 0) {
    shapes.push({
      kind: "text",
      x: MARGIN,
      y: y + 4,
      text: "Please check each letter:",
      sizeMm: 4.2,
      fill: QUIET,
    });
    y += 8;
    for (const line of textLines) {
      y += sizeMm;
      shapes.push({ kind: "text", x: MARGIN, y, text: line, sizeMm, fill: INK, weight: 700 });
      y += sizeMm * 0.3;
    }
    y += 4;
  }
  const picture = designScene(design, threads, { detail: "fine", marginMm: 6 });
  const scale = Math.min(1, (WIDE - 2 * MARGIN) / picture.widthMm, 160 / picture.heightMm);
  const high = Math.max(30, picture.heightMm * scale);
  shapes.push({ kind: "rect", x: MARGIN, y, width: WIDE - 2 * MARGIN, height: high, radius: 2, fill: cloth });
  shapes.push({
    kind: "group",
    xMm: WIDE / 2 - (picture.leftMm + picture.widthMm / 2) * scale,
    yMm: y + high / 2 - (picture.topMm + picture.heightMm / 2) * scale,
    scale,
    shapes: picture.shapes,
  });
  y += high + 7;
  const told = [
    ...facts,
    scale === 1
      ? `at true size where this is ${WIDE} mm wide`
      : `shown at ${Math.round(scale * 100)} % of its size`,
  ];
  shapes.push({ kind: "text", x: MARGIN, y, text: told.join(" · "), sizeMm: 4.2, fill: QUIET });
  y += 5;
  let x = MARGIN;
  for (const spool of spools) {
    const drawn = spoolScene(spool, { heightMm: 9 });
    if (x > MARGIN && x + drawn.widthMm > WIDE - MARGIN) {
      x = MARGIN;
      y += 12;
    }
    shapes.push({ kind: "group", xMm: x, yMm: y, scale: 1, shapes: drawn.shapes });
    x += drawn.widthMm + 6;
  }
  y += (spools.length > 0 ? 9 : 0) + MARGIN;
  const label = `Proof${textLines.length > 0 ? `: ${textLines.join(", ")}` : ""}`;
  return { widthMm: WIDE, heightMm: y, leftMm: 0, topMm: 0, label, shapes: [{ kind: "rect", x: 0, y: 0, width: WIDE, height: y, fill: "#FFFDF8" }, ...shapes] }; // prettier-ignore
}
