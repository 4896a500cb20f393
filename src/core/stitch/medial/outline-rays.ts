import type { Rings } from "../rings";
import type { Place } from "../spine";

/** Answers questions about an outline quickly: how far it is along a ray, and whether a place is inside (even-odd). */
export interface OutlineRays {
  /** The way from a place along a unit direction to the outline; `mostMm` when it is further. */
  readonly reach: (from: Place, direction: Place, mostMm: number) => number;
  readonly isInside: (place: Place) => boolean;
}

/** Sorts the outline's pieces into a grid of cells of about `cellMm`, so that each question looks at few of them. */
export function outlineRays(rings: Rings, cellMm = 0.8): OutlineRays {
  const ax: number[] = [];
  const ay: number[] = [];
  const bx: number[] = [];
  const by: number[] = [];
  let [left, right, bottom, top] = [Infinity, -Infinity, Infinity, -Infinity];
  for (const ring of rings) {
    for (let i = 0; i < ring.length; i++) {
      const [a, b] = [ring[i]!, ring[(i + 1) % ring.length]!];
      ax.push(a[0]);
      ay.push(a[1]);
      bx.push(b[0]);
      by.push(b[1]);
      left = Math.min(left, a[0]);
      right = Math.max(right, a[0]);
      bottom = Math.min(bottom, a[1]);
      top = Math.max(top, a[1]);
    }
  }
  const columns = Math.max(1, Math.min(400, Math.ceil((right - left) / cellMm)));
  const rows = Math.max(1, Math.min(400, Math.ceil((top - bottom) / cellMm)));
  const wide = (right - left) / columns || 1;
  const high = (top - bottom) / rows || 1;
  const cells: number[][] = Array.from({ length: columns * rows }, () => []);
  const bands: number[][] = Array.from({ length: rows }, () => []);
  const column = (x: number): number => Math.min(columns - 1, Math.max(0, Math.floor((x - left) / wide)));
  const row = (y: number): number => Math.min(rows - 1, Math.max(0, Math.floor((y - bottom) / high)));
  for (let k = 0; k < ax.length; k++) {
    const [c0, c1] = [column(Math.min(ax[k]!, bx[k]!)), column(Math.max(ax[k]!, bx[k]!))];
    const [r0, r1] = [row(Math.min(ay[k]!, by[k]!)), row(Math.max(ay[k]!, by[k]!))];
    for (let r = r0; r <= r1; r++) {
      bands[r]!.push(k);
      for (let c = c0; c <= c1; c++) cells[r * columns + c]!.push(k);
    }
  }
  return {
    reach: ([x, y], [dx, dy], mostMm) => {
      const [c0, c1] = [column(Math.min(x, x + dx * mostMm)), column(Math.max(x, x + dx * mostMm))];
      const [r0, r1] = [row(Math.min(y, y + dy * mostMm)), row(Math.max(y, y + dy * mostMm))];
      let best = mostMm;
      for (let r = r0; r <= r1; r++) {
        for (let c = c0; c <= c1; c++) {
          for (const k of cells[r * columns + c]!) {
            const [ex, ey] = [bx[k]! - ax[k]!, by[k]! - ay[k]!];
            const across = dx * ey - dy * ex;
            if (Math.abs(across) < 1e-12) continue;
            const [ox, oy] = [ax[k]! - x, ay[k]! - y];
            const t = (ox * ey - oy * ex) / across;
            if (t < 0 || t >= best) continue;
            const u = (ox * dy - oy * dx) / across;
            if (u >= -1e-9 && u <= 1 + 1e-9) best = t;
          }
        }
      }
      return best;
    },
    isInside: ([x, y]) => {
      if (x < left || x > right || y < bottom || y > top) return false;
      let inside = false;
      for (const k of bands[row(y)]!) {
        if (ay[k]! > y === by[k]! > y) continue;
        if (x < ax[k]! + ((y - ay[k]!) / (by[k]! - ay[k]!)) * (bx[k]! - ax[k]!)) inside = !inside;
      }
      return inside;
    },
  };
}
