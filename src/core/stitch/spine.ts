/** A place in mm, y up. */
export type Place = readonly [x: number, y: number];

/** The centre-line of a column, resampled evenly: place, left normal and signed curvature at every `stepMm`. */
export interface Spine {
  readonly stepMm: number;
  readonly lengthMm: number;
  readonly closed: boolean;
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly nx: Float64Array;
  readonly ny: Float64Array;
  /** 1/mm, positive where the line turns left. */
  readonly curvature: Float64Array;
}

export interface SpinePoint {
  readonly x: number;
  readonly y: number;
  readonly nx: number;
  readonly ny: number;
  readonly curvature: number;
}

const distance = (a: Place, b: Place): number => Math.hypot(b[0] - a[0], b[1] - a[1]);

/** Resamples a line about every `stepMm`; `smoothMm` is the reach over which tangents are taken. */
export function spineOf(
  line: readonly Place[],
  {
    closed = false,
    smoothMm = 0.4,
    stepMm = 0.1,
  }: { closed?: boolean; smoothMm?: number; stepMm?: number } = {},
): Spine {
  const lengths = [0];
  for (let i = 1; i < line.length; i++) lengths.push(lengths[i - 1]! + distance(line[i - 1]!, line[i]!));
  const total = lengths.at(-1)!;
  const count = Math.max(2, Math.round(total / stepMm));
  const step = total / count;
  const x = new Float64Array(count + 1);
  const y = new Float64Array(count + 1);
  for (let i = 0, at = 0; i <= count; i++) {
    const s = i * step;
    while (at < line.length - 2 && lengths[at + 1]! < s) at++;
    const span = lengths[at + 1]! - lengths[at]! || 1;
    const t = Math.min(1, Math.max(0, (s - lengths[at]!) / span));
    x[i] = line[at]![0] + t * (line[at + 1]![0] - line[at]![0]);
    y[i] = line[at]![1] + t * (line[at + 1]![1] - line[at]![1]);
  }
  const reach = Math.max(1, Math.round(smoothMm / step));
  const nx = new Float64Array(count + 1);
  const ny = new Float64Array(count + 1);
  const angle = new Float64Array(count + 1);
  const index = (i: number): number => (closed ? (i + 2 * count) % count : Math.min(count, Math.max(0, i)));
  for (let i = 0; i <= count; i++) {
    const a = index(i - reach);
    const b = index(i + reach);
    const dx = x[b]! - x[a]!;
    const dy = y[b]! - y[a]!;
    const length = Math.hypot(dx, dy) || 1;
    nx[i] = -dy / length;
    ny[i] = dx / length;
    angle[i] = Math.atan2(dy, dx);
  }
  const curvature = new Float64Array(count + 1);
  for (let i = 0; i <= count; i++) {
    const a = index(i - reach);
    const b = index(i + reach);
    let turn = angle[b]! - angle[a]!;
    if (turn > Math.PI) turn -= 2 * Math.PI;
    if (turn < -Math.PI) turn += 2 * Math.PI;
    const span = closed ? 2 * reach : Math.max(1, Math.min(count, i + reach) - Math.max(0, i - reach));
    curvature[i] = turn / (span * step);
  }
  return { stepMm: step, lengthMm: total, closed, x, y, nx, ny, curvature };
}

/**
 * The spine at `s` mm from its start. A closed spine goes round; an open one goes on straight beyond its ends.
 */
export function at(spine: Spine, s: number): SpinePoint {
  const last = spine.x.length - 1;
  const within = spine.closed
    ? ((s % spine.lengthMm) + spine.lengthMm) % spine.lengthMm
    : Math.min(spine.lengthMm, Math.max(0, s));
  const over = spine.closed ? 0 : s - within;
  const position = Math.min(last, within / spine.stepMm);
  const i = Math.min(last - 1, Math.floor(position));
  const t = position - i;
  const nx = mix(spine.nx, i, t);
  const ny = mix(spine.ny, i, t);
  const length = Math.sqrt(nx * nx + ny * ny) || 1;
  return {
    x: mix(spine.x, i, t) + (over * ny) / length,
    y: mix(spine.y, i, t) - (over * nx) / length,
    nx: nx / length,
    ny: ny / length,
    curvature: over === 0 ? mix(spine.curvature, i, t) : 0,
  };
}

const mix = (values: Float64Array, i: number, t: number): number =>
  values[i]! + t * (values[i + 1]! - values[i]!);

/** The place of the spine nearest to a point: its `s` and the distance, both mm. */
export function nearestOn(spine: Spine, x: number, y: number): { readonly s: number; readonly far: number } {
  let best = Infinity;
  let bestAt = 0;
  for (let i = 0; i < spine.x.length; i++) {
    const dx = spine.x[i]! - x;
    const dy = spine.y[i]! - y;
    const far = dx * dx + dy * dy;
    if (far < best) {
      best = far;
      bestAt = i;
    }
  }
  return { s: bestAt * spine.stepMm, far: Math.sqrt(best) };
}
