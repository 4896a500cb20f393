import { fill, layStitch, type Picture, type Ramp, rampOf } from "./raster";
import { BLOCK, JUMP, partAt, STITCH, STOP, type StitchesDrawn } from "./stitches";

/** What part of the design the window shows. */
export interface View {
  readonly widthPx: number;
  readonly heightPx: number;
  /** Device pixels a millimetre. */
  readonly scale: number;
  /** What stands in the window's middle, mm, y up. */
  readonly xMm: number;
  readonly yMm: number;
}

export interface Look {
  /** `#rrggbb` by part. */
  readonly colours: readonly string[];
  /** The cloth, `#rrggbb`. */
  readonly cloth: string;
  readonly threadMm: number;
  readonly showJumps: boolean;
  /** A part drawn alone; null draws all. */
  readonly onlyPart: number | null;
  /** Parts that are not drawn. */
  readonly hiddenParts?: readonly number[];
  /** Records drawn, from the first. */
  readonly upTo: number;
}

type Context = CanvasRenderingContext2D | OffscreenCanvasRenderingContext2D;
type Sheet = HTMLCanvasElement | OffscreenCanvas;

/** What the engine needs of its surroundings: worker or page. */
export interface Ground {
  readonly context: Context;
  makeSheet(width: number, height: number): Sheet;
  nowMs(): number;
  /** Lets messages and input through, then goes on. */
  rest(): Promise<void>;
  /** Told after each slice that changed something to be seen. */
  told(progress: {
    readonly drawn: number;
    readonly of: number;
    readonly done: boolean;
    readonly tookMs: number;
  }): void;
}

const SLICE_MS = 10;
const JUMP_RAMP = rampOf("#8a8478");

/** Adds one block's records [from, to) to the picture. Records nearer than half a pixel are laid as one. */
export function drawRecords(
  picture: Picture,
  stitches: StitchesDrawn,
  ramps: readonly Ramp[],
  view: View,
  look: Look,
  from: number,
  to: number,
): void {
  const { kinds, xTenths, yTenths } = stitches;
  const perTenth = view.scale / 10;
  const originX = view.widthPx / 2 - view.xMm * view.scale;
  const originY = view.heightPx / 2 + view.yMm * view.scale;
  const radius = (look.threadMm * view.scale) / 2;
  const fallback = ramps[0] ?? JUMP_RAMP;
  const shown = (part: number): boolean =>
    (look.onlyPart === null || look.onlyPart === part) && !(look.hiddenParts?.includes(part) ?? false);
  let part = partAt(stitches, from);
  let drawn = shown(part);
  let penX = originX + (from > 0 ? xTenths[from - 1]! : 0) * perTenth;
  let penY = originY - (from > 0 ? yTenths[from - 1]! : 0) * perTenth;
  for (let i = from; i < to; i++) {
    const x = originX + xTenths[i]! * perTenth;
    const y = originY - yTenths[i]! * perTenth;
    const kind = kinds[i]!;
    if (kind === STITCH) {
      const near = Math.abs(x - penX) + Math.abs(y - penY) < 0.5;
      if (near && radius < 0.5 && i + 1 < to && kinds[i + 1] === STITCH) continue;
      if (drawn) layStitch(picture, penX, penY, x, y, radius, ramps[part] ?? fallback);
    } else if (kind === JUMP) {
      if (look.showJumps && drawn) layStitch(picture, penX, penY, x, y, Math.min(radius, 0.6), JUMP_RAMP);
    } else if (kind === STOP) drawn = shown(++part);
    penX = x;
    penY = y;
  }
}

/** Whether a block may touch the window. */
function seen(stitches: StitchesDrawn, block: number, view: View, marginMm: number): boolean {
  const at = block * 4;
  const halfWidth = view.widthPx / view.scale / 2 + marginMm;
  const halfHeight = view.heightPx / view.scale / 2 + marginMm;
  const b = stitches.blockBounds;
  return (
    (view.xMm - halfWidth) * 10 <= b[at + 2]! &&
    b[at]! <= (view.xMm + halfWidth) * 10 &&
    (view.yMm - halfHeight) * 10 <= b[at + 3]! &&
    b[at + 1]! <= (view.yMm + halfHeight) * 10
  );
}

/**
 * Draws a design into a canvas in slices of about 10 ms, letting go between them. A new view first shows the last
 * finished picture moved and scaled, then is drawn behind it and put in its place. Going on with the sewing
 * (a larger `upTo`) only adds stitches; going back draws anew. One engine a canvas.
 */
export class DrawingEngine {
  private stitches: StitchesDrawn | null = null;
  private view: View | null = null;
  private look: Look | null = null;
  private ramps: Ramp[] = [];
  private image: ImageData | null = null;
  private picture: Picture | null = null;
  /** The last finished picture and what it shows. */
  private last: { sheet: Sheet; view: View } | null = null;
  private drawn = 0;
  private begun = 0;
  private running = false;
  private stale = true;
  private ended = false;

  constructor(private readonly ground: Ground) {}

  show(next: { readonly stitches?: StitchesDrawn; readonly view?: View; readonly look?: Look }): void {
    if (next.stitches) {
      this.stitches = next.stitches;
      this.last = null;
      this.stale = true;
    }
    if (next.look) {
      const before = this.look;
      const goesOn =
        before !== null &&
        next.look.upTo >= this.drawn &&
        before.cloth === next.look.cloth &&
        before.threadMm === next.look.threadMm &&
        before.showJumps === next.look.showJumps &&
        before.onlyPart === next.look.onlyPart &&
        (before.hiddenParts ?? []).join() === (next.look.hiddenParts ?? []).join() &&
        before.colours.join() === next.look.colours.join();
      if (!goesOn) {
        this.stale = true;
        this.ramps = next.look.colours.map(rampOf);
      }
      this.look = next.look;
    }
    if (next.view) {
      this.view = next.view;
      this.stale = true;
      this.moveLast();
    }
    void this.run();
  }

  end(): void {
    this.ended = true;
  }

  private moveLast(): void {
    const { last, view, look } = this;
    const { context } = this.ground;
    if (!view) return;
    if (context.canvas.width !== view.widthPx || context.canvas.height !== view.heightPx) {
      context.canvas.width = view.widthPx;
      context.canvas.height = view.heightPx;
    }
    context.fillStyle = look?.cloth ?? "#f4efe5";
    context.fillRect(0, 0, view.widthPx, view.heightPx);
    if (!last) return;
    const ratio = view.scale / last.view.scale;
    const x = view.widthPx / 2 + (last.view.xMm - view.xMm) * view.scale - (last.view.widthPx * ratio) / 2;
    const y = view.heightPx / 2 - (last.view.yMm - view.yMm) * view.scale - (last.view.heightPx * ratio) / 2;
    context.drawImage(last.sheet, x, y, last.view.widthPx * ratio, last.view.heightPx * ratio);
  }

  private begin(view: View, look: Look): void {
    this.stale = false;
    this.drawn = 0;
    this.begun = this.ground.nowMs();
    if (!this.image || this.image.width !== view.widthPx || this.image.height !== view.heightPx) {
      this.image = new ImageData(view.widthPx, view.heightPx);
      this.picture = {
        width: view.widthPx,
        height: view.heightPx,
        pixels: new Uint32Array(this.image.data.buffer),
      };
    }
    fill(this.picture!, look.cloth);
  }

  /** Draws until the slice is used up; tells whether everything is drawn. */
  private slice(stitches: StitchesDrawn, view: View, look: Look): boolean {
    const until = this.ground.nowMs() + SLICE_MS;
    const end = Math.min(look.upTo, stitches.count);
    while (this.drawn < end) {
      const block = Math.floor(this.drawn / BLOCK);
      const to = Math.min(end, (block + 1) * BLOCK);
      if (seen(stitches, block, view, look.threadMm)) {
        drawRecords(this.picture!, stitches, this.ramps, view, look, this.drawn, to);
        this.drawn = to;
        if (this.ground.nowMs() >= until) break;
      } else this.drawn = to;
    }
    return this.drawn >= end;
  }

  private async run(): Promise<void> {
    if (this.running) return;
    this.running = true;
    let lastShownMs = 0;
    try {
      for (;;) {
        const { stitches, view, look } = this;
        if (this.ended || !stitches || !view || !look || view.widthPx < 1 || view.heightPx < 1) return;
        const fresh = this.stale;
        if (fresh) this.begin(view, look);
        const upTo = Math.min(look.upTo, stitches.count);
        if (!fresh && this.drawn >= upTo) return;
        const done = this.slice(stitches, view, look);
        const now = this.ground.nowMs();
        // A first picture grows as it is drawn; a later one waits behind the moved old one until it is whole.
        if (done || (this.last === null && now - lastShownMs > 60)) {
          lastShownMs = now;
          this.ground.context.putImageData(this.image!, 0, 0);
          if (done) this.keep(view);
        }
        this.ground.told({ drawn: this.drawn, of: upTo, done, tookMs: now - this.begun });
        await this.ground.rest();
      }
    } finally {
      this.running = false;
    }
  }

  private keep(view: View): void {
    let sheet = this.last?.sheet;
    if (!sheet || sheet.width !== view.widthPx || sheet.height !== view.heightPx)
      sheet = this.ground.makeSheet(view.widthPx, view.heightPx);
    const context = sheet.getContext("2d") as Context;
    context.putImageData(this.image!, 0, 0);
    this.last = { sheet, view };
  }
}
