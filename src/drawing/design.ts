import { STITCH, type Stitches, stitchExtents, STOP } from "#core/stitch";
import { hexFromRgb, type Rgb } from "#core/thread";
import type { Scene, Shape } from "./scene";

/** The colour a part is drawn in; a part without a thread is drawn in grey. */
export interface DrawnThread {
  readonly rgb: Rgb;
}

/** The drawn width of 40 weight thread on cloth, in mm. */
export const THREAD_WIDTH_MM = 0.4;
const NO_THREAD: Rgb = { r: 150, g: 146, b: 138 };

/**
 * Every sewn line of a design as plain numbers, in sewing order: from (x0, y0) to (x1, y1) in tenths of mm, y up, in
 * part `part`. Moves without sewing are left out, and so is the stitch that ends one. A canvas draws them in slices.
 */
export interface ThreadStrokes {
  readonly count: number;
  readonly x0: Int32Array;
  readonly y0: Int32Array;
  readonly x1: Int32Array;
  readonly y1: Int32Array;
  readonly part: Uint16Array;
}

/** One stroke a sewn stitch; at most `most` of them (an even choice) when the design has more. */
export function threadStrokes(design: Stitches, most = Infinity): ThreadStrokes {
  let total = 0;
  for (let i = 1; i < design.kind.length; i++) if (isSewn(design, i)) total++;
  const every = total > most ? total / most : 1;
  const room = Math.min(total, Math.ceil(total / every) + 1);
  const x0 = new Int32Array(room);
  const y0 = new Int32Array(room);
  const x1 = new Int32Array(room);
  const y1 = new Int32Array(room);
  const part = new Uint16Array(room);
  let count = 0;
  let seen = 0;
  let parts = 0;
  let due = 0;
  // In an even choice a stroke goes from the last place drawn, so that the line stays whole.
  let fromX = 0;
  let fromY = 0;
  let whole = false;
  for (let i = 0; i < design.kind.length; i++) {
    if (design.kind[i] === STOP) parts++;
    if (i === 0 || !isSewn(design, i)) {
      whole = false;
      continue;
    }
    if (!whole) {
      fromX = design.x[i - 1]!;
      fromY = design.y[i - 1]!;
      whole = true;
    }
    if (seen++ < due || count >= room) continue;
    due += every;
    x0[count] = fromX;
    y0[count] = fromY;
    x1[count] = fromX = design.x[i]!;
    y1[count] = fromY = design.y[i]!;
    part[count] = parts;
    count++;
  }
  const cut = <T extends Int32Array | Uint16Array>(values: T): T => values.subarray(0, count) as T;
  return { count, x0: cut(x0), y0: cut(y0), x1: cut(x1), y1: cut(y1), part: cut(part) };
}

/** A stitch on the cloth: it and the record before it both left the needle in the cloth. */
function isSewn(design: Stitches, i: number): boolean {
  return design.kind[i] === STITCH && design.kind[i - 1] === STITCH;
}

export interface DesignSceneOptions {
  /** `fine` draws each few stitches over those before them; `compact` is for thumbnails of big designs. */
  readonly detail?: "fine" | "compact";
  readonly marginMm?: number;
  readonly background?: string;
  readonly label?: string;
  /** At most this many stitches are drawn; more are thinned out evenly. */
  readonly mostStitches?: number;
}

const FINE_MOST = 40_000;
const COMPACT_MOST = 4_000;

/**
 * The design at true scale, each thread 0.4 mm thick with its shaded edge and a light on its twist; later stitches lie
 * over earlier ones. `threads[part]` colours the parts.
 */
export function designScene(
  design: Stitches,
  threads: readonly (DrawnThread | undefined)[],
  {
    detail = "fine",
    marginMm = 2,
    background,
    label = "Embroidery design",
    mostStitches,
  }: DesignSceneOptions = {},
): Scene {
  const box = stitchExtents(design);
  const empty = box.right < box.left;
  const left = empty ? -10 : box.left / 10 - marginMm;
  const top = empty ? -10 : -box.top / 10 - marginMm;
  const widthMm = empty ? 20 : (box.right - box.left) / 10 + 2 * marginMm;
  const heightMm = empty ? 20 : (box.top - box.bottom) / 10 + 2 * marginMm;
  const shapes: Shape[] = [];
  if (background !== undefined) {
    shapes.push({ kind: "rect", x: left, y: top, width: widthMm, height: heightMm, fill: background });
  }
  const most = mostStitches ?? (detail === "fine" ? FINE_MOST : COMPACT_MOST);
  const strokes = threadStrokes(design, most);
  if (detail === "compact") compactShapes(strokes, threads, shapes);
  else fineShapes(strokes, threads, shapes);
  return { widthMm, heightMm, leftMm: left, topMm: top, shapes, label };
}

/** Some stitches a group, so that a design of any size has about three thousand groups at most. */
function fineShapes(
  strokes: ThreadStrokes,
  threads: readonly (DrawnThread | undefined)[],
  shapes: Shape[],
): void {
  const group = Math.max(2, Math.ceil(strokes.count / 3000));
  for (let from = 0; from < strokes.count;) {
    const part = strokes.part[from]!;
    let to = from;
    while (to < strokes.count && to - from < group && strokes.part[to] === part) to++;
    const d = pathData(strokes, from, to);
    const tones = threadTones(threads[part]?.rgb ?? NO_THREAD);
    shapes.push({ kind: "path", d, stroke: tones.shade, strokeMm: THREAD_WIDTH_MM });
    shapes.push({ kind: "path", d, stroke: tones.body, strokeMm: THREAD_WIDTH_MM * 0.66 });
    shapes.push({ kind: "path", d, stroke: tones.light, strokeMm: THREAD_WIDTH_MM * 0.2, opacity: 0.7 });
    from = to;
  }
}

function compactShapes(
  strokes: ThreadStrokes,
  threads: readonly (DrawnThread | undefined)[],
  shapes: Shape[],
): void {
  for (let from = 0; from < strokes.count;) {
    const part = strokes.part[from]!;
    let to = from;
    while (to < strokes.count && strokes.part[to] === part) to++;
    const d = pathData(strokes, from, to);
    const tones = threadTones(threads[part]?.rgb ?? NO_THREAD);
    shapes.push({ kind: "path", d, stroke: tones.body, strokeMm: THREAD_WIDTH_MM * 1.1 });
    shapes.push({ kind: "path", d, stroke: tones.light, strokeMm: THREAD_WIDTH_MM * 0.25, opacity: 0.45 });
    from = to;
  }
}

/** Strokes [from, to) as path data in mm, y down; moves are relative tenths made whole, so the text stays short. */
function pathData(strokes: ThreadStrokes, from: number, to: number): string {
  let d = "";
  let x = NaN;
  let y = NaN;
  for (let i = from; i < to; i++) {
    if (strokes.x0[i] !== x || strokes.y0[i] !== y) d += `M${strokes.x0[i]! / 10} ${-strokes.y0[i]! / 10}`;
    x = strokes.x1[i]!;
    y = strokes.y1[i]!;
    d += `L${x / 10} ${-y / 10}`;
  }
  return d;
}

/** The three tones thread is drawn in: its shaded edge, its body, and the light on its twist. */
export function threadTones(rgb: Rgb): {
  readonly shade: string;
  readonly body: string;
  readonly light: string;
} {
  const toward = (target: number, share: number): string =>
    hexFromRgb({
      r: rgb.r + (target - rgb.r) * share,
      g: rgb.g + (target - rgb.g) * share,
      b: rgb.b + (target - rgb.b) * share,
    });
  return { shade: toward(0, 0.34), body: hexFromRgb(rgb), light: toward(255, 0.42) };
}
