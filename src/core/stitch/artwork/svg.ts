import type { Finding } from "#core/base";
import { cssColour, hexFromRgb, rgbFromHex } from "#core/thread";
import type { Place } from "../spine";
import type { Artwork, Painted } from "./artwork";
import { type Curve, flattened, outlinesOf, type Outline, type PathSegment, readPathData } from "./svg-path";
import { lengthOf, readStyleSheets, type Style, styleOf } from "./svg-style";
import { applied, growth, joined, type Matrix, readTransform, SAME, viewBoxMatrix } from "./svg-transform";
import { elementsById, readSvgTree, type SvgElement } from "./svg-tree";

interface Window {
  readonly width: number;
  readonly height: number;
}

interface Surroundings {
  readonly matrix: Matrix;
  readonly style: Style;
  readonly window: Window;
  /** The ids whose copies we stand in, so that a drawing that uses itself ends. */
  readonly inside: readonly string[];
}

/** Curves are cut into pieces no further from them than this share of the drawing. */
const FINE = 1 / 5000;
const MOST_PLACES = 3_000_000;

/**
 * Reads an SVG 2 drawing: paths with all their grammar, shapes, groups, transforms, `use`, `symbol`, nested windows,
 * style sheets of simple selectors, strokes and fills. What thread cannot follow (gradients, patterns, clips, text,
 * pictures, see-through paint) is made plain or left out and told in the findings.
 * @throws `not-a-drawing`, `drawing-too-large`, `drawing-empty`
 */
export function readSvg(text: string): Artwork {
  const root = readSvgTree(text);
  const reader = new Reader(root);
  reader.root();
  return reader.done();
}

class Reader {
  private readonly painted: Painted[] = [];
  private readonly told = new Map<string, { finding: Finding; times: number }>();
  private readonly byId: ReadonlyMap<string, SvgElement>;
  private readonly rules: ReturnType<typeof readStyleSheets>["rules"];
  private naturalMm: Artwork["naturalMm"] = null;
  private tolerance = 0.02;
  private places = 0;

  constructor(private readonly svg: SvgElement) {
    this.byId = elementsById(svg);
    const sheets = readStyleSheets(svg);
    this.rules = sheets.rules;
    for (const selector of sheets.unknown)
      this.tell("style-not-followed", `The style rule “${selector}” is not followed.`, "Give the shapes their fill and stroke themselves."); // prettier-ignore
  }

  done(): Artwork {
    const findings = [...this.told.values()].map(({ finding, times }) =>
      times > 1 ? { ...finding, message: `${finding.message} (${times} times)` } : finding,
    );
    return { painted: this.painted, naturalMm: this.naturalMm, findings };
  }

  root(): void {
    const { attributes } = this.svg;
    const box = viewBoxOf(attributes.viewBox);
    const width = lengthOf(attributes.width, box?.[2] ?? 300) ?? box?.[2] ?? 300;
    const height = lengthOf(attributes.height, box?.[3] ?? 150) ?? box?.[3] ?? 150;
    if (/[a-z]/i.test(attributes.width ?? "") && /[a-z]/i.test(attributes.height ?? ""))
      this.naturalMm = { width: (width * 25.4) / 96, height: (height * 25.4) / 96 };
    this.tolerance = Math.max(width, height) * FINE;
    const matrix = box
      ? viewBoxMatrix(box, { x: 0, y: 0, width, height }, attributes.preserveAspectRatio)
      : SAME;
    const window = box ? { width: box[2], height: box[3] } : { width, height };
    const style = styleOf(this.svg, {}, this.rules);
    if (style.display === "none") return;
    for (const child of this.svg.children) this.element(child, { matrix, style, window, inside: [] });
  }

  private element(element: SvgElement, around: Surroundings): void {
    const { name, attributes } = element;
    // What a drawing program writes for itself stands under a prefix of its own.
    if (LEFT_OUT.has(name) || name.includes(":")) return;
    if (name === "text" || name === "foreignObject") {
      this.tell("text-left-out", `Text in the drawing is left out${element.text.trim() ? `: “${element.text.trim().slice(0, 40)}”` : ""}.`, "Turn text into outlines, or add it as lettering."); // prettier-ignore
      return;
    }
    if (name === "image") {
      this.tell(
        "picture-left-out",
        "A picture inside the drawing is left out.",
        "Bring the picture in by itself.",
      );
      return;
    }
    const style = styleOf(element, around.style, this.rules);
    if (style.display === "none") return;
    for (const [property, words] of NOT_FOLLOWED)
      if (style[property] !== undefined && style[property] !== "none")
        this.tell(`${property}-not-followed`, `A ${words} in the drawing is not followed.`, "Cut the shapes themselves."); // prettier-ignore
    const opacity = Number.parseFloat(style.opacity ?? "1");
    if (opacity <= 0) return;
    if (opacity < 1) this.tell("see-through", "See-through paint is sewn as if it were not.", "Thread covers what lies under it."); // prettier-ignore
    let { matrix } = around;
    if (style.transform !== undefined) {
      const own = readTransform(style.transform);
      if (own) matrix = joined(matrix, own);
      else
        this.tell("transform-unreadable", `The transform “${style.transform.slice(0, 60)}” cannot be read.`);
    }
    const inner = { ...around, matrix, style };
    const length = (value: string | undefined, share: number, otherwise = 0): number =>
      lengthOf(value, share) ?? otherwise;
    if (name === "use") {
      const id = (attributes.href ?? attributes["xlink:href"] ?? "").replace(/^#/, "");
      const target = this.byId.get(id);
      if (!target || around.inside.includes(id) || around.inside.length > 30) {
        this.tell("use-unknown", `“${id}” is used but does not stand in the drawing.`);
        return;
      }
      const [x, y] = [length(attributes.x, around.window.width), length(attributes.y, around.window.height)];
      const moved = { ...inner, matrix: joined(matrix, [1, 0, 0, 1, x, y]), inside: [...around.inside, id] };
      if (target.name === "symbol" || target.name === "svg") this.window(target, moved, attributes);
      else this.element(target, moved);
      return;
    }
    if (name === "svg") {
      const [x, y] = [length(attributes.x, around.window.width), length(attributes.y, around.window.height)];
      this.window(element, { ...inner, matrix: joined(matrix, [1, 0, 0, 1, x, y]) }, {});
      return;
    }
    if (name === "switch") {
      const first = element.children.find((child) => child.attributes.systemLanguage === undefined);
      if (first) this.element(first, inner);
      return;
    }
    if (name === "g" || name === "a") {
      for (const child of element.children) this.element(child, inner);
      return;
    }
    const outlines = this.outlines(element, around.window, length);
    if (outlines && outlines.length > 0 && style.visibility !== "hidden" && style.visibility !== "collapse")
      this.paint(outlines, name !== "line", inner);
  }

  /** A nested window: a symbol or an inner svg, with its own viewBox; what lies outside it is not cut off. */
  private window(element: SvgElement, around: Surroundings, given: SvgElement["attributes"]): void {
    const { attributes } = element;
    const box = viewBoxOf(attributes.viewBox);
    const width =
      lengthOf(given.width ?? attributes.width ?? "100%", around.window.width) ?? around.window.width;
    const height =
      lengthOf(given.height ?? attributes.height ?? "100%", around.window.height) ?? around.window.height;
    const matrix = box
      ? joined(
          around.matrix,
          viewBoxMatrix(box, { x: 0, y: 0, width, height }, attributes.preserveAspectRatio),
        )
      : around.matrix;
    const style = styleOf(element, around.style, this.rules);
    const window = box ? { width: box[2], height: box[3] } : { width, height };
    for (const child of element.children) this.element(child, { ...around, matrix, style, window });
  }

  private outlines(
    { name, attributes }: SvgElement,
    window: Window,
    length: (value: string | undefined, share: number, otherwise?: number) => number,
  ): Outline[] | null {
    const diagonal = Math.hypot(window.width, window.height) / Math.SQRT2;
    const x = (key: string): number => length(attributes[key], window.width);
    const y = (key: string): number => length(attributes[key], window.height);
    if (name === "path") {
      const { segments, errorAt } = readPathData(attributes.d ?? "");
      if (errorAt !== null)
        this.tell("path-damaged", `A path is damaged at character ${errorAt + 1} and drawn up to there: “${(attributes.d ?? "").slice(Math.max(0, errorAt - 10), errorAt + 10)}”.`); // prettier-ignore
      return outlinesOf(segments);
    }
    if (name === "rect") {
      const [w, h] = [x("width"), y("height")];
      if (w <= 0 || h <= 0) return null;
      const ownX = lengthOf(attributes.rx, window.width);
      const ownY = lengthOf(attributes.ry, window.height);
      const rx = Math.min(w / 2, Math.max(0, ownX ?? ownY ?? 0));
      const ry = Math.min(h / 2, Math.max(0, ownY ?? ownX ?? 0));
      return outlinesOf(roundedRectangle(x("x"), y("y"), w, h, rx, ry));
    }
    if (name === "circle" || name === "ellipse") {
      const rx =
        name === "circle"
          ? length(attributes.r, diagonal)
          : (lengthOf(attributes.rx, window.width) ?? y("ry"));
      const ry = name === "circle" ? rx : (lengthOf(attributes.ry, window.height) ?? rx);
      if (rx <= 0 || ry <= 0) return null;
      const [cx, cy] = [x("cx"), y("cy")];
      return outlinesOf([
        ["M", cx + rx, cy],
        ["A", rx, ry, 0, 0, 1, cx - rx, cy],
        ["A", rx, ry, 0, 0, 1, cx + rx, cy],
        ["z"],
      ]);
    }
    if (name === "line") return outlinesOf([["M", x("x1"), y("y1")], ["L", x("x2"), y("y2")]]); // prettier-ignore
    if (name === "polyline" || name === "polygon") {
      const numbers =
        (attributes.points ?? "").match(/[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?/g)?.map(Number) ?? [];
      const segments: PathSegment[] = [];
      for (let i = 0; i + 1 < numbers.length; i += 2)
        segments.push([i === 0 ? "M" : "L", numbers[i]!, numbers[i + 1]!]);
      if (name === "polygon") segments.push(["z"]);
      return outlinesOf(segments);
    }
    this.tell("element-left-out", `<${name}> is not drawn.`);
    return null;
  }

  private paint(outlines: readonly Outline[], fills: boolean, { matrix, style, window }: Surroundings): void {
    const placed = outlines.map((outline) => ({
      places: flattened(moved(outline, matrix), this.tolerance).map(([x, y]): Place => [x, -y]),
      closed: outline.closed,
    }));
    this.places += placed.reduce((sum, { places }) => sum + places.length, 0);
    if (this.places > MOST_PLACES) {
      this.tell(
        "drawing-cut-off",
        "The drawing has too many curves; what comes after is left out.",
        "Simplify it.",
      );
      return;
    }
    const fill = this.colourOf(style.fill ?? "black", style.color, style["fill-opacity"]);
    const areas = placed.filter(({ places }) => places.length > 2);
    if (fills && fill && areas.length > 0)
      this.painted.push({
        kind: "area",
        rings: areas.map(({ places }) => places),
        rule: style["fill-rule"] === "evenodd" ? "evenodd" : "nonzero",
        colour: fill,
      });
    const stroke = this.colourOf(style.stroke ?? "none", style.color, style["stroke-opacity"]);
    const width =
      lengthOf(style["stroke-width"] ?? "1", Math.hypot(window.width, window.height) / Math.SQRT2) ?? 1;
    if (!stroke || width <= 0) return;
    if (style["stroke-dasharray"] !== undefined && style["stroke-dasharray"] !== "none")
      this.tell(
        "dashes-not-followed",
        "A dashed line is sewn whole.",
        "Draw the dashes as lines of their own.",
      );
    const { "stroke-linecap": cap, "stroke-linejoin": join } = style;
    this.painted.push({
      kind: "line",
      lines: placed.filter(({ places }) => places.length > 1),
      width: width * growth(matrix),
      cap: cap === "round" || cap === "square" ? cap : "butt",
      join: join === "round" || join === "bevel" ? join : "miter",
      colour: stroke,
    });
  }

  /** The flat colour of a paint; null for none. A gradient becomes the mean of its colours. */
  private colourOf(paint: string, current: string | undefined, opacityText = "1"): string | null {
    const value = paint.trim();
    if (value === "none") return null;
    const opacity = Number.parseFloat(opacityText) / (opacityText.includes("%") ? 100 : 1);
    if (opacity <= 0) return null;
    if (opacity < 1) this.tell("see-through", "See-through paint is sewn as if it were not.", "Thread covers what lies under it."); // prettier-ignore
    if (/^current-?color$/i.test(value)) return this.colourOf(current ?? "black", undefined);
    const server = /^url\(\s*["']?#([^"')]+)["']?\s*\)\s*(.*)$/.exec(value);
    if (server) {
      const mean = this.meanOf(server[1]!, []);
      if (mean) {
        this.tell("gradient-flattened", "A gradient is sewn in one colour, the mean of its own.", "Draw bands of colour where the change matters."); // prettier-ignore
        return mean;
      }
      if (server[2]) return this.colourOf(server[2], current);
      this.tell("pattern-left-out", `The paint “${server[1]}” cannot be sewn and is left out.`);
      return null;
    }
    const colour = cssColour(value);
    if (!colour) {
      this.tell("colour-unknown", `“${value.slice(0, 40)}” is no colour; black is taken.`);
      return "#000000";
    }
    return colour.alpha <= 0 ? null : colour.hex;
  }

  private meanOf(id: string, seen: readonly string[]): string | null {
    const element = this.byId.get(id);
    if (!element || seen.includes(id) || !/Gradient$/.test(element.name)) return null;
    const stops = element.children.filter((child) => child.name === "stop");
    if (stops.length === 0) {
      const next = (element.attributes.href ?? element.attributes["xlink:href"] ?? "").replace(/^#/, "");
      return this.meanOf(next, [...seen, id]);
    }
    const colours = stops.map((stop) => {
      const style = styleOf(stop, {}, this.rules);
      return rgbFromHex(cssColour(style["stop-color"] ?? "black")?.hex ?? "#000000") ?? { r: 0, g: 0, b: 0 };
    });
    const mean = (channel: "r" | "g" | "b"): number =>
      Math.round(colours.reduce((sum, colour) => sum + colour[channel], 0) / colours.length);
    return hexFromRgb({ r: mean("r"), g: mean("g"), b: mean("b") });
  }

  private tell(code: string, message: string, advice?: string): void {
    const known = this.told.get(message);
    if (known) known.times++;
    else this.told.set(message, { finding: { code, level: "warning", message, ...(advice ? { advice } : {}) }, times: 1 }); // prettier-ignore
  }
}

const LEFT_OUT: ReadonlySet<string> = new Set([
  "defs",
  "symbol",
  "style",
  "title",
  "desc",
  "metadata",
  "linearGradient",
  "radialGradient",
  "pattern",
  "clipPath",
  "mask",
  "filter",
  "marker",
  "script",
]);

const NOT_FOLLOWED = [
  ["clip-path", "clip"],
  ["mask", "mask"],
  ["filter", "filter"],
] as const;

function viewBoxOf(text: string | undefined): [number, number, number, number] | null {
  const numbers =
    text
      ?.trim()
      .split(/[\s,]+/)
      .map(Number) ?? [];
  if (numbers.length !== 4 || numbers.some((value) => !Number.isFinite(value))) return null;
  return numbers[2]! > 0 && numbers[3]! > 0 ? (numbers as [number, number, number, number]) : null;
}

function moved(outline: Outline, matrix: Matrix): Outline {
  return {
    start: applied(matrix, outline.start),
    closed: outline.closed,
    curves: outline.curves.map((curve): Curve =>
      curve.handles
        ? {
            handles: [applied(matrix, curve.handles[0]), applied(matrix, curve.handles[1])],
            to: applied(matrix, curve.to),
          }
        : { to: applied(matrix, curve.to) },
    ),
  };
}

/** A rectangle as SVG 2 (section 7.4) draws it: from the top left corner's end, clockwise. */
function roundedRectangle(x: number, y: number, w: number, h: number, rx: number, ry: number): PathSegment[] {
  if (rx === 0 || ry === 0)
    return [["M", x, y], ["H", x + w], ["V", y + h], ["H", x], ["z"]]; // prettier-ignore
  return [
    ["M", x + rx, y],
    ["H", x + w - rx],
    ["A", rx, ry, 0, 0, 1, x + w, y + ry],
    ["V", y + h - ry],
    ["A", rx, ry, 0, 0, 1, x + w - rx, y + h],
    ["H", x + rx],
    ["A", rx, ry, 0, 0, 1, x, y + h - ry],
    ["V", y + ry],
    ["A", rx, ry, 0, 0, 1, x + rx, y],
    ["z"],
  ];
}
