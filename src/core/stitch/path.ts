import { invariant } from "#core/base";
import type { Place } from "./spine";

/**
 * Lines written in letters, for our own drawings: `M x y` begin, `L x y` line, `C x1 y1 x2 y2 x y` cubic curve,
 * `Q x1 y1 x y` quadratic curve, `E cx cy rx ry from to` piece of an ellipse from one angle to another in degrees
 * (counter-clockwise when growing), `Z` close. All places are absolute, y up.
 */
export interface DrawnLine {
  readonly places: readonly Place[];
  /** Ends where it began, without a corner there. */
  readonly closed: boolean;
  /** Indices of places where the line turns sharply; columns are cut there. */
  readonly corners: readonly number[];
}

const CORNER_DEGREES = 38;

/** Reads a drawing into lines, curves cut into pieces of about `fine` units. */
export function readPath(text: string, fine = 0.02): DrawnLine[] {
  const tokens = text.match(/[MLCQEZ]|-?\d*\.?\d+/g) ?? [];
  const lines: DrawnLine[] = [];
  let places: Place[] = [];
  let index = 0;
  const number = (): number => Number(tokens[index++]);
  const finish = (): void => {
    if (places.length > 1) lines.push(drawn(places));
    places = [];
  };
  const add = (place: Place): void => {
    const last = places.at(-1);
    if (last === undefined || Math.hypot(place[0] - last[0], place[1] - last[1]) > 1e-6) places.push(place);
  };
  while (index < tokens.length) {
    const letter = tokens[index++];
    if (letter === "M") {
      finish();
      add([number(), number()]);
    } else if (letter === "L") add([number(), number()]);
    else if (letter === "Z") {
      invariant(places.length > 0, "Z closes a line that has begun");
      add(places[0]!);
    } else if (letter === "E") {
      const [cx, cy, rx, ry, a, b] = [number(), number(), number(), number(), number(), number()] as const;
      const steps = Math.max(4, Math.ceil((Math.abs(b - a) * Math.max(rx, ry) * (Math.PI / 180)) / fine));
      for (let i = 0; i <= steps; i++) {
        const angle = ((a + ((b - a) * i) / steps) * Math.PI) / 180;
        add([cx + rx * Math.cos(angle), cy + ry * Math.sin(angle)]);
      }
    } else if (letter === "C" || letter === "Q") {
      const p0 = places.at(-1)!;
      const q1: Place = [number(), number()];
      const q2: Place = letter === "C" ? [number(), number()] : q1;
      const p3: Place = [number(), number()];
      const third = (end: Place, q: Place): Place => [
        end[0] + (2 / 3) * (q[0] - end[0]),
        end[1] + (2 / 3) * (q[1] - end[1]),
      ];
      const p1 = letter === "C" ? q1 : third(p0, q1);
      const p2 = letter === "C" ? q2 : third(p3, q1);
      const span = Math.hypot(p1[0] - p0[0], p1[1] - p0[1]) + Math.hypot(p2[0] - p1[0], p2[1] - p1[1]) + Math.hypot(p3[0] - p2[0], p3[1] - p2[1]); // prettier-ignore
      const steps = Math.max(4, Math.ceil(span / fine));
      for (let i = 1; i <= steps; i++) {
        const t = i / steps;
        const u = 1 - t;
        const blend = (axis: 0 | 1): number =>
          u * u * u * p0[axis] + 3 * u * u * t * p1[axis] + 3 * u * t * t * p2[axis] + t * t * t * p3[axis];
        add([blend(0), blend(1)]);
      }
    } else invariant(false, `a drawing knows M L C Q E Z, not ${letter}`);
  }
  finish();
  return lines;
}

function drawn(places: readonly Place[]): DrawnLine {
  const first = places[0]!;
  const last = places.at(-1)!;
  const meets = places.length > 3 && Math.hypot(first[0] - last[0], first[1] - last[1]) < 1e-4;
  const corners: number[] = [];
  for (let i = 1; i < places.length - 1; i++) {
    if (turnDegrees(places[i - 1]!, places[i]!, places[i + 1]!) > CORNER_DEGREES) corners.push(i);
  }
  const closed =
    meets && turnDegrees(places.at(-2)!, first, places[1]!) <= CORNER_DEGREES && corners.length === 0;
  return { places, closed, corners };
}

function turnDegrees(a: Place, b: Place, c: Place): number {
  const turn = Math.atan2(c[1] - b[1], c[0] - b[0]) - Math.atan2(b[1] - a[1], b[0] - a[0]);
  return Math.abs((Math.atan2(Math.sin(turn), Math.cos(turn)) * 180) / Math.PI);
}

/** The line cut at its corners, each piece a line of its own. */
export function cutAtCorners(
  line: DrawnLine,
): { readonly places: readonly Place[]; readonly closed: boolean }[] {
  const cuts = [0, ...line.corners, line.places.length - 1];
  return cuts.slice(1).map((to, i) => ({ places: line.places.slice(cuts[i]!, to + 1), closed: line.closed }));
}
