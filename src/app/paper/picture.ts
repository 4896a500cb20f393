import { STITCH, STOP, stitchExtents, type Stitches } from "#core/stitch";
import { mixed } from "./marks";
import { ink, mm, type Sheet } from "./sheet";

/** Width of sewn 40-weight thread on cloth, mm (common practice, no source). */
const THREAD_MM = 0.4;
/** Points nearer than this on paper are one point: a printer shows no more. */
const LEAST_STEP_PT = 0.3;
/** Above so many stitches light and edge are left out: the file would only grow. */
const FINE_UP_TO = 60_000;

export interface PictureAsked {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
  readonly design: Stitches;
  /** One colour a part; a part without one is drawn in second ink. */
  readonly colours: readonly string[];
}

export interface Pictured {
  /** Sewn size in mm. */
  readonly widthMm: number;
  readonly heightMm: number;
  /** Of its true size, at most 1. */
  readonly scale: number;
}

/** Draws the stitches as vector thread, centred in the box, never over true size; null when nothing is sewn. */
export function drawDesign(sheet: Sheet, at: PictureAsked): Pictured | null {
  const box = stitchExtents(at.design);
  if (box.right < box.left) return null;
  const widthMm = (box.right - box.left) / 10;
  const heightMm = (box.top - box.bottom) / 10;
  const truePt = mm(1);
  const pt = Math.min(truePt, at.width / (widthMm + THREAD_MM), at.height / (heightMm + THREAD_MM));
  const midX = at.x + at.width / 2 - ((box.left + box.right) / 20) * pt;
  const midY = at.y + at.height / 2 + ((box.bottom + box.top) / 20) * pt;
  const { doc } = sheet;
  const { kind, x, y } = at.design;
  const fine = kind.length <= FINE_UP_TO;

  /** Lays the path of records [from, to); false when nothing is sewn there. */
  const path = (from: number, to: number, shift: number): boolean => {
    let open = false;
    let any = false;
    let lastX = NaN;
    let lastY = NaN;
    for (let i = from; i < to; i++) {
      const px = midX + (x[i]! / 10) * pt + shift;
      const py = midY - (y[i]! / 10) * pt + shift;
      if (kind[i] !== STITCH) {
        open = false;
      } else {
        if (!open) {
          // The thread comes up where the move before has ended.
          const startX = i === 0 ? midX + shift : midX + (x[i - 1]! / 10) * pt + shift;
          const startY = i === 0 ? midY + shift : midY - (y[i - 1]! / 10) * pt + shift;
          doc.moveTo(round(startX), round(startY));
          lastX = startX;
          lastY = startY;
          open = true;
        }
        const far = Math.hypot(px - lastX, py - lastY);
        if (far < LEAST_STEP_PT && i + 1 < to && kind[i + 1] === STITCH) continue;
        doc.lineTo(round(px), round(py));
        any = true;
      }
      lastX = px;
      lastY = py;
    }
    return any;
  };

  doc.save().lineCap("round").lineJoin("round");
  let from = 0;
  let part = 0;
  for (let i = 0; i <= kind.length; i++) {
    if (i < kind.length && kind[i] !== STOP) continue;
    const rgb = at.colours[part] ?? ink.second;
    const passes = fine
      ? ([
          [THREAD_MM * 1.15, mixed(rgb, "#262A33", 0.3), 0],
          [THREAD_MM * 0.8, rgb, 0],
          [THREAD_MM * 0.22, mixed(rgb, "#FFFFFF", 0.3), -0.08 * pt],
        ] as const)
      : ([[THREAD_MM, rgb, 0]] as const);
    for (const [widthOfThread, colour, shift] of passes) {
      if (path(from, i, shift))
        doc
          .lineWidth(Math.max(0.15, widthOfThread * pt))
          .strokeColor(colour)
          .stroke();
    }
    from = i + 1;
    part++;
  }
  doc.restore();
  return { widthMm, heightMm, scale: pt / truePt };
}

const round = (value: number): number => Math.round(value * 100) / 100;
