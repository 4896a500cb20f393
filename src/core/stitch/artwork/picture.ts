import type { Finding } from "#core/base";
import { hexFromRgb, type Lab, labFromRgb, type Rgb, rgbFromLab } from "#core/thread";
import { refuseStitches } from "../refusals";
import type { Artwork, Painted } from "./artwork";
import { dilated, filledHoles, largestFirst, tracedRings, withoutSpecks } from "./picture-areas";

/** A picture of dots: red, green, blue and opacity of each, rows from the top. */
export interface Picture {
  readonly width: number;
  readonly height: number;
  readonly rgba: Uint8Array | Uint8ClampedArray;
}

export interface PictureOptions {
  /** At most so many colours; 8 when left out. */
  readonly mostColours?: number;
}

/** Worked at about so many dots along the longer side: finer than stitches can show. */
const WORKED_DOTS = 480;
const NONE = 255;
/** A dot is flat where its neighbours differ by less than this (CIE76). */
const FLAT = 6;
/** Colours nearer than this are one (CIE76), and so is what is left over from them. */
const APART = 9;
const PHOTOGRAPH_SHARE = 0.45;
/** A colour this far off is seen at once (CIE76), and so much of a picture may be so before it is told. */
const WELL_OFF = 12;
const SHADES_SHARE = 0.1;

/**
 * Turns a picture of few colours into areas: colours are found in CIELAB among its flat dots (k-means, S. Lloyd, IEEE
 * Trans. Information Theory 28 (1982) 129–137, begun at the commonest and farthest ones), each dot takes the nearest
 * colour that stands flat beside it, so that softened edges make no colour of their own; specks go, outlines are traced
 * along the dots and made smooth. A photograph is told: it has hardly a flat dot.
 * @throws `not-a-drawing` for a picture without dots, `artwork-not-possible` where all of it is see-through
 */
export function readPicture(picture: Picture, { mostColours = 8 }: PictureOptions = {}): Artwork {
  const { width, height, rgba } = picture;
  if (width < 1 || height < 1 || rgba.length < width * height * 4)
    throw refuseStitches("not-a-drawing", `The picture says it has ${width} × ${height} dots and holds ${Math.floor(rgba.length / 4)}.`); // prettier-ignore
  const worked = resized(picture);
  const labs = labsOf(worked);
  const flat = flatDots(worked, labs);
  const seen = labs.opaque.reduce((sum, is) => sum + is, 0);
  if (seen === 0) throw refuseStitches("artwork-not-possible", "The whole picture is see-through.");
  const flatShare = flat.reduce((sum, is) => sum + is, 0) / seen;
  const colours = coloursOf(labs, flatShare > 0.05 ? flat : labs.opaque, mostColours);
  let dots = assigned(worked, labs, flat, colours);
  dots = withoutSpecks(dots, worked.width, Math.max(6, Math.round((worked.width * worked.height) / 40_000)));
  const findings: Finding[] = [];
  if (flatShare < PHOTOGRAPH_SHARE)
    findings.push({
      code: "looks-like-a-photograph",
      level: "warning",
      message: `Only ${Math.round(flatShare * 100)} % of the picture is of plain colour: it looks like a photograph or a shaded drawing.`,
      advice:
        "Thread shows plain areas. Have it drawn in a few flat colours, or take the result for a rough one.",
    });
  else {
    const lost = shareFarOff(labs, dots, colours);
    if (lost > SHADES_SHARE)
      findings.push({
        code: "shades-lost",
        level: "note",
        message: `${Math.round(lost * 100)} % of the picture is sewn in a colour well off its own: shades come out plain.`,
        advice: "Allow more colours, or have it drawn in flat ones.",
      });
  }
  const ground = groundOf(dots, worked.width, worked.height);
  const painted = paintedOf(dots, worked, colours, ground);
  return { painted, naturalMm: null, findings, ...(ground === null ? {} : { hasGround: true }) };
}

interface Worked {
  readonly width: number;
  readonly height: number;
  readonly rgba: Float32Array;
  /** Dots of the picture for one worked dot. */
  readonly step: number;
}

/** The picture at working size: the mean of the dots that fall together, or softly between dots that are too few. */
function resized({ width, height, rgba }: Picture): Worked {
  const step = Math.max(width, height) / WORKED_DOTS;
  const [w, h] = [Math.max(1, Math.round(width / step)), Math.max(1, Math.round(height / step))];
  const out = new Float32Array(w * h * 4);
  for (let y = 0; y < h; y++)
    for (let x = 0; x < w; x++) {
      const sum = [0, 0, 0, 0];
      let weight = 0;
      const add = (sx: number, sy: number, share: number): void => {
        const at = 4 * (Math.min(height - 1, Math.max(0, sy)) * width + Math.min(width - 1, Math.max(0, sx)));
        const alpha = (rgba[at + 3]! / 255) * share;
        for (let c = 0; c < 3; c++) sum[c]! += rgba[at + c]! * alpha;
        sum[3]! += alpha;
        weight += share;
      };
      if (step > 1) {
        for (
          let sy = Math.floor(y * step);
          sy < Math.max(Math.floor(y * step) + 1, Math.floor((y + 1) * step));
          sy++
        )
          for (
            let sx = Math.floor(x * step);
            sx < Math.max(Math.floor(x * step) + 1, Math.floor((x + 1) * step));
            sx++
          )
            add(sx, sy, 1);
      } else {
        const [fx, fy] = [(x + 0.5) * step - 0.5, (y + 0.5) * step - 0.5];
        const [ix, iy] = [Math.floor(fx), Math.floor(fy)];
        const [tx, ty] = [fx - ix, fy - iy];
        add(ix, iy, (1 - tx) * (1 - ty));
        add(ix + 1, iy, tx * (1 - ty));
        add(ix, iy + 1, (1 - tx) * ty);
        add(ix + 1, iy + 1, tx * ty);
      }
      const at = 4 * (y * w + x);
      for (let c = 0; c < 3; c++) out[at + c] = sum[3]! > 0 ? sum[c]! / sum[3]! : 0;
      out[at + 3] = sum[3]! / weight;
    }
  return { width: w, height: h, rgba: out, step };
}

interface Labs {
  readonly l: Float32Array;
  readonly a: Float32Array;
  readonly b: Float32Array;
  readonly opaque: Uint8Array;
}

function labsOf({ width, height, rgba }: Worked): Labs {
  const count = width * height;
  const labs = { l: new Float32Array(count), a: new Float32Array(count), b: new Float32Array(count), opaque: new Uint8Array(count) }; // prettier-ignore
  for (let i = 0; i < count; i++) {
    if (rgba[4 * i + 3]! < 0.5) continue;
    const lab = labFromRgb({ r: rgba[4 * i]!, g: rgba[4 * i + 1]!, b: rgba[4 * i + 2]! });
    labs.opaque[i] = 1;
    [labs.l[i], labs.a[i], labs.b[i]] = [lab.l, lab.a, lab.b];
  }
  return labs;
}

const far = (labs: Labs, i: number, j: number): number =>
  Math.hypot(labs.l[i]! - labs.l[j]!, labs.a[i]! - labs.a[j]!, labs.b[i]! - labs.b[j]!);

/** The share of dots that get a colour well off their own. */
function shareFarOff(labs: Labs, dots: Uint8Array, colours: readonly Lab[]): number {
  let [off, all] = [0, 0];
  dots.forEach((colour, i) => {
    if (colour === NONE) return;
    all++;
    const { l, a, b } = colours[colour]!;
    if (Math.hypot(labs.l[i]! - l, labs.a[i]! - a, labs.b[i]! - b) > WELL_OFF) off++;
  });
  return all === 0 ? 0 : off / all;
}

function flatDots({ width, height }: Worked, labs: Labs): Uint8Array {
  const flat = new Uint8Array(width * height);
  for (let y = 0; y < height; y++)
    for (let x = 0; x < width; x++) {
      const i = y * width + x;
      if (!labs.opaque[i]) continue;
      flat[i] = 1;
      for (const [dx, dy] of [[-1, 0], [1, 0], [0, -1], [0, 1]] as const) {
        if (x + dx < 0 || y + dy < 0 || x + dx >= width || y + dy >= height) continue;
        const j = i + dy * width + dx;
        if (!labs.opaque[j] || far(labs, i, j) > FLAT) flat[i] = 0;
      } // prettier-ignore
    }
  return flat;
}

/** The colours of the dots that count: as many as stand apart, at most `most`, the commonest first. */
function coloursOf(labs: Labs, counts: Uint8Array, most: number): Lab[] {
  const bins = new Map<number, { n: number; l: number; a: number; b: number }>();
  counts.forEach((is, i) => {
    if (!is) return;
    const key = (Math.round(labs.l[i]! / 4) * 100 + Math.round(labs.a[i]! / 4) + 50) * 100 + Math.round(labs.b[i]! / 4) + 50; // prettier-ignore
    const bin = bins.get(key) ?? { n: 0, l: 0, a: 0, b: 0 };
    bins.set(key, bin);
    bin.n++;
    bin.l += labs.l[i]!;
    bin.a += labs.a[i]!;
    bin.b += labs.b[i]!;
  });
  const total = [...bins.values()].reduce((sum, { n }) => sum + n, 0);
  const points = [...bins.values()]
    .map(({ n, l, a, b }) => ({ n, l: l / n, a: a / n, b: b / n }))
    .sort((p, q) => q.n - p.n || p.l - q.l);
  const apart = (p: Lab, q: Lab): number => Math.hypot(p.l - q.l, p.a - q.a, p.b - q.b);
  let centres: Lab[] = [points[0]!];
  for (;;) {
    for (let round = 0; round < 12; round++) centres = lloyd(points, centres);
    if (centres.length >= most) return centres;
    // The next one stands where most is told worst; a colour of hardly any dots is a speck.
    let [best, worth] = [points[0]!, 0];
    for (const point of points) {
      const off = Math.min(...centres.map((centre) => apart(point, centre)));
      if (off > APART && point.n > total / 3000 && off * Math.sqrt(point.n) > worth)
        [best, worth] = [point, off * Math.sqrt(point.n)];
    }
    if (worth === 0) return centres;
    centres = [...centres, best];
  }
}

function lloyd(points: readonly (Lab & { n: number })[], centres: readonly Lab[]): Lab[] {
  const sums = centres.map(() => ({ n: 0, l: 0, a: 0, b: 0 }));
  for (const point of points) {
    let [best, least] = [0, Infinity];
    centres.forEach((centre, c) => {
      const off = (point.l - centre.l) ** 2 + (point.a - centre.a) ** 2 + (point.b - centre.b) ** 2;
      if (off < least) [best, least] = [c, off];
    });
    const sum = sums[best]!;
    sum.n += point.n;
    sum.l += point.l * point.n;
    sum.a += point.a * point.n;
    sum.b += point.b * point.n;
  }
  return sums.map(({ n, l, a, b }, c) => (n > 0 ? { l: l / n, a: a / n, b: b / n } : centres[c]!));
}

/** Each dot's colour: of flat dots the nearest, of others the nearest among the flat ones beside them. */
function assigned(
  { width, height, step }: Worked,
  labs: Labs,
  flat: Uint8Array,
  colours: readonly Lab[],
): Uint8Array {
  const dots = new Uint8Array(width * height).fill(NONE);
  const nearest = (i: number, among: Iterable<number>): number => {
    let [best, least] = [NONE, Infinity];
    for (const c of among) {
      const off = Math.hypot(
        labs.l[i]! - colours[c]!.l,
        labs.a[i]! - colours[c]!.a,
        labs.b[i]! - colours[c]!.b,
      );
      if (off < least) [best, least] = [c, off];
    }
    return best;
  };
  const all = colours.map((_, c) => c);
  for (let i = 0; i < dots.length; i++) if (flat[i]) dots[i] = nearest(i, all);
  const soft = dots.slice();
  // Softened edges are as many dots wide as the picture was made larger.
  const reach = Math.max(3, Math.ceil(4 / step));
  for (let y = 0; y < height; y++)
    for (let x = 0; x < width; x++) {
      const i = y * width + x;
      if (!labs.opaque[i] || flat[i]) continue;
      const beside = new Set<number>();
      for (let dy = -reach; dy <= reach; dy++)
        for (let dx = -reach; dx <= reach; dx++) {
          if (x + dx < 0 || y + dy < 0 || x + dx >= width || y + dy >= height) continue;
          const c = dots[i + dy * width + dx]!;
          if (c !== NONE) beside.add(c);
        }
      // A thin line has no flat dot of its own colour: what is far from all beside it takes the nearest of all.
      const own = nearest(i, beside.size > 0 ? beside : all);
      const free = nearest(i, all);
      const off = (c: number): number => Math.hypot(labs.l[i]! - colours[c]!.l, labs.a[i]! - colours[c]!.a, labs.b[i]! - colours[c]!.b); // prettier-ignore
      soft[i] = beside.size < 2 && off(free) < 0.25 * off(own) ? free : own;
    }
  return soft;
}

/** The ground first as a whole rectangle, then each colour from the largest, filled under what lies on it. */
function paintedOf(
  dots: Uint8Array,
  { width, height, step }: Worked,
  colours: readonly Lab[],
  ground: number | null,
): Painted[] {
  const hex = (colour: number): string => {
    const rgb = rgbFromLab(colours[colour]!);
    const channel = (value: number): number => Math.round(Math.min(255, Math.max(0, value)));
    return hexFromRgb({ r: channel(rgb.r), g: channel(rgb.g), b: channel(rgb.b) } satisfies Rgb);
  };
  const painted: Painted[] = [];
  if (ground !== null) {
    const [w, h] = [width * step, height * step];
    painted.push({ kind: "area", rings: [[[0, 0], [w, 0], [w, -h], [0, -h]]], rule: "nonzero", colour: hex(ground) }); // prettier-ignore
  }
  const order = largestFirst(dots, colours.length).filter((colour) => colour !== ground);
  order.forEach((colour, place) => {
    const later = new Uint8Array(256);
    for (const other of order.slice(place + 1)) later[other] = 1;
    const mask = new Uint8Array(dots.length);
    dots.forEach((dot, i) => (mask[i] = dot === colour ? 1 : 0));
    const whole = filledHoles(mask, dots, later, width);
    const under = dilated(whole, dots, later, width, Math.max(2, Math.round(0.011 * WORKED_DOTS)));
    const rings = tracedRings(under, width).map((ring) =>
      ring.map(([x, y]) => [x * step, -y * step] as const),
    );
    if (rings.length > 0) painted.push({ kind: "area", rings, rule: "nonzero", colour: hex(colour) });
  });
  return painted;
}

/** The colour of most of the edge, where it is one colour. */
function groundOf(dots: Uint8Array, width: number, height: number): number | null {
  const edge = new Map<number, number>();
  let all = 0;
  const see = (i: number): void => {
    edge.set(dots[i]!, (edge.get(dots[i]!) ?? 0) + 1);
    all++;
  };
  for (let x = 0; x < width; x++) [x, (height - 1) * width + x].forEach(see);
  for (let y = 0; y < height; y++) [y * width, y * width + width - 1].forEach(see);
  const [colour, times] = [...edge].sort((a, b) => b[1] - a[1])[0]!;
  return colour !== NONE && times > 0.6 * all ? colour : null;
}
