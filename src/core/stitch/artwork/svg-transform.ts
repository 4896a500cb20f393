import type { Place } from "../spine";

/** x' = a·x + c·y + e, y' = b·x + d·y + f. */
export type Matrix = readonly [a: number, b: number, c: number, d: number, e: number, f: number];

export const SAME: Matrix = [1, 0, 0, 1, 0, 0];

/** First `second`, then `first`. */
export function joined(first: Matrix, second: Matrix): Matrix {
  const [a, b, c, d, e, f] = first;
  const [g, h, i, j, k, l] = second;
  return [a * g + c * h, b * g + d * h, a * i + c * j, b * i + d * j, a * k + c * l + e, b * k + d * l + f];
}

export const applied = ([a, b, c, d, e, f]: Matrix, [x, y]: Place): Place => [
  a * x + c * y + e,
  b * x + d * y + f,
];

/** By how much lengths grow in the mean: the square root of the area's growth. */
export const growth = ([a, b, c, d]: Matrix): number => Math.sqrt(Math.abs(a * d - b * c));

const radians = (degrees: number): number => (degrees * Math.PI) / 180;

/** A `transform` list (SVG 2, section 8.5; CSS units deg, rad, turn and px); null where it cannot be read. */
export function readTransform(text: string): Matrix | null {
  let matrix = SAME;
  const rest = text.replace(/([a-zA-Z]+)\s*\(([^)]*)\)\s*,?/g, (_, name: string, list: string) => {
    const values = list.split(/[\s,]+/).filter((word) => word !== "");
    const n = values.map((word) => {
      const value = parseFloat(word);
      if (word.endsWith("rad")) return (value * 180) / Math.PI;
      return word.endsWith("turn") ? value * 360 : value;
    });
    const one = single(name, n);
    if (one === null || n.some((value) => !Number.isFinite(value))) return "?";
    matrix = joined(matrix, one);
    return "";
  });
  return rest.trim() === "" || rest.trim() === "none" ? matrix : null;
}

function single(name: string, n: readonly number[]): Matrix | null {
  const [p = 0, q] = n;
  switch (name.toLowerCase()) {
    case "matrix":
      return n.length === 6 ? (n as unknown as Matrix) : null;
    case "translate":
      return [1, 0, 0, 1, p, q ?? 0];
    case "translatex":
      return [1, 0, 0, 1, p, 0];
    case "translatey":
      return [1, 0, 0, 1, 0, p];
    case "scale":
      return [p, 0, 0, q ?? p, 0, 0];
    case "rotate": {
      const [cos, sin] = [Math.cos(radians(p)), Math.sin(radians(p))];
      const [x, y] = [n[1] ?? 0, n[2] ?? 0];
      return [cos, sin, -sin, cos, x - cos * x + sin * y, y - sin * x - cos * y];
    }
    case "skewx":
      return [1, 0, Math.tan(radians(p)), 1, 0, 0];
    case "skewy":
      return [1, Math.tan(radians(p)), 0, 1, 0, 0];
    default:
      return null;
  }
}

/** The matrix of a `viewBox` in a window of the given size (SVG 2, section 8.6, `preserveAspectRatio`). */
export function viewBoxMatrix(
  box: readonly [x: number, y: number, width: number, height: number],
  window: { readonly x: number; readonly y: number; readonly width: number; readonly height: number },
  aspect = "xMidYMid meet",
): Matrix {
  let sx = window.width / box[2];
  let sy = window.height / box[3];
  const [align = "xMidYMid", fit = "meet"] = aspect.trim().split(/\s+/);
  let [dx, dy] = [0, 0];
  if (align !== "none") {
    sx = sy = fit === "slice" ? Math.max(sx, sy) : Math.min(sx, sy);
    const share = (letters: string): number => (letters === "Min" ? 0 : letters === "Max" ? 1 : 0.5);
    dx = (window.width - box[2] * sx) * share(align.slice(1, 4));
    dy = (window.height - box[3] * sy) * share(align.slice(5, 8));
  }
  return [sx, 0, 0, sy, window.x + dx - box[0] * sx, window.y + dy - box[1] * sy];
}
