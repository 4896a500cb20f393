import type { Place } from "../spine";

/**
 * Path data of SVG 2 (section 9.3, "The grammar for path data"): read up to the first error, as the standard asks,
 * and turned into absolute lines and cubic curves. Arcs follow the implementation notes B.2 of the standard.
 */
export type PathSegment = readonly [letter: string, ...numbers: number[]];

export interface PathReading {
  /** As written; a first `m` is `M`, repeated arguments are segments of their own. */
  readonly segments: readonly PathSegment[];
  /** Where reading ended too soon, from 0; null when all was read. */
  readonly errorAt: number | null;
}

const ARGUMENTS: Readonly<Record<string, number>> = { m: 2, l: 2, h: 1, v: 1, c: 6, s: 4, q: 4, t: 2, a: 7, z: 0 }; // prettier-ignore
const NUMBER = /[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?/y;
const SPACE = /[ \t\n\f\r]*/y;
const COMMA = /[ \t\n\f\r]*,?[ \t\n\f\r]*/y;

/** Reads path data. */
export function readPathData(data: string): PathReading {
  const segments: PathSegment[] = [];
  let at = 0;
  const skip = (pattern: RegExp): boolean => {
    pattern.lastIndex = at;
    const found = pattern.exec(data);
    const before = at;
    if (found) at = pattern.lastIndex;
    return at > before;
  };
  const number = (): number | null => {
    NUMBER.lastIndex = at;
    const found = NUMBER.exec(data);
    if (!found) return null;
    at = NUMBER.lastIndex;
    return Number(found[0]);
  };
  const flag = (): number | null => {
    const sign = data[at];
    if (sign !== "0" && sign !== "1") return null;
    at++;
    return Number(sign);
  };
  /** One set of arguments, commas between; null where one is missing. */
  const argumentsOf = (letter: string): number[] | null => {
    const values: number[] = [];
    for (let i = 0; i < ARGUMENTS[letter]!; i++) {
      if (i > 0) skip(COMMA);
      const value = letter === "a" && (i === 3 || i === 4) ? flag() : number();
      if (value === null) return null;
      values.push(value);
    }
    return values;
  };
  skip(SPACE);
  while (at < data.length) {
    const letter = data[at]!;
    const kind = letter.toLowerCase();
    if (ARGUMENTS[kind] === undefined || (segments.length === 0 && kind !== "m"))
      return { segments, errorAt: at };
    at++;
    skip(SPACE);
    if (kind === "z") {
      segments.push([letter]);
      continue;
    }
    let written = segments.length === 0 ? "M" : letter;
    for (let first = true; ; first = false) {
      const start = at;
      if (!first) skip(COMMA);
      const next = data[at];
      if (!first && (next === undefined || (/[a-z]/i.test(next) && !data.slice(start, at).includes(","))))
        break;
      const values = argumentsOf(kind);
      if (values === null) return { segments, errorAt: at };
      segments.push([written, ...values]);
      if (kind === "m") written = letter === "m" ? "l" : "L";
    }
  }
  return { segments, errorAt: null };
}

/** A piece of outline: straight to a place, or a cubic curve by its two handles and its end. */
export type Curve =
  | { readonly to: Place; readonly handles?: undefined }
  | { readonly handles: readonly [Place, Place]; readonly to: Place };

export interface Outline {
  readonly start: Place;
  readonly curves: readonly Curve[];
  readonly closed: boolean;
}

/** The segments as outlines of absolute lines and cubic curves. */
export function outlinesOf(segments: readonly PathSegment[]): Outline[] {
  const outlines: Outline[] = [];
  let start: Place = [0, 0];
  let here: Place = [0, 0];
  let curves: Curve[] = [];
  let handle: Place | null = null;
  let handleOf = "";
  let begun = false;
  const close = (closed: boolean): void => {
    if (begun && (curves.length > 0 || closed)) outlines.push({ start, curves, closed });
    curves = [];
    begun = false;
  };
  const go = (curve: Curve): void => {
    begun = true;
    curves.push(curve);
    here = curve.to;
  };
  for (const [letter, ...n] of segments) {
    const kind = letter.toLowerCase();
    const [ox, oy] = letter === kind ? here : [0, 0];
    const place = (i: number): Place => [ox + n[i]!, oy + n[i + 1]!];
    const mirrored = (of: string): Place =>
      handle !== null && of.includes(handleOf) ? [2 * here[0] - handle[0], 2 * here[1] - handle[1]] : here;
    let nextHandle: Place | null = null;
    switch (kind) {
      case "m":
        close(false);
        start = here = place(0);
        begun = true;
        break;
      case "z":
        close(true);
        here = start;
        begun = false;
        break;
      case "l":
        go({ to: place(0) });
        break;
      case "h":
        go({ to: [ox + n[0]!, here[1]] });
        break;
      case "v":
        go({ to: [here[0], oy + n[0]!] });
        break;
      case "c":
        nextHandle = place(2);
        go({ handles: [place(0), nextHandle], to: place(4) });
        break;
      case "s": {
        const first = mirrored("cs");
        nextHandle = place(0);
        go({ handles: [first, nextHandle], to: place(2) });
        break;
      }
      case "q":
        nextHandle = place(0);
        go(quadratic(here, nextHandle, place(2)));
        break;
      case "t":
        nextHandle = mirrored("qt");
        go(quadratic(here, nextHandle, place(0)));
        break;
      case "a":
        for (const curve of arcCurves(here, n, place(5))) go(curve);
        break;
    }
    handle = nextHandle;
    handleOf = kind;
  }
  close(false);
  return outlines;
}

function quadratic(from: Place, handle: Place, to: Place): Curve {
  const third = (end: Place): Place => [
    end[0] + (2 / 3) * (handle[0] - end[0]),
    end[1] + (2 / 3) * (handle[1] - end[1]),
  ];
  return { handles: [third(from), third(to)], to };
}

/** An elliptical arc as cubic curves, a quarter turn each at most (SVG 2, B.2.4 and B.2.5). */
export function arcCurves(from: Place, numbers: readonly number[], to: Place): Curve[] {
  let [rx, ry] = [Math.abs(numbers[0]!), Math.abs(numbers[1]!)];
  const turn = (numbers[2]! * Math.PI) / 180;
  const [large, sweep] = [numbers[3] === 1, numbers[4] === 1];
  if (from[0] === to[0] && from[1] === to[1]) return [];
  if (rx === 0 || ry === 0) return [{ to }];
  const [cos, sin] = [Math.cos(turn), Math.sin(turn)];
  const [dx, dy] = [(from[0] - to[0]) / 2, (from[1] - to[1]) / 2];
  const [x1, y1] = [cos * dx + sin * dy, -sin * dx + cos * dy];
  const stretch = Math.sqrt((x1 / rx) ** 2 + (y1 / ry) ** 2);
  if (stretch > 1) [rx, ry] = [rx * stretch, ry * stretch];
  const under = Math.max(0, (rx * ry) ** 2 - (rx * y1) ** 2 - (ry * x1) ** 2);
  const factor = (large === sweep ? -1 : 1) * Math.sqrt(under / ((rx * y1) ** 2 + (ry * x1) ** 2));
  const [cx1, cy1] = [(factor * rx * y1) / ry, (-factor * ry * x1) / rx];
  const [cx, cy] = [
    cos * cx1 - sin * cy1 + (from[0] + to[0]) / 2,
    sin * cx1 + cos * cy1 + (from[1] + to[1]) / 2,
  ];
  const begin = Math.atan2((y1 - cy1) / ry, (x1 - cx1) / rx);
  let span = Math.atan2((-y1 - cy1) / ry, (-x1 - cx1) / rx) - begin;
  if (sweep && span < 0) span += 2 * Math.PI;
  if (!sweep && span > 0) span -= 2 * Math.PI;
  const pieces = Math.max(1, Math.ceil(Math.abs(span) / (Math.PI / 2) - 1e-9));
  const reach = (4 / 3) * Math.tan(span / pieces / 4);
  const onEllipse = (x: number, y: number): Place => [
    cx + cos * rx * x - sin * ry * y,
    cy + sin * rx * x + cos * ry * y,
  ];
  return Array.from({ length: pieces }, (_, i): Curve => {
    const a = begin + (span * i) / pieces;
    const b = begin + (span * (i + 1)) / pieces;
    return {
      handles: [
        onEllipse(Math.cos(a) - reach * Math.sin(a), Math.sin(a) + reach * Math.cos(a)),
        onEllipse(Math.cos(b) + reach * Math.sin(b), Math.sin(b) - reach * Math.cos(b)),
      ],
      to: i === pieces - 1 ? to : onEllipse(Math.cos(b), Math.sin(b)),
    };
  });
}

/**
 * An outline as places no further than `tolerance` from it. A curve's second derivative is at most 6 times its largest
 * second difference d, and a chord over 1/n of it errs by at most 6·d/(8·n²): hence the number of pieces n.
 */
export function flattened({ start, curves }: Outline, tolerance: number): Place[] {
  const places: Place[] = [start];
  let from = start;
  for (const curve of curves) {
    const { to } = curve;
    if (curve.handles) {
      const [p, q] = curve.handles;
      const bend = Math.max(
        Math.hypot(from[0] - 2 * p[0] + q[0], from[1] - 2 * p[1] + q[1]),
        Math.hypot(p[0] - 2 * q[0] + to[0], p[1] - 2 * q[1] + to[1]),
      );
      const pieces = Math.min(500, Math.max(1, Math.ceil(Math.sqrt((6 * bend) / (8 * tolerance)))));
      for (let i = 1; i < pieces; i++) {
        const t = i / pieces;
        const u = 1 - t;
        const blend = (axis: 0 | 1): number =>
          u * u * u * from[axis] + 3 * u * u * t * p[axis] + 3 * u * t * t * q[axis] + t * t * t * to[axis];
        places.push([blend(0), blend(1)]);
      }
    }
    places.push(to);
    from = to;
  }
  return places.filter(
    (place, i) => i === 0 || place[0] !== places[i - 1]![0] || place[1] !== places[i - 1]![1],
  );
}
