import type { Place } from "../spine";

/** Work on the dots of a picture: `dots` holds each dot's colour, 255 for none; masks hold 1 for a dot that belongs. */

const NONE = 255;

/** Colours from the one with most dots to the one with fewest; those without any left out. */
export function largestFirst(dots: Uint8Array, colours: number): number[] {
  const count = new Array<number>(colours).fill(0);
  for (const dot of dots) if (dot !== NONE) count[dot]!++;
  return count.map((_, c) => c).filter((c) => count[c]! > 0).sort((a, b) => count[b]! - count[a]!); // prettier-ignore
}

/** Pieces of fewer than `least` dots take the colour of most dots round them. */
export function withoutSpecks(dots: Uint8Array, width: number, least: number): Uint8Array {
  const out = dots.slice();
  const seen = new Uint8Array(dots.length);
  for (let start = 0; start < dots.length; start++) {
    if (seen[start]) continue;
    const colour = dots[start]!;
    const piece = [start];
    const round = new Map<number, number>();
    seen[start] = 1;
    for (let n = 0; n < piece.length; n++)
      for (const next of beside(piece[n]!, width, dots.length)) {
        const other = dots[next]!;
        if (other !== colour) round.set(other, (round.get(other) ?? 0) + 1);
        else if (!seen[next]) {
          seen[next] = 1;
          piece.push(next);
        }
      }
    if (piece.length >= least || round.size === 0) continue;
    const [into] = [...round].sort((a, b) => b[1] - a[1] || a[0] - b[0])[0]!;
    for (const i of piece) out[i] = into;
  }
  return out;
}

function beside(i: number, width: number, count: number): number[] {
  const x = i % width;
  const found: number[] = [];
  if (x > 0) found.push(i - 1);
  if (x < width - 1) found.push(i + 1);
  if (i >= width) found.push(i - width);
  if (i + width < count) found.push(i + width);
  return found;
}

/** The mask with those holes filled that hold nothing but colours that come later. */
export function filledHoles(
  mask: Uint8Array,
  dots: Uint8Array,
  later: Uint8Array,
  width: number,
): Uint8Array {
  const out = mask.slice();
  const seen = new Uint8Array(mask.length);
  for (let start = 0; start < mask.length; start++) {
    if (mask[start] || seen[start]) continue;
    const piece = [start];
    seen[start] = 1;
    let isHole = true;
    for (let n = 0; n < piece.length; n++) {
      const i = piece[n]!;
      const x = i % width;
      if (x === 0 || x === width - 1 || i < width || i >= mask.length - width || !later[dots[i]!])
        isHole = false;
      for (const next of beside(i, width, mask.length))
        if (!mask[next] && !seen[next]) {
          seen[next] = 1;
          piece.push(next);
        }
    }
    if (isHole) for (const i of piece) out[i] = 1;
  }
  return out;
}

/** The mask grown by `by` dots, but only over colours that come later and will lie on it. */
export function dilated(
  mask: Uint8Array,
  dots: Uint8Array,
  later: Uint8Array,
  width: number,
  by: number,
): Uint8Array {
  // prettier-ignore
  const out = mask.slice();
  let edge: number[] = [];
  mask.forEach((is, i) => is && edge.push(i));
  for (let round = 0; round < by; round++) {
    const next: number[] = [];
    for (const i of edge)
      for (const j of beside(i, width, mask.length))
        if (!out[j] && dots[j] !== NONE && later[dots[j]!]) {
          out[j] = 1;
          next.push(j);
        }
    edge = next;
  }
  return out;
}

/**
 * The outlines of a mask along the sides of its dots, made smooth: the steps of dots give way to curves, and
 * these to lines that stay within 0.3 of a dot (D. Douglas, T. Peucker, Cartographica 10 (1973) 112–122). Outer outlines and holes run opposite ways.
 */
export function tracedRings(mask: Uint8Array, width: number): Place[][] {
  const height = mask.length / width;
  const on = (x: number, y: number): boolean =>
    x >= 0 && y >= 0 && x < width && y < height && mask[y * width + x] === 1;
  const stride = width + 1;
  // Sides with the dot on their right hand (y down), by the corner they begin at: 0 right, 1 down, 2 left, 3 up.
  const from = new Map<number, number[]>();
  const side = (x: number, y: number, way: number): void => {
    const key = y * stride + x;
    from.set(key, [...(from.get(key) ?? []), way]);
  };
  for (let y = 0; y < height; y++)
    for (let x = 0; x < width; x++) {
      if (!on(x, y)) continue;
      if (!on(x, y - 1)) side(x, y, 0);
      if (!on(x + 1, y)) side(x + 1, y, 1);
      if (!on(x, y + 1)) side(x + 1, y + 1, 2);
      if (!on(x - 1, y)) side(x, y + 1, 3);
    }
  const ahead = [1, stride, -1, -stride];
  const rings: Place[][] = [];
  for (const [start, ways] of from) {
    while (ways.length > 0) {
      let way = ways.pop()!;
      let at = start;
      const ring: Place[] = [];
      do {
        ring.push([at % stride, Math.floor(at / stride)]);
        at += ahead[way]!;
        if (at === start) break;
        const out = from.get(at)!;
        // Dots that touch at a corner only stay apart: turn right where both ways are open.
        const right = (way + 1) % 4;
        const pick = out.length > 1 && out.includes(right) ? right : out[0]!;
        out.splice(out.indexOf(pick), 1);
        way = pick;
      } while (at !== start);
      const smooth = smoothed(ring);
      if (smooth.length > 2) rings.push(smooth);
    }
  }
  return rings;
}

const TOLERANCE = 0.3;

const meanOfFive = (ring: readonly Place[]): Place[] =>
  ring.map((_, i): Place => {
    let [x, y] = [0, 0];
    for (let k = -2; k <= 2; k++) {
      const place = ring[(i + k + ring.length) % ring.length]!;
      x += place[0] / 5;
      y += place[1] / 5;
    }
    return [x, y];
  });

/** The middles of the sides, freed of the steps of the dots. */
function smoothed(ring: readonly Place[]): Place[] {
  let middles = ring.map((place, i): Place => {
    const next = ring[(i + 1) % ring.length]!;
    return [(place[0] + next[0]) / 2, (place[1] + next[1]) / 2];
  });
  // Three passes of a mean over five dots come near a Gaussian of 2.4 dots (central limit): steps give way to curves.
  if (middles.length > 16) for (let pass = 0; pass < 3; pass++) middles = meanOfFive(middles);
  // Begin at the place farthest from the middle of all: a corner, if there is one.
  const cx = middles.reduce((sum, [x]) => sum + x, 0) / middles.length;
  const cy = middles.reduce((sum, [, y]) => sum + y, 0) / middles.length;
  let first = 0;
  let far = 0;
  middles.forEach(([x, y], i) => {
    const own = Math.hypot(x - cx, y - cy);
    if (own > far) [first, far] = [i, own];
  });
  const line = [...middles.slice(first), ...middles.slice(0, first + 1)];
  const keep = new Uint8Array(line.length);
  keep[0] = keep[line.length - 1] = 1;
  const stack: [number, number][] = [[0, line.length - 1]];
  while (stack.length > 0) {
    const [a, b] = stack.pop()!;
    let [worst, at] = [TOLERANCE, -1];
    const [p, q] = [line[a]!, line[b]!];
    const length = Math.hypot(q[0] - p[0], q[1] - p[1]);
    for (let i = a + 1; i < b; i++) {
      const [x, y] = line[i]!;
      const off = length > 0 ? Math.abs((q[0] - p[0]) * (p[1] - y) - (p[0] - x) * (q[1] - p[1])) / length : Math.hypot(x - p[0], y - p[1]); // prettier-ignore
      if (off > worst) [worst, at] = [off, i];
    }
    if (at < 0) continue;
    keep[at] = 1;
    stack.push([a, at], [at, b]);
  }
  return line.filter((_, i) => keep[i] && i < line.length - 1);
}
