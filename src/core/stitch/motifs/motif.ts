import { type Cloth, CLOTHS } from "../cloth";
import { rowFill } from "../fills/row-fill";
import { cutAtCorners, readPath } from "../path";
import { satinColumn, sewColumn } from "../satin";
import { Sewer } from "../sewer";
import type { Place } from "../spine";
import type { Stitches } from "../stitches";

/** One thing to be sewn, drawn in the letters of `readPath` in the motif's own units. */
export type MotifObject =
  | { readonly sew: "fill"; readonly shape: string; readonly angleDeg?: number }
  | {
      readonly sew: "satin";
      readonly line: string;
      /** Width in motif units; `taper` narrows it to a point at the named ends. */
      readonly width: number;
      readonly taper?: "start" | "end" | "both";
    }
  | { readonly sew: "run"; readonly line: string; readonly passes?: number };

export interface MotifPart {
  /** A plain colour name; the shop's own thread is chosen for it. */
  readonly colour: MotifColour;
  readonly objects: readonly MotifObject[];
}

/** A picture of our own: parts in sewing order, drawn about (0, 0), y up, `width` units wide. */
export interface Motif {
  readonly name: string;
  readonly title: string;
  readonly width: number;
  readonly parts: readonly MotifPart[];
}

/** Default colours by plain names; a shop maps them to its threads by nearness. */
export const MOTIF_COLOURS = {
  navy: "#1f3557",
  sea: "#2f7f95",
  "light blue": "#9cc8d6",
  white: "#fbf7ee",
  sand: "#d9b98a",
  straw: "#e5c15c",
  sun: "#f2a541",
  coral: "#e2725b",
  red: "#b9322f",
  brown: "#7a4f32",
  grey: "#8b9199",
  green: "#4d8a66",
  charcoal: "#2c2f36",
  rose: "#e7a8a0",
} as const;

export type MotifColour = keyof typeof MOTIF_COLOURS;

/** Makes the stitches of a motif at a width in mm; stitch measures stay what they are at any size. */
export function sewMotif(
  motif: Motif,
  { widthMm, cloth = "woven" }: { readonly widthMm: number; readonly cloth?: Cloth },
): Stitches {
  const scale = widthMm / motif.width;
  const { pullMm, smallestColumnMm } = CLOTHS[cloth];
  const sewer = new Sewer();
  motif.parts.forEach((part, index) => {
    if (index > 0) sewer.stop();
    for (const object of part.objects) sewObject(sewer, object, scale, pullMm, smallestColumnMm);
  });
  return sewer.finish();
}

function sewObject(sewer: Sewer, object: MotifObject, scale: number, pullMm: number, smallest: number): void {
  const sized = (places: readonly Place[]): Place[] => places.map(([x, y]): Place => [x * scale, y * scale]);
  if (object.sew === "fill") {
    const rings = readPath(object.shape, 0.4 / scale).map((line) => sized(line.places));
    rowFill(sewer, { rings }, { angleDeg: object.angleDeg ?? 0, pullMm });
    return;
  }
  for (const line of readPath(object.line, 0.3 / scale)) {
    if (object.sew === "run") {
      runLine(sewer, sized(line.places), object.passes ?? 1);
      continue;
    }
    const width = Math.max(object.width * scale, smallest - 2 * pullMm);
    for (const piece of cutAtCorners(line)) {
      const thin = Math.max(0.5, smallest - 2 * pullMm) / width;
      const narrow = (share: number): number =>
        object.taper === "both" ? Math.sin(Math.PI * share) : object.taper === "start" ? share : 1 - share;
      const column = satinColumn(sized(piece.places), {
        widthMm:
          object.taper === undefined
            ? width
            : (share) => width * Math.max(thin, Math.sqrt(Math.max(0, narrow(share)))),
        closed: piece.closed,
        ...(object.taper === undefined ? {} : { start: "square", end: "square" }),
      });
      const places = sewColumn(column, pullMm);
      sewer.moveTo(...places[0]!);
      sewer.sewAlong(places.slice(1));
    }
  }
}

/** A running stitch along a line, forth and back as many times as wanted, in stitches of about 2.2 mm. */
export function runLine(sewer: Sewer, places: readonly Place[], passes = 1): void {
  const lengths = [0];
  for (let i = 1; i < places.length; i++) {
    lengths.push(
      lengths[i - 1]! + Math.hypot(places[i]![0] - places[i - 1]![0], places[i]![1] - places[i - 1]![1]),
    );
  }
  const total = lengths.at(-1)!;
  const count = Math.max(1, Math.round(total / 2));
  const points: Place[] = [];
  for (let i = 0, at = 0; i <= count; i++) {
    const s = (total * i) / count;
    while (at < places.length - 2 && lengths[at + 1]! < s) at++;
    const t = (s - lengths[at]!) / (lengths[at + 1]! - lengths[at]! || 1);
    const [a, b] = [places[at]!, places[at + 1]!];
    points.push([a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])]);
  }
  sewer.moveTo(...points[0]!);
  for (let pass = 0; pass < passes; pass++) sewer.sewAlong(pass % 2 === 0 ? points : [...points].reverse());
}
