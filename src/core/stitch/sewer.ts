import { SEWING } from "./cloth";
import type { Place } from "./spine";
import { JUMP, StitchRecorder, type Stitches } from "./stitches";

/** A hair under the longest stitch, as rounding to tenths may lengthen one. */
const LONGEST_SEWN_MM = SEWING.splitSatinMm - 0.1;

/** A sewer's state. */
export interface SewerMark {
  readonly records: number;
  readonly x: number;
  readonly y: number;
  readonly fromX: number;
  readonly fromY: number;
  readonly sewn: number;
  readonly tieInDue: boolean;
  readonly penetrated: boolean;
}

/**
 * Sews in mm. It ties in after every cut and ties off before one, merges stitches too short to be sewn, and chooses
 * between a plain move and a cut by the gap. Invariant: what it has recorded ends in a penetration or a move made by it.
 */
export class Sewer {
  private readonly recorder = new StitchRecorder();
  private x = 0;
  private y = 0;
  private fromX = 0;
  private fromY = 0;
  private sewn = 0;
  private tieInDue = true;
  private penetrated = false;

  get place(): Place {
    return [this.x, this.y];
  }
  /** Whether the present part holds a stitch. */
  get hasSewn(): boolean {
    return this.sewn > 0;
  }

  /** Whether going to a place begins a new thread: nothing is sewn yet, or the gap is worth a cut. */
  beginsAt(x: number, y: number): boolean {
    return this.sewn === 0 || this.tieInDue || Math.hypot(x - this.x, y - this.y) > SEWING.trimGapMm;
  }

  /** The state at this moment, to come back to. */
  mark(): SewerMark {
    const { x, y, fromX, fromY, sewn, tieInDue, penetrated } = this;
    return { records: this.recorder.length, x, y, fromX, fromY, sewn, tieInDue, penetrated };
  }

  /** Forgets all that was sewn after a mark. */
  backTo(mark: SewerMark): void {
    this.recorder.cutBack(mark.records);
    this.x = mark.x;
    this.y = mark.y;
    this.fromX = mark.fromX;
    this.fromY = mark.fromY;
    this.sewn = mark.sewn;
    this.tieInDue = mark.tieInDue;
    this.penetrated = mark.penetrated;
  }

  /** The record that begins what was sewn after a mark: the tie-off before its move belongs to what came before. */
  startAfter(mark: SewerMark): number {
    const first = this.recorder.from(mark.records).kind.indexOf(JUMP);
    return mark.records + (0 <= first && first <= MOST_TIE_OFF ? first : 0);
  }

  /** What was sewn after a mark, and the place it began at before it. */
  since(mark: SewerMark): Stitches {
    const start = this.startAfter(mark);
    const { kind, x, y } = this.recorder.from(start);
    if (start > mark.records || kind[0] === JUMP) return { kind, x, y };
    // It began where the needle was.
    return {
      kind: Uint8Array.of(JUMP, ...kind),
      x: Int32Array.of(Math.round(mark.x * 10), ...x),
      y: Int32Array.of(Math.round(mark.y * 10), ...y),
    };
  }

  /** Goes to a place without sewing: a plain move over a short gap, else tie off, cut, and tie in there. */
  moveTo(x: number, y: number): void {
    const gap = Math.hypot(x - this.x, y - this.y);
    if (gap < 0.05) return;
    if (this.sewn === 0) this.recorder.jump(x * 10, y * 10);
    else if (gap <= SEWING.trimGapMm && !this.tieInDue) this.recorder.jump(x * 10, y * 10);
    else {
      const [endX, endY] = this.place;
      const tied = !this.tieInDue;
      this.tieOff();
      // Tie-off stitches that end within a jump of the next place would make the cut needless: one more goes back.
      if (tied && Math.hypot(x - this.x, y - this.y) <= SEWING.trimGapMm) this.put(endX, endY);
      this.recorder.trim(x * 10, y * 10);
      this.tieInDue = true;
    }
    this.x = x;
    this.y = y;
    this.penetrated = false;
  }

  /** Sews to a place. Nearer than the shortest stitch it waits for the next one, and says that it did not sew. */
  sewTo(x: number, y: number): boolean {
    const length = Math.hypot(x - this.x, y - this.y);
    // Measured as it will be sewn, in whole tenths: rounding must not make a stitch shorter than the shortest.
    const sewn = Math.hypot(Math.round(x * 10) - this.recorder.x, Math.round(y * 10) - this.recorder.y);
    if (sewn < SEWING.shortestMm * 10) return false;
    if (this.tieInDue) this.tieIn(x, y);
    else if (!this.penetrated) this.landing(x, y, length);
    // What is longer than a stitch may be (wide underlay) goes in even steps.
    const [fromX, fromY] = this.place;
    const pieces = Math.ceil(Math.hypot(x - fromX, y - fromY) / LONGEST_SEWN_MM);
    for (let i = 1; i < pieces; i++)
      this.put(fromX + ((x - fromX) * i) / pieces, fromY + ((y - fromY) * i) / pieces);
    this.put(x, y);
    return true;
  }

  /** Sews along places. */
  sewAlong(places: Iterable<Place>): void {
    for (const [x, y] of places) this.sewTo(x, y);
  }

  /** Ends a part: tie off and colour stop. */
  stop(): void {
    this.tieOff();
    this.recorder.stop();
    this.tieInDue = true;
    this.penetrated = false;
    this.sewn = 0;
  }

  /**
   * Three small stitches about the last one's line, so that under a satin column they do not show; a little to the
   * side of each other, so that they do not pile up.
   */
  tieOff(): void {
    if (this.tieInDue || this.sewn === 0) return;
    const [x, y] = [this.x, this.y];
    const [ux, uy] = towards(x, y, this.fromX, this.fromY);
    const step = SEWING.tieMm;
    this.put(x + ux * step - uy * TIE_OFF_SIDE_MM, y + uy * step + ux * TIE_OFF_SIDE_MM);
    this.put(x + uy * TIE_OFF_SIDE_MM, y - ux * TIE_OFF_SIDE_MM);
    this.put(x + ux * step, y + uy * step);
    this.tieInDue = true;
  }

  finish(): Stitches {
    this.tieOff();
    return this.recorder.done();
  }

  /** A small triangle about the way to the next place: three stitches that lock and do not lie on one another. */
  private tieIn(x: number, y: number): void {
    const [startX, startY] = [this.x, this.y];
    const [ux, uy] = towards(startX, startY, x, y);
    const along = SEWING.tieMm * 0.75;
    const side = SEWING.tieMm * 0.5;
    this.tieInDue = false;
    this.put(startX + ux * along - uy * side, startY + uy * along + ux * side);
    this.put(startX + ux * along + uy * side, startY + uy * along - ux * side);
    this.put(startX, startY);
  }

  /** After a plain move the needle has not gone in yet: one short stitch forth and back fixes the landing. */
  private landing(x: number, y: number, length: number): void {
    if (length < 1) return;
    const [startX, startY] = [this.x, this.y];
    this.put(startX + ((x - startX) / length) * 0.6, startY + ((y - startY) / length) * 0.6);
    this.put(startX, startY);
  }

  private put(x: number, y: number): void {
    this.recorder.stitch(x * 10, y * 10);
    this.fromX = this.x;
    this.fromY = this.y;
    this.x = x;
    this.y = y;
    this.sewn++;
    this.penetrated = true;
  }
}

const MOST_TIE_OFF = 4;
/** How far apart tie-off stitches lie. */
const TIE_OFF_SIDE_MM = 0.13;

/** The direction from one place to another. */
function towards(x: number, y: number, toX: number, toY: number): Place {
  const length = Math.hypot(toX - x, toY - y) || 1;
  return [(toX - x) / length, (toY - y) / length];
}
