/**
 * From what was touched on the cloth to where the design goes. The cloth has axes of its own: up (towards the collar,
 * away from the hem) and across, right-handed as seen. A rule stands beside a product's placement in words and says
 * which marks it measures from. Usual measures: docs/models/placing.md (common practice, no source).
 */
import { type DesignPose, type LineMm, type PointMm, radiansOf } from "./points";
import { refusePlacing } from "./refusals";

/** What a person touches: a line by two places or more (first to last), an area by its corners in turn, one place. */
export type ClothMarkKind =
  "centre line" | "collar seam" | "shoulder seam" | "hem" | "edge" | "stripe" | "area" | "place";

export interface ClothMark {
  readonly kind: ClothMarkKind;
  /** Places on the cloth in the hoop's plane. A shoulder seam begins at the neck. */
  readonly points: LineMm;
}

/** Which part of the design is measured to: the middle of its outline's box, or the middle of its upper or lower side. */
export type DesignAnchor = "middle" | "top" | "bottom";

interface Every {
  readonly anchor: DesignAnchor;
  /** Turned on the cloth, degrees counter-clockwise; 0 upright. */
  readonly turnDeg: number;
}

/** Where a product's design goes, measured on the cloth, mm. */
export type PlacementRule =
  /** So far down from the collar seam, so far from the centre line to the right as seen (0: centred). */
  | (Every & { readonly rule: "below collar"; readonly downMm: number; readonly rightMm: number })
  /** Down from the shoulder seam's neck end, off the centre line, on the wearer's left or right. */
  | (Every & {
      readonly rule: "chest";
      readonly side: "wearer's left" | "wearer's right";
      readonly downMm: number;
      readonly offCentreMm: number;
    })
  /** Parallel to a hem, edge or stripe, so far in from it; along it at the centre line, or so far from its first place (null: its middle). */
  | (Every & {
      readonly rule: "along";
      readonly mark: "hem" | "edge" | "stripe";
      readonly inMm: number;
      readonly alongMm: number | null;
    })
  | (Every & { readonly rule: "middle of area" })
  /** On a touched place, straight by the centre line, stripe, hem or edge. */
  | (Every & { readonly rule: "at place" });

/** Which way the cloth's upper end lies in the hoop. */
export type ClothTop = "away" | "near" | "left" | "right";

const TOPS: Readonly<Record<ClothTop, Vec>> = { away: [0, 1], near: [0, -1], left: [-1, 0], right: [1, 0] };

type Vec = readonly [number, number];
const vec = ({ xMm, yMm }: PointMm): Vec => [xMm, yMm];
const minus = (a: Vec, b: Vec): Vec => [a[0] - b[0], a[1] - b[1]];
const along = (a: Vec, way: Vec, by: number): Vec => [a[0] + way[0] * by, a[1] + way[1] * by];
const dot = (a: Vec, b: Vec): number => a[0] * b[0] + a[1] * b[1];
const unit = (a: Vec): Vec => [a[0] / Math.hypot(...a), a[1] / Math.hypot(...a)];
/** A quarter turn clockwise: right of up. */
const rightOf = ([x, y]: Vec): Vec => [y, -x];
const facing = (way: Vec, towards: Vec): Vec => (dot(way, towards) < 0 ? [-way[0], -way[1]] : way);
const meanOf = (points: readonly Vec[]): Vec => [
  points.reduce((all, one) => all + one[0], 0) / points.length,
  points.reduce((all, one) => all + one[1], 0) / points.length,
];

interface FittedLine {
  readonly middle: Vec;
  readonly way: Vec;
}

/** The line with the least squared distances (K. Pearson, Philosophical Magazine 2 (1901) 559–572), first to last. */
export function lineThrough(points: LineMm): FittedLine {
  const places = points.map(vec);
  const middle = meanOf(places);
  const [sxx, sxy, syy] = [0, 1, 2].map((k) =>
    places.reduce((all, one) => {
      const [x, y] = minus(one, middle);
      return all + (k === 0 ? x * x : k === 1 ? x * y : y * y);
    }, 0),
  ) as [number, number, number];
  if (!(sxx + syy > 1))
    throw refusePlacing(
      "placing-rule-needs-mark",
      "The places of a line lie at one spot; touch them further apart.",
    );
  const angle = Math.atan2(2 * sxy, sxx - syy) / 2;
  return { middle, way: facing([Math.cos(angle), Math.sin(angle)], minus(places.at(-1)!, places[0]!)) };
}

/** The middle or the middle of a side of the outline's box, mm from the design's start. */
export function anchorOf(outline: readonly PointMm[], anchor: DesignAnchor): PointMm {
  if (outline.length === 0)
    throw refusePlacing("placing-value-invalid", "The design has no stitches, so it has no place.");
  const xs = outline.map((one) => one.xMm);
  const ys = outline.map((one) => one.yMm);
  const [bottom, top] = [Math.min(...ys), Math.max(...ys)];
  const yMm = anchor === "top" ? top : anchor === "bottom" ? bottom : (bottom + top) / 2;
  return { xMm: (Math.min(...xs) + Math.max(...xs)) / 2, yMm };
}

export interface PlacementAsked {
  readonly rule: PlacementRule;
  readonly marks: readonly ClothMark[];
  readonly top: ClothTop;
  /** The design's outline, mm from its start. */
  readonly outline: readonly PointMm[];
}

/**
 * Where the design goes by the rule.
 * @throws Refusal placing-rule-needs-mark when a mark is missing or too short; placing-line-unclear when a line runs so
 * that small errors of touch would turn the design round or move it far.
 */
export function placementPose({ rule, marks, top, outline }: PlacementAsked): DesignPose {
  const { at, up } = aimed(rule, new Marks(marks, TOPS[top]));
  // Upright is x across and y up: the angle of "up" less a quarter turn.
  const angleRad = Math.atan2(-up[0], up[1]) + radiansOf(rule.turnDeg);
  const from = anchorOf(outline, rule.anchor);
  const [cos, sin] = [Math.cos(angleRad), Math.sin(angleRad)];
  return {
    xMm: at[0] - (cos * from.xMm - sin * from.yMm),
    yMm: at[1] - (sin * from.xMm + cos * from.yMm),
    angleRad,
  };
}

interface Aim {
  readonly at: Vec;
  readonly up: Vec;
}

/** The touched marks by kind, each asked for once; what is missing is refused by name. */
class Marks {
  constructor(
    private readonly marks: readonly ClothMark[],
    readonly top: Vec,
  ) {}
  find(kind: ClothMarkKind, least: number): readonly Vec[] | null {
    const found = this.marks.find((one) => one.kind === kind);
    return found !== undefined && found.points.length >= least ? found.points.map(vec) : null;
  }
  points(kind: ClothMarkKind, least: number): readonly Vec[] {
    const found = this.find(kind, least);
    if (found === null)
      throw refusePlacing(
        "placing-rule-needs-mark",
        `This placement is measured from the ${kind}: touch ${least === 1 ? "it" : `it at ${least} places or more`}.`,
      );
    return found;
  }
  line(kind: ClothMarkKind): FittedLine {
    return lineThrough(this.points(kind, 2).map(([xMm, yMm]) => ({ xMm, yMm })));
  }
  lineOrNull(kind: ClothMarkKind): FittedLine | null {
    return this.find(kind, 2) === null ? null : this.line(kind);
  }
  /** Up the centre line. */
  upCentre(centre: FittedLine): Vec {
    return plainlyUp(centre.way, this.top, "centre line");
  }
  /** Up, by the first of these that was touched: the centre line, else square to or along a line. */
  up(lines: readonly ClothMarkKind[]): Vec | null {
    const centre = this.lineOrNull("centre line");
    if (centre !== null) return this.upCentre(centre);
    for (const kind of lines) {
      const line = this.lineOrNull(kind);
      if (line !== null) return upBy(line, kind, this.top).up;
    }
    return null;
  }
}

/** Sine of the least angle that a way must keep from being square to up: nearer, a touch's error could turn it over. */
const PLAIN_UP = Math.sin(radiansOf(35));

function plainlyUp(way: Vec, top: Vec, kind: ClothMarkKind): Vec {
  const towards = dot(way, top);
  if (Math.abs(towards) < PLAIN_UP)
    unclear(
      `The ${kind} runs ${angleBetween(towards)}° off the way in which it is expected by where the cloth's upper end lies.`,
    );
  return facing(way, top);
}

/**
 * Up by a line. A seam or hem runs across the cloth; a stripe or edge may run across or up. On the diagonal it is both.
 */
function upBy(
  line: FittedLine,
  kind: ClothMarkKind,
  top: Vec,
): { readonly up: Vec; readonly across: boolean } {
  const normal = rightOf(line.way);
  if (kind === "collar seam" || kind === "hem") return { up: plainlyUp(normal, top, kind), across: true };
  const [square, straight] = [Math.abs(dot(normal, top)), Math.abs(dot(line.way, top))];
  if (Math.min(square, straight) > PLAIN_UP)
    unclear(`The ${kind} runs ${angleBetween(straight)}° off up the cloth: neither up nor across.`);
  const across = square > straight;
  return { up: facing(across ? normal : line.way, top), across };
}

const angleBetween = (cosine: number): string =>
  ((Math.acos(Math.min(1, Math.abs(cosine))) * 180) / Math.PI).toFixed(0);

function aimed(rule: PlacementRule, marks: Marks): Aim {
  switch (rule.rule) {
    case "below collar":
      return belowCollar(rule, marks);
    case "chest":
      return chest(rule, marks);
    case "along":
      return alongLine(rule, marks);
    case "middle of area":
      return middleOfArea(marks);
    case "at place": {
      const up = marks.up(["stripe", "hem", "edge", "collar seam"]);
      return {
        at: marks.points("place", 1)[0]!,
        up: up ?? needs("a centre line, stripe, hem or edge to be straight by"),
      };
    }
  }
}

function unclear(what: string): never {
  throw refusePlacing("placing-line-unclear", what);
}

function needs(what: string): never {
  throw refusePlacing("placing-rule-needs-mark", `This placement needs ${what}.`);
}

function belowCollar(rule: Extract<PlacementRule, { rule: "below collar" }>, marks: Marks): Aim {
  const seam = marks.points("collar seam", 2);
  const centre = marks.lineOrNull("centre line");
  const up = marks.up(["collar seam"])!;
  // Without a centre line the seam's own middle, between its first and last place, is the centre.
  const on = centre === null ? meanOf([seam[0]!, seam.at(-1)!]) : centre.middle;
  const start = crossing(seam, on, up);
  return { at: along(along(start, up, -rule.downMm), rightOf(up), rule.rightMm), up };
}

/** Sine of the least angle at which two lines may cross: a touch's error moves the crossing by so many times itself. */
const PLAIN_CROSSING = Math.sin(radiansOf(15));

/** Where the line from `on` along `way` meets the touched seam, its end pieces drawn on. */
function crossing(seam: readonly Vec[], on: Vec, way: Vec): Vec {
  const across = rightOf(way);
  const off = seam.map((one) => dot(minus(one, on), across));
  let piece = off.slice(1).findIndex((to, i) => off[i]! * to <= 0 && off[i] !== to);
  if (piece < 0) piece = Math.abs(off[0]!) < Math.abs(off.at(-1)!) ? 0 : seam.length - 2;
  const [a, b] = [off[piece]!, off[piece + 1]!];
  const [from, to] = [seam[piece]!, seam[piece + 1]!];
  if (!(Math.abs(a - b) > PLAIN_CROSSING * Math.hypot(...minus(to, from))))
    unclear("Where the collar seam meets the centre line it runs nearly along it.");
  const share = a / (a - b);
  return along(from, minus(to, from), share);
}

function chest(rule: Extract<PlacementRule, { rule: "chest" }>, marks: Marks): Aim {
  const centre = marks.line("centre line");
  const up = marks.upCentre(centre);
  const neck = marks.points("shoulder seam", 1)[0]!;
  // The wearer's left is on the right of who looks at the front.
  const right = rule.side === "wearer's left" ? rule.offCentreMm : -rule.offCentreMm;
  const level = along(centre.middle, up, dot(minus(neck, centre.middle), up) - rule.downMm);
  return { at: along(level, rightOf(up), right), up };
}

/** A line up the cloth this near to the hoop's middle has the middle on neither side. */
const LEAST_BESIDE_MM = 5;

function alongLine(rule: Extract<PlacementRule, { rule: "along" }>, marks: Marks): Aim {
  const { middle, way } = marks.line(rule.mark);
  const normal = rightOf(way);
  // A line across the cloth has "in" and "up" the same way. Of one that runs up the cloth, such as a towel's side, "in"
  // is where the hoop's middle lies, and up is along it.
  const { up, across } = upBy({ middle, way }, rule.mark, marks.top);
  const beside = dot(normal, middle);
  if (!across && rule.inMm !== 0 && Math.abs(beside) < LEAST_BESIDE_MM)
    unclear(
      `The ${rule.mark} runs up through the hoop's middle: on which side the design goes cannot be told.`,
    );
  const inwards = across ? up : facing(normal, [-middle[0], -middle[1]]);
  const first = marks.points(rule.mark, 2)[0]!;
  const centre = marks.lineOrNull("centre line");
  const at =
    rule.alongMm !== null
      ? along(along(middle, way, dot(minus(first, middle), way)), way, rule.alongMm)
      : centre === null
        ? middle
        : meeting({ middle, way }, centre);
  return { at: along(at, inwards, rule.inMm), up };
}

function meeting(one: FittedLine, other: FittedLine): Vec {
  const across = rightOf(other.way);
  const rate = dot(one.way, across);
  if (Math.abs(rate) < PLAIN_CROSSING) unclear("The centre line runs nearly along the line it should cross.");
  return along(one.middle, one.way, dot(minus(other.middle, one.middle), across) / rate);
}

function middleOfArea(marks: Marks): Aim {
  const corners = marks.points("area", 3);
  const straight = marks.up(["stripe", "hem", "edge"]) ?? fourfold(corners, marks.top);
  let [area, x, y] = [0, 0, 0];
  const origin = corners[0]!;
  corners.forEach((corner, i) => {
    const [a, b] = [minus(corner, origin), minus(corners[(i + 1) % corners.length]!, origin)];
    const piece = a[0] * b[1] - a[1] * b[0];
    area += piece;
    x += piece * (a[0] + b[0]);
    y += piece * (a[1] + b[1]);
  });
  if (!(Math.abs(area) > 2)) needs("an area with some room in it");
  return { at: [origin[0] + x / (3 * area), origin[1] + y / (3 * area)], up: straight };
}

/** Of an area's four ways the one that is up must be nearer to it than the next: by 10° of the diagonal. */
const FOURFOLD_PLAIN = Math.cos(radiansOf(35));

/** The common direction of sides that stand square to each other: angles times four, weighted by length, averaged. */
function fourfold(corners: readonly Vec[], top: Vec): Vec {
  let [c, s] = [0, 0];
  corners.forEach((corner, i) => {
    const side = minus(corners[(i + 1) % corners.length]!, corner);
    const angle = 4 * Math.atan2(side[1], side[0]);
    c += Math.hypot(...side) * Math.cos(angle);
    s += Math.hypot(...side) * Math.sin(angle);
  });
  const base = Math.atan2(s, c) / 4;
  const ways = [0, 1, 2, 3].map((k): Vec =>
    unit([Math.cos(base + (k * Math.PI) / 2), Math.sin(base + (k * Math.PI) / 2)]),
  );
  const up = ways.reduce((best, way) => (dot(way, top) > dot(best, top) ? way : best));
  if (dot(up, top) < FOURFOLD_PLAIN)
    unclear(`The area lies ${angleBetween(dot(up, top))}° turned: which of its sides is up cannot be told.`);
  return up;
}
