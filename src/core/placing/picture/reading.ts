/**
 * Reads the cells of a square that may be a marker, in linear light. What is dark and light is judged at each cell
 * from the cells of the dark and the light ring nearest to it, so that a shadow's edge or glare across the marker does
 * not matter; the same judgement, applied to the rings themselves, turns away what is no marker.
 */
import { type FrameMap, mapped } from "./frame-map";
import { MARGIN_CELLS, MARKER_CELLS, nearestWord, type ReadWord, turnedWordOf } from "./marker-code";
import { type GreyPicture, LINEAR_OF_BYTE } from "./pixels";

/** Cells along a side with the margin, and how many of them there are. */
const SIDE = MARKER_CELLS + 2 * MARGIN_CELLS;
const MIDDLE = (SIDE - 1) / 2;

/** What a cell must be: margin, dark ring, light ring, part of the code. */
type Kind = 0 | 1 | 2 | 3;
const KIND = Uint8Array.from({ length: SIDE * SIDE }, (_, at): Kind => {
  const off = Math.max(Math.abs((at % SIDE) - MIDDLE), Math.abs(Math.floor(at / SIDE) - MIDDLE));
  return off === 5 ? 0 : off === 4 ? 1 : off === 3 ? 2 : 3;
});
const placesOf = (kind: Kind): number[] => [...KIND.keys()].filter((at) => KIND[at] === kind);
const MARGIN = placesOf(0);
const DARK_RING = placesOf(1);
const LIGHT_RING = placesOf(2);
const CODE = placesOf(3);

/** Nearness of every cell to every other: 1 / distance⁴ in cells; 0 to itself. */
const NEARNESS = Float32Array.from({ length: SIDE ** 4 }, (_, at) => {
  const one = Math.floor(at / SIDE ** 2);
  const other = at % SIDE ** 2;
  const d2 = ((one % SIDE) - (other % SIDE)) ** 2 + (Math.floor(one / SIDE) - Math.floor(other / SIDE)) ** 2;
  return d2 === 0 ? 0 : 1 / (d2 * d2);
});

/** How much of the two rings may read wrong, and how much of the margin (a finger, a fold, the hoop's edge). */
const RING_WRONG = 3;
const MARGIN_WRONG = 10;
/** The margin may be half drowned between two dark things: this share of the way from dark to light will do. */
const MARGIN_LIGHT = 0.25;
/** The code may have so many wrong cells; one more if all wrong ones are doubtful. */
const CODE_WRONG = 2;
/** Light must be so many times dark, and the difference so much of full white (linear). */
const LEAST_RATIO = 1.7;
const LEAST_STEP = 0.012;
/** A code cell nearer to the middle of dark and light than this share of their difference is doubtful. */
const DOUBTFUL = 0.18;

export interface MarkerReading extends ReadWord {
  /** (light − dark) / (light + dark), means over the rings, linear light. */
  readonly contrast: number;
}

/** Light at a place, between the four pixels round it; places outside are taken at the picture's edge. */
export function lightAt(grey: GreyPicture, x: number, y: number): number {
  const { widthPx, heightPx, data } = grey;
  const cx = x < 0 ? 0 : x > widthPx - 1.001 ? widthPx - 1.001 : x;
  const cy = y < 0 ? 0 : y > heightPx - 1.001 ? heightPx - 1.001 : y;
  const left = cx | 0;
  const top = cy | 0;
  const fx = cx - left;
  const fy = cy - top;
  const at = top * widthPx + left;
  const above = LINEAR_OF_BYTE[data[at]!]! * (1 - fx) + LINEAR_OF_BYTE[data[at + 1]!]! * fx;
  const below =
    LINEAR_OF_BYTE[data[at + widthPx]!]! * (1 - fx) + LINEAR_OF_BYTE[data[at + widthPx + 1]!]! * fx;
  return above * (1 - fy) + below * fy;
}

/** Mean light of each cell's middle part; NaN for cells that lie outside the picture. */
function cellLight(grey: GreyPicture, map: FrameMap): Float32Array {
  const light = new Float32Array(SIDE * SIDE);
  const near = mapped(map, 0, 0);
  const next = mapped(map, 1, 1);
  const cellPx = Math.hypot(next.xPx - near.xPx, next.yPx - near.yPx) / Math.SQRT2;
  const taps = cellPx < 3 ? 2 : cellPx < 12 ? 3 : 4;
  const reach = cellPx < 3 ? 0.22 : 0.3;
  for (let at = 0; at < light.length; at++) {
    const u = (at % SIDE) - MIDDLE;
    const v = Math.floor(at / SIDE) - MIDDLE;
    let sum = 0;
    for (let i = 0; i < taps; i++)
      for (let j = 0; j < taps; j++) {
        const du = (((2 * i + 1) / taps - 1) * reach * taps) / Math.max(1, taps - 1);
        const dv = (((2 * j + 1) / taps - 1) * reach * taps) / Math.max(1, taps - 1);
        const { xPx, yPx } = mapped(map, u + du, v + dv);
        if (!(-1 < xPx && xPx < grey.widthPx && -1 < yPx && yPx < grey.heightPx)) sum = NaN;
        else sum += lightAt(grey, xPx, yPx);
      }
    light[at] = sum / (taps * taps);
  }
  return light;
}

const meanOf = (light: Float32Array, places: readonly number[]): number => {
  let sum = 0;
  for (const at of places) sum += light[at]!;
  return sum / places.length;
};

/** What cells of a kind, weighed by nearness, say that the light at a place is. */
function nearbyMean(light: Float32Array, at: number, places: readonly number[]): number {
  let sum = 0;
  let weight = 0;
  const row = at * SIDE * SIDE;
  for (const other of places) {
    const w = NEARNESS[row + other]!;
    sum += w * light[other]!;
    weight += w;
  }
  return sum / weight;
}

/**
 * Reads what lies under a map from cells to the photo's px; null unless
 * both rings and the margin are there and the code is near enough to a marker's.
 */
export function readMarker(grey: GreyPicture, map: FrameMap): MarkerReading | null {
  const light = cellLight(grey, map);
  const dark = meanOf(light, DARK_RING);
  const white = meanOf(light, LIGHT_RING);
  // Also turns away squares that reach out of the picture: NaN compares as false.
  if (!(white > LEAST_RATIO * dark && white - dark > LEAST_STEP)) return null;

  let ringWrong = 0;
  for (const at of DARK_RING) {
    const middle = (nearbyMean(light, at, DARK_RING) + nearbyMean(light, at, LIGHT_RING)) / 2;
    if (light[at]! > middle && ++ringWrong > RING_WRONG) return null;
  }
  for (const at of LIGHT_RING) {
    const middle = (nearbyMean(light, at, DARK_RING) + nearbyMean(light, at, LIGHT_RING)) / 2;
    if (light[at]! < middle && ++ringWrong > RING_WRONG) return null;
  }
  let marginWrong = 0;
  for (const at of MARGIN) {
    const low = nearbyMean(light, at, DARK_RING);
    const least = low + MARGIN_LIGHT * (nearbyMean(light, at, LIGHT_RING) - low);
    if (!(light[at]! > least) && ++marginWrong > MARGIN_WRONG) return null;
  }

  let word = 0;
  let doubtful = 0;
  CODE.forEach((at, bit) => {
    const low = nearbyMean(light, at, DARK_RING);
    const high = nearbyMean(light, at, LIGHT_RING);
    const share = (light[at]! - low) / (high - low);
    if (share < 0.5) word |= 1 << bit;
    if (Math.abs(share - 0.5) < DOUBTFUL) doubtful |= 1 << bit;
  });
  const read = nearestWord(word);
  if (read.wrong > CODE_WRONG + 1) return null;
  if (read.wrong > CODE_WRONG && ((turnedWordOf(read) ^ word) & ~doubtful) !== 0) return null;
  return { ...read, contrast: (white - dark) / (white + dark) };
}
