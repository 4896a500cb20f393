import type { Finding } from "#core/base";
import { refuseStitches } from "./refusals";
import { sliceStitches, STITCH, StitchRecorder, type Stitches, stitchExtents, STOP } from "./stitches";

/** Every record moved by (dx, dy) tenths of mm; the first move reaches out from the design's start. */
export function shiftStitches(design: Stitches, dxTenths: number, dyTenths: number): Stitches {
  return mapStitches(design, (x, y) => [x + dxTenths, y + dyTenths]);
}

/** Turned about the start (or `about`, tenths of mm), counter-clockwise in degrees; rounded once to whole tenths. */
export function rotateStitches(
  design: Stitches,
  degrees: number,
  about: { readonly x: number; readonly y: number } = { x: 0, y: 0 },
): Stitches {
  if (!Number.isFinite(degrees))
    throw refuseStitches("design-transform-invalid", `${degrees} is not an angle.`);
  const turn = ((degrees % 360) * Math.PI) / 180;
  // Quarter turns must come out exact, so that four of them give the design back.
  const cos = degrees % 90 === 0 ? Math.round(Math.cos(turn)) : Math.cos(turn);
  const sin = degrees % 90 === 0 ? Math.round(Math.sin(turn)) : Math.sin(turn);
  return mapStitches(design, (x, y) => [
    about.x + cos * (x - about.x) - sin * (y - about.y),
    about.y + sin * (x - about.x) + cos * (y - about.y),
  ]);
}

/** Left and right changed (`x`) or up and down (`y`), about the start. */
export function mirrorStitches(design: Stitches, axis: "x" | "y"): Stitches {
  return mapStitches(design, axis === "x" ? (x, y) => [-x, y] : (x, y) => [x, -y]);
}

function mapStitches(design: Stitches, move: (x: number, y: number) => readonly [number, number]): Stitches {
  const x = new Int32Array(design.x.length);
  const y = new Int32Array(design.y.length);
  for (let i = 0; i < x.length; i++) {
    const [nx, ny] = move(design.x[i]!, design.y[i]!);
    x[i] = Math.round(nx);
    y[i] = Math.round(ny);
  }
  return { kind: design.kind.slice(), x, y };
}

/** Shifted so that the middle of its penetrations is the start (0, 0); an empty design stays as it is. */
export function centreStitches(design: Stitches): Stitches {
  const box = stitchExtents(design);
  if (box.right < box.left) return design;
  return shiftStitches(
    design,
    -Math.round((box.left + box.right) / 2),
    -Math.round((box.bottom + box.top) / 2),
  );
}

/** One design of a row of designs with where each one's start comes to lie, in tenths of mm. */
export interface Placed {
  readonly stitches: Stitches;
  readonly xTenths?: number;
  readonly yTenths?: number;
  /** Whether it begins a new part (a colour stop before it) or goes on with the thread that is in. */
  readonly joins?: "new-part" | "same-part";
}

/**
 * Several designs as one, sewn in this order: each is reached by a cut (or, within 3 mm, a plain move), and begins a new part unless it says
 * otherwise. Designs without stitches are left out.
 */
export function composeStitches(placed: readonly Placed[]): Stitches {
  const recorder = new StitchRecorder();
  for (const { stitches, xTenths = 0, yTenths = 0, joins = "new-part" } of placed) {
    const first = stitches.kind.indexOf(STITCH);
    if (first < 0) continue;
    // Moves before the first stitch are replaced by one of our own; stops among them are kept.
    let lead = 0;
    while (lead < stitches.kind.length && stitches.kind[lead] !== STITCH) lead++;
    const startX = (lead > 0 ? stitches.x[lead - 1]! : 0) + xTenths;
    const startY = (lead > 0 ? stitches.y[lead - 1]! : 0) + yTenths;
    const begun = recorder.length > 0;
    if (begun && joins === "new-part") {
      recorder.stop();
      recorder.jump(startX, startY);
    } else if (begun && Math.hypot(startX - recorder.x, startY - recorder.y) > 30)
      recorder.trim(startX, startY);
    else recorder.jump(startX, startY);
    recorder.append(sliceStitches(stitches, lead, trailing(stitches)), xTenths, yTenths);
  }
  return recorder.done();
}

/** The number of records up to and with the last stitch; moves and stops after it do nothing. */
function trailing(design: Stitches): number {
  return design.kind.lastIndexOf(STITCH) + 1;
}

/** The design cut at its stops, one design a part, each with its own coordinates kept. */
export function splitAtStops(design: Stitches): Stitches[] {
  const parts: Stitches[] = [];
  let from = 0;
  for (let i = 0; i <= design.kind.length; i++) {
    if (i < design.kind.length && design.kind[i] !== STOP) continue;
    parts.push(sliceStitches(design, from, i));
    from = i + 1;
  }
  return parts;
}

/**
 * The rest of a design from a stitch on (counted from 1), as after a break: the stops before it are kept as stops, so
 * that parts keep their numbers, and the needle goes straight to the penetration before that stitch.
 * @throws Refusal design-transform-invalid when there is no such stitch.
 */
export function restartStitches(design: Stitches, fromStitch: number): Stitches {
  let seen = 0;
  let index = -1;
  for (let i = 0; i < design.kind.length && index < 0; i++) {
    if (design.kind[i] === STITCH && ++seen === fromStitch) index = i;
  }
  if (index < 0) {
    const all = design.kind.reduce((count, kind) => count + (kind === STITCH ? 1 : 0), 0);
    throw refuseStitches(
      "design-transform-invalid",
      `There is no stitch ${fromStitch}; the design has ${all}.`,
      [{ field: "from", found: String(fromStitch), expected: `1 to ${all}` }],
    );
  }
  const recorder = new StitchRecorder();
  for (let i = 0; i < index; i++) if (design.kind[i] === STOP) recorder.stop();
  if (index > 0) recorder.jump(design.x[index - 1]!, design.y[index - 1]!);
  recorder.append(sliceStitches(design, index, design.kind.length));
  return recorder.done();
}

/** The whole design made larger or smaller without remaking stitches; TRADE.md allows ±10 %. */
export function scaleStitches(
  design: Stitches,
  factor: number,
): { readonly stitches: Stitches; readonly findings: readonly Finding[] } {
  if (!Number.isFinite(factor) || factor <= 0) {
    throw refuseStitches("design-transform-invalid", `${factor} is not a scale; a number over 0 is.`);
  }
  const findings: Finding[] =
    0.9 <= factor && factor <= 1.1
      ? []
      : [
          {
            code: "scaled-too-far",
            level: "warning",
            message: `Scaled to ${Math.round(factor * 100)} %: beyond 90 to 110 % the density is wrong.`,
            advice: "Have the design made again at this size.",
          },
        ];
  return { stitches: mapStitches(design, (x, y) => [x * factor, y * factor]), findings };
}
