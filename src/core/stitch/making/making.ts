import type { Finding } from "#core/base";
import { type Cloth, CLOTHS } from "../cloth";
import { type ColumnStroke, sewColumns } from "../columns";
import { contourFill } from "../fills/contour-fill";
import { resample, rowFill, steps } from "../fills/row-fill";
import { Region } from "../fills/region";
import { grownRings, type Rings } from "../rings";
import { Sewer } from "../sewer";
import type { Place } from "../spine";
import type { Stitches } from "../stitches";

/**
 * How a design is made: objects in sewing order, part by part. Stitches are made from it and never edited back, so a
 * design made again at another size, on other cloth or with other measures keeps its density. Places are mm, y up.
 * It is plain data: it can be kept, sent and compared as it is.
 */
export interface Making {
  readonly cloth: Cloth;
  readonly parts: readonly MakingPart[];
}

/** What is sewn with one thread between two colour stops. */
export interface MakingPart {
  /** The colour wanted, `#rrggbb`; the shop's own thread is chosen for it. */
  readonly colour: string;
  readonly objects: readonly MakingObject[];
}

/** An area covered with rows, or with lines that follow its edge. */
export interface FilledArea {
  readonly sew: "fill";
  readonly rings: Rings;
  readonly lines: "rows" | "along the edge";
  readonly angleDeg: number;
  /** Distance of rows, or of rings along the edge; two numbers for a shade of rows. The usual one when left out. */
  readonly spacingMm?: number | readonly [number, number];
  readonly underlay?: "double" | "full" | "edge" | "none";
}

/** Strokes covered with satin, those that touch as one; `clip` is the outline they are cut to. */
export interface SatinStrokes {
  readonly sew: "satin";
  readonly strokes: readonly ColumnStroke[];
  readonly clip?: Rings;
}

/** Lines of running stitch, `passes` times forth and back. */
export interface RunLines {
  readonly sew: "run";
  readonly lines: readonly { readonly places: readonly Place[]; readonly closed: boolean }[];
  readonly passes: number;
}

export type MakingObject = FilledArea | SatinStrokes | RunLines;

export interface Made {
  readonly stitches: Stitches;
  readonly findings: readonly Finding[];
}

const RUN_MM = 2.2;
/** Satin longer than this is split (STITCHING.md: 7 mm, 5 mm on pile). */
export const splitMmOn = (cloth: Cloth): number => (cloth === "pile" ? 5 : 7);

/** Makes the stitches. The same making gives the same stitches. */
export function sewMaking(making: Making): Stitches {
  const sewer = new Sewer();
  making.parts.forEach((part, index) => {
    if (index > 0) sewer.stop();
    part.objects.forEach((object, i) => sewObject(sewer, object, making.cloth, startOf(part.objects[i + 1])));
  });
  return sewer.finish();
}

function sewObject(sewer: Sewer, object: MakingObject, cloth: Cloth, leaveAt: Place | null): void {
  const { pullMm, underlayLayers } = CLOTHS[cloth];
  if (object.sew === "fill") {
    if (object.lines === "along the edge")
      contourFill(sewer, { rings: object.rings }, {
        pullMm,
        underlay: object.underlay === "none" ? "none" : "rows",
        // Rings have one distance all over: of a shade the closer one.
        ...(object.spacingMm === undefined ? {} : { spacingMm: typeof object.spacingMm === "number" ? object.spacingMm : Math.min(...object.spacingMm) }),
      }); // prettier-ignore
    else
      rowFill(sewer, { rings: object.rings }, {
        angleDeg: object.angleDeg,
        pullMm,
        underlay: object.underlay ?? (underlayLayers > 1 ? "double" : "full"),
        ...(object.spacingMm === undefined ? {} : { spacingMm: object.spacingMm }),
      }); // prettier-ignore
  } else if (object.sew === "satin") {
    const region = object.clip ? new Region(grownRings(object.clip, pullMm)) : null;
    sewColumns(sewer, object.strokes, {
      pullMm,
      leaveAt: leaveAt ?? sewer.place,
      splitMm: splitMmOn(cloth),
      ...(region ? { clip: (x: number, y: number) => region.inside(x, y) } : {}),
    });
  } else sewRuns(sewer, object);
}

function startOf(object: MakingObject | undefined): Place | null {
  if (!object) return null;
  if (object.sew === "fill") return object.rings[0]?.[0] ?? null;
  return (object.sew === "satin" ? object.strokes : object.lines)[0]?.places[0] ?? null;
}

/** Runs the lines, the nearest end first. */
function sewRuns(sewer: Sewer, { lines, passes }: RunLines): void {
  const left = lines.map(({ places, closed }) =>
    closed ? [...resample(places, RUN_MM, 0.1), places[0]!] : alongLine(places),
  );
  while (left.length > 0) {
    const [x, y] = sewer.place;
    const far = ([px, py]: Place): number => Math.hypot(px - x, py - y);
    const nearest = (line: readonly Place[]): number => Math.min(far(line[0]!), far(line.at(-1)!));
    let best = 0;
    left.forEach((line, i) => {
      if (nearest(line) < nearest(left[best]!)) best = i;
    });
    const [line] = left.splice(best, 1) as [Place[]];
    if (far(line.at(-1)!) < far(line[0]!)) line.reverse();
    sewer.moveTo(line[0]![0], line[0]![1]);
    for (let pass = 0; pass < passes; pass++) {
      sewer.sewAlong(line.slice(1));
      line.reverse();
    }
  }
}

/** An open line as places of a run: no chord leaves it by more than 0.1 mm. */
function alongLine(places: readonly Place[]): Place[] {
  const kept: Place[] = [places[0]!];
  let from = 0;
  while (from < places.length - 1) {
    let to = from + 1;
    for (let next = from + 2; next < places.length; next++) {
      const [a, b] = [places[from]!, places[next]!];
      const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
      if (length > RUN_MM) break;
      const off = (place: Place): number =>
        Math.abs((b[0] - a[0]) * (a[1] - place[1]) - (a[0] - place[0]) * (b[1] - a[1])) / (length || 1);
      if (places.slice(from + 1, next).some((place) => off(place) > 0.1) && length > 0.8) break;
      to = next;
    }
    kept.push(...steps(places[from]!, places[to]!, RUN_MM));
    from = to;
  }
  return kept;
}

/** The making at another size: shapes grow, stitches stay as long and as dense as they are. */
export function resizedMaking(making: Making, factor: number): Making {
  return movedMaking(making, ([x, y]) => [x * factor, y * factor], factor);
}

/** The making turned (degrees, counter-clockwise) about the origin and then shifted (mm). */
export function placedMaking(making: Making, turnDeg: number, shift: Place): Making {
  const angle = (turnDeg * Math.PI) / 180;
  const [cos, sin] = [Math.cos(angle), Math.sin(angle)];
  return movedMaking(
    making,
    ([x, y]) => [cos * x - sin * y + shift[0], sin * x + cos * y + shift[1]],
    1,
    turnDeg,
  );
}

function movedMaking(making: Making, to: (place: Place) => Place, factor: number, turnDeg = 0): Making {
  const object = (one: MakingObject): MakingObject => movedObject(one, { to, factor, turnDeg });
  return { ...making, parts: making.parts.map((part) => ({ ...part, objects: part.objects.map(object) })) };
}

/** One object with each place moved; `factor` and `turnDeg` say what the move does to widths and angles. */
export function movedObject(
  one: MakingObject,
  { to, factor, turnDeg }: { readonly to: (place: Place) => Place; readonly factor: number; readonly turnDeg: number }, // prettier-ignore
): MakingObject {
  const rings = (given: Rings): Place[][] => given.map((ring) => ring.map(to));
  if (one.sew === "fill") return { ...one, rings: rings(one.rings), angleDeg: one.angleDeg + turnDeg };
  if (one.sew === "run")
    return { ...one, lines: one.lines.map(({ places, closed }) => ({ places: places.map(to), closed })) };
  return {
    ...one,
    strokes: one.strokes.map((stroke) => ({
      ...stroke,
      places: stroke.places.map(to),
      halfMm:
        typeof stroke.halfMm === "number"
          ? stroke.halfMm * factor
          : stroke.halfMm.map((half) => half * factor),
    })),
    ...(one.clip ? { clip: rings(one.clip) } : {}),
  };
}
