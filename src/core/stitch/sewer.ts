import { SEWING } from "./cloth";
import type { Place } from "./spine";
import { StitchRecorder, type Stitches } from "./stitches";

/** A hair under the longest stitch, as rounding to tenths may lengthen one. */
const LONGEST_SEWN_MM = SEWING.splitSatinMm - 0.1;

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

  /** Goes to a place without sewing: a plain move over a short gap, else tie off, cut, and tie in there. */
  moveTo(x: number, y: number): void {
    const gap = Math.hypot(x - this.x, y - this.y);
    if (gap < 0.05) return;
    if (this.sewn === 0) this.recorder.jump(x * 10, y * 10);
    else if (gap <= SEWING.trimGapMm && !this.tieInDue) this.recorder.jump(x * 10, y * 10);
    else {
      this.tieOff();
      this.recorder.trim(x * 10, y * 10);
      this.tieInDue = true;
    }
    this.x = x;
    this.y = y;
    this.penetrated = false;
  }

  /** Sews to a place. Nearer than the shortest stitch it waits for the next one. */
  sewTo(x: number, y: number): void {
    const length = Math.hypot(x - this.x, y - this.y);
    // Measured as it will be sewn, in whole tenths: rounding must not make a stitch shorter than the shortest.
    const sewn = Math.hypot(Math.round(x * 10) - this.recorder.x, Math.round(y * 10) - this.recorder.y);
    if (sewn < SEWING.shortestMm * 10) return;
    if (this.tieInDue) this.tieIn(x, y, length);
    else if (!this.penetrated) this.landing(x, y, length);
    // What is longer than a stitch may be (wide underlay) goes in even steps.
    const [fromX, fromY] = this.place;
    const pieces = Math.ceil(Math.hypot(x - fromX, y - fromY) / LONGEST_SEWN_MM);
    for (let i = 1; i < pieces; i++)
      this.put(fromX + ((x - fromX) * i) / pieces, fromY + ((y - fromY) * i) / pieces);
    this.put(x, y);
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

  /** Three small stitches in line with the last one, so that under a satin column they do not show. */
  tieOff(): void {
    if (this.tieInDue || this.sewn === 0) return;
    const dx = this.fromX - this.x;
    const dy = this.fromY - this.y;
    const length = Math.hypot(dx, dy) || 1;
    const step = Math.min(SEWING.tieMm, Math.max(0.5, length));
    const [x, y] = [this.x, this.y];
    const inX = x + (dx / length) * step;
    const inY = y + (dy / length) * step;
    this.put(inX, inY);
    this.put(x, y);
    this.put(inX, inY);
    this.tieInDue = true;
  }

  finish(): Stitches {
    this.tieOff();
    return this.recorder.done();
  }

  private tieIn(x: number, y: number, length: number): void {
    const [startX, startY] = [this.x, this.y];
    const step = Math.min(SEWING.tieMm, Math.max(0.5, length));
    const toX = startX + ((x - startX) / length) * step;
    const toY = startY + ((y - startY) / length) * step;
    this.tieInDue = false;
    this.put(toX, toY);
    this.put(startX, startY);
    if (length > step + SEWING.shortestMm) this.put(toX, toY);
  }

  /** After a plain move the needle has not gone in yet: one short stitch forth and back fixes the landing. */
  private landing(x: number, y: number, length: number): void {
    if (length < 1) return;
    const [startX, startY] = [this.x, this.y];
    this.put(startX + ((x - startX) / length) * 0.5, startY + ((y - startY) / length) * 0.5);
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
