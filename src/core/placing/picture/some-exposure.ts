/** From light on the sensor to bytes, for the rendered photos: blur, motion, noise, sRGB. */
import { seededChance } from "#core/base";
import { byteOfLinear } from "./pixels";

/** The camera moved while the shutter was open: a straight way in px. */
export interface Motion {
  readonly lengthPx: number;
  readonly angleRad: number;
}

/** Blurs in place by a Gaussian of σ px (cut at 3.5 σ), then along the motion. */
export function blurred(
  light: Float32Array,
  widthPx: number,
  heightPx: number,
  sigmaPx: number,
  motion: Motion | null,
): void {
  if (sigmaPx > 0) {
    const reach = Math.ceil(3.5 * sigmaPx);
    const kernel = Float32Array.from({ length: 2 * reach + 1 }, (_, i) =>
      Math.exp(-((i - reach) ** 2) / (2 * sigmaPx ** 2)),
    );
    const sum = kernel.reduce((total, one) => total + one, 0);
    for (let i = 0; i < kernel.length; i++) kernel[i] = kernel[i]! / sum;
    across(light, widthPx, heightPx, kernel);
    down(light, widthPx, heightPx, kernel);
  }
  if (motion) smeared(light, widthPx, heightPx, motion);
}

function across(light: Float32Array, widthPx: number, heightPx: number, kernel: Float32Array): void {
  const reach = (kernel.length - 1) / 2;
  const row = new Float32Array(widthPx + 2 * reach);
  for (let y = 0; y < heightPx; y++) {
    const from = y * widthPx;
    row.fill(light[from]!, 0, reach);
    row.set(light.subarray(from, from + widthPx), reach);
    row.fill(light[from + widthPx - 1]!, reach + widthPx);
    for (let x = 0; x < widthPx; x++) {
      let sum = 0;
      for (let k = 0; k < kernel.length; k++) sum += kernel[k]! * row[x + k]!;
      light[from + x] = sum;
    }
  }
}

function down(light: Float32Array, widthPx: number, heightPx: number, kernel: Float32Array): void {
  const reach = (kernel.length - 1) / 2;
  const kept: Float32Array[] = [];
  const rowAt = (y: number) => {
    const inside = Math.max(0, Math.min(heightPx - 1, y));
    return light.slice(inside * widthPx, (inside + 1) * widthPx);
  };
  for (let y = -reach; y < reach; y++) kept.push(rowAt(y));
  const sums = new Float32Array(widthPx);
  for (let y = 0; y < heightPx; y++) {
    kept.push(rowAt(y + reach));
    sums.fill(0);
    for (let k = 0; k < kernel.length; k++) {
      const row = kept[k]!;
      const weight = kernel[k]!;
      for (let x = 0; x < widthPx; x++) sums[x] = sums[x]! + weight * row[x]!;
    }
    light.set(sums, y * widthPx);
    kept.shift();
  }
}

/** Means of places along the motion, between pixels. */
function smeared(light: Float32Array, widthPx: number, heightPx: number, motion: Motion): void {
  const source = light.slice();
  const steps = Math.max(3, Math.ceil(motion.lengthPx * 2) | 1);
  const places = Array.from({ length: steps }, (_, i) => {
    const t = (i / (steps - 1) - 0.5) * motion.lengthPx;
    return [t * Math.cos(motion.angleRad), t * Math.sin(motion.angleRad)] as const;
  });
  const reach = Math.ceil(motion.lengthPx / 2) + 1;
  for (let y = reach; y < heightPx - reach - 1; y++)
    for (let x = reach; x < widthPx - reach - 1; x++) {
      let sum = 0;
      for (const [dx, dy] of places) {
        const left = Math.floor(dx);
        const top = Math.floor(dy);
        const fx = dx - left;
        const fy = dy - top;
        const at = (y + top) * widthPx + x + left;
        sum +=
          (source[at]! * (1 - fx) + source[at + 1]! * fx) * (1 - fy) +
          (source[at + widthPx]! * (1 - fx) + source[at + widthPx + 1]! * fx) * fy;
      }
      light[y * widthPx + x] = sum / steps;
    }
}

/** Bytes of the light with shot noise (variance `shot` · light) and read noise of σ `read`, both linear. */
export function exposed(light: Float32Array, shot: number, read: number, seed: number): Uint8Array {
  const chance = seededChance(seed);
  const normals = Float32Array.from({ length: 8192 }, () => {
    const r = Math.sqrt(-2 * Math.log(1 - chance.next()));
    return r * Math.cos(2 * Math.PI * chance.next());
  });
  const bytes = new Uint8Array(light.length);
  let state = seed | 1;
  for (let i = 0; i < light.length; i++) {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    const value = light[i]!;
    const spread = Math.sqrt(shot * (value > 0 ? value : 0) + read * read);
    bytes[i] = byteOfLinear(value + spread * normals[state & 8191]!);
  }
  return bytes;
}
