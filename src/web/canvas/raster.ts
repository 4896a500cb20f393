/**
 * Thread as pixels. Each stitch is a round thread laid between two penetrations: a capsule whose cross section is
 * lit as a cylinder (Lambert's cosine law) with a sheen along the fibre (J. T. Kajiya, T. L. Kay, "Rendering fur
 * with three dimensional textures", SIGGRAPH 1989, section 3: the highlight depends on the angle between the
 * fibre's tangent and the half vector). The thread bows up between its ends, so the sheen runs over a satin column as
 * it does on cloth. Edges are smoothed by the distance to the capsule's edge.
 *
 * Invariant: pixels are opaque and lie only inside the picture; a stitch changes nothing else. One stitch costs its
 * area in pixels, so a million stitches in an overview cost some ten million pixels. No canvas is needed: worker,
 * page and test draw the same way.
 */
export interface Picture {
  readonly width: number;
  readonly height: number;
  /** One opaque pixel a word, 0xAABBGGRR, rows from the top (the byte order of ImageData on little-endian machines). */
  readonly pixels: Uint32Array;
}

const LEVELS = 64;
/** Colours of one thread from its shaded edge to its sheen: LEVELS × red, green, blue. */
export type Ramp = Uint8Array;

// Light from the upper left, in front; y down as pixels are. The eye looks along z.
const [LX, LY, LZ] = [-0.42, -0.5, 0.757];
const half = Math.hypot(LX, LY, LZ + 1);
const [HX, HY, HZ] = [LX / half, LY / half, (LZ + 1) / half];
/** How far the thread leans at its ends, radians. */
const BOW = 0.55;
const ROUND = Float64Array.from({ length: 65 }, (_, i) => Math.sqrt(Math.max(0, 1 - (i / 64) ** 2)));

/** The ramp of a thread of colour `#rrggbb`; grey when the text is no colour. */
export function rampOf(rgb: string): Ramp {
  const value = /^#[0-9a-f]{6}$/i.test(rgb) ? Number.parseInt(rgb.slice(1), 16) : 0x9a948a;
  const base = [value >> 16, (value >> 8) & 255, value & 255];
  const luminance = (0.2126 * base[0]! + 0.7152 * base[1]! + 0.0722 * base[2]!) / 255;
  const ramp = new Uint8Array(LEVELS * 3);
  for (let level = 0; level < LEVELS; level++) {
    const light = level / (LEVELS - 1);
    for (let channel = 0; channel < 3; channel++) {
      const c = base[channel]!;
      // Below 0.62 the thread darkens to a third; above, it goes towards white, less far for dark threads.
      const shaded =
        light < 0.62
          ? c * (0.36 + (0.64 * light) / 0.62)
          : c + (255 - c) * ((light - 0.62) / 0.38) * (0.3 + 0.4 * luminance);
      ramp[level * 3 + channel] = Math.round(shaded);
    }
  }
  return ramp;
}

/** Fills the picture with one colour, `#rrggbb`. */
export function fill(picture: Picture, rgb: string): void {
  const value = Number.parseInt(rgb.slice(1), 16);
  picture.pixels.fill((0xff000000 | ((value & 255) << 16) | (value & 0xff00) | (value >> 16)) >>> 0);
}

/** Lays one stitch from (x0, y0) to (x1, y1), pixels, y down; `radius` is half the thread's thickness in pixels. */
export function layStitch(
  picture: Picture,
  x0: number,
  y0: number,
  x1: number,
  y1: number,
  radius: number,
  ramp: Ramp,
): void {
  const { width, height, pixels } = picture;
  const dx = x1 - x0;
  const dy = y1 - y0;
  const length = Math.hypot(dx, dy);
  const ax = length > 1e-6 ? dx / length : 1;
  const ay = length > 1e-6 ? dy / length : 0;
  const nx = -ay;
  const ny = ax;
  const steep = Math.abs(ay) > Math.abs(ax);
  const reach = radius + 0.5;
  const slope = steep ? ax / ay : ay / ax;
  const span = reach / Math.abs(steep ? ay : ax) + 0.001;
  const lowMajor = Math.max(0, Math.floor((steep ? Math.min(y0, y1) : Math.min(x0, x1)) - reach));
  const highMajor = Math.min(
    (steep ? height : width) - 1,
    Math.ceil((steep ? Math.max(y0, y1) : Math.max(x0, x1)) + reach),
  );
  const lowBox = Math.max(0, Math.floor((steep ? Math.min(x0, x1) : Math.min(y0, y1)) - reach));
  const highBox = Math.min(
    (steep ? width : height) - 1,
    Math.ceil((steep ? Math.max(x0, x1) : Math.max(y0, y1)) + reach),
  );
  if (highMajor < lowMajor || highBox < lowBox) return;

  const across = nx * LX + ny * LY;
  const along = ax * HX + ay * HY;
  const thin = Math.min(1, 2 * radius);
  const inverse = 1 / Math.max(radius, 0.5);
  const twisted = radius > 3.5;
  const twist = 1.1 / radius;

  for (let major = lowMajor; major <= highMajor; major++) {
    const middle = steep ? x0 + (major + 0.5 - y0) * slope : y0 + (major + 0.5 - x0) * slope;
    const low = Math.max(lowBox, Math.floor(middle - span));
    const high = Math.min(highBox, Math.ceil(middle + span));
    for (let minor = low; minor <= high; minor++) {
      const px = (steep ? minor : major) + 0.5 - x0;
      const py = (steep ? major : minor) + 0.5 - y0;
      const t = px * ax + py * ay;
      const d = px * nx + py * ny;
      const beyond = t < 0 ? -t : t > length ? t - length : 0;
      const distance = beyond > 0 ? Math.sqrt(d * d + beyond * beyond) : d < 0 ? -d : d;
      let cover = reach - distance;
      if (cover <= 0) continue;
      if (cover > 1) cover = 1;
      cover *= thin;
      let u = d * inverse;
      if (u > 1) u = 1;
      else if (u < -1) u = -1;
      const round = ROUND[((u < 0 ? -u : u) * 64) | 0]!;
      // Where along the stitch, -1 … 1: the thread leans down towards both penetrations.
      const v = length > 1 ? (t < 0 ? -1 : t > length ? 1 : (2 * t) / length - 1) : 0;
      const lean = BOW * v;
      const tangent = along * (1 - lean * lean * 0.5) - HZ * lean;
      const sheen2 = 1 - tangent * tangent;
      const sheen = sheen2 * sheen2 * sheen2 * sheen2;
      let light = 0.2 + 0.5 * (across * u + LZ * round) + 0.34 * sheen * sheen * round - 0.1 * v * v;
      if (twisted) light += 0.05 * Math.sin(t * twist * 2 + u * 2.6) * round;
      const level = light <= 0 ? 0 : light >= 1 ? (LEVELS - 1) * 3 : ((light * (LEVELS - 1)) | 0) * 3;
      const at = steep ? major * width + minor : minor * width + major;
      if (cover > 0.99) {
        pixels[at] = (0xff000000 | (ramp[level + 2]! << 16) | (ramp[level + 1]! << 8) | ramp[level]!) >>> 0;
      } else {
        const under = pixels[at]!;
        const r = under & 255;
        const g = (under >> 8) & 255;
        const b = (under >> 16) & 255;
        const mix = (cover * 256) | 0;
        pixels[at] =
          (0xff000000 |
            ((b + (((ramp[level + 2]! - b) * mix) >> 8)) << 16) |
            ((g + (((ramp[level + 1]! - g) * mix) >> 8)) << 8) |
            (r + (((ramp[level]! - r) * mix) >> 8))) >>>
          0;
      }
    }
  }
}
