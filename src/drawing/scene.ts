/**
 * A picture as plain shapes in mm, y down as on paper. The page, the printed sheet and the picture tests draw the same
 * scene; `svgFromScene` turns it into text.
 */
export interface Scene {
  readonly widthMm: number;
  readonly heightMm: number;
  /** What the scene's left upper corner is called, in scene units; the view is widthMm × heightMm from there. */
  readonly leftMm: number;
  readonly topMm: number;
  readonly shapes: readonly Shape[];
  /** What the picture shows, for those who cannot see it. */
  readonly label: string;
}

export type Shape =
  | {
      readonly kind: "path";
      /** SVG path data in mm. */
      readonly d: string;
      readonly fill?: string;
      readonly stroke?: string;
      readonly strokeMm?: number;
      readonly opacity?: number;
      readonly dash?: string;
    }
  | {
      readonly kind: "rect";
      readonly x: number;
      readonly y: number;
      readonly width: number;
      readonly height: number;
      readonly radius?: number;
      readonly fill?: string;
      readonly stroke?: string;
      readonly strokeMm?: number;
      readonly opacity?: number;
    }
  | {
      readonly kind: "text";
      readonly x: number;
      readonly y: number;
      readonly text: string;
      readonly sizeMm: number;
      readonly fill: string;
      readonly anchor?: "start" | "middle" | "end";
      readonly weight?: number;
    }
  | {
      /** Shapes of another scene, made larger or smaller and moved. */
      readonly kind: "group";
      readonly xMm: number;
      readonly yMm: number;
      readonly scale: number;
      readonly shapes: readonly Shape[];
    };

export interface SvgOptions {
  /** Written as the picture's size: true mm, a number of px wide, or left to the page ("fluid"). */
  readonly size?: "mm" | "fluid" | { readonly widthPx: number };
}

const FONT = "'Atkinson Hyperlegible Next Variable','Atkinson Hyperlegible Next',sans-serif";

/** The scene as an SVG document; all text in it is escaped. */
export function svgFromScene(scene: Scene, { size = "mm" }: SvgOptions = {}): string {
  const { widthMm, heightMm } = scene;
  const measures =
    size === "mm"
      ? ` width="${number(widthMm)}mm" height="${number(heightMm)}mm"`
      : size === "fluid"
        ? ""
        : ` width="${number(size.widthPx)}" height="${number((size.widthPx * heightMm) / (widthMm || 1))}"`;
  const view = [scene.leftMm, scene.topMm, widthMm, heightMm].map(number).join(" ");
  return `<svg xmlns="http://www.w3.org/2000/svg"${measures} viewBox="${view}" role="img" aria-label="${escapeText(scene.label)}">${scene.shapes.map(shapeText).join("")}</svg>`;
}

function shapeText(shape: Shape): string {
  if (shape.kind === "group")
    return `<g transform="translate(${number(shape.xMm)} ${number(shape.yMm)}) scale(${number(shape.scale)})">${shape.shapes.map(shapeText).join("")}</g>`;
  if (shape.kind === "text") {
    const anchor = shape.anchor === undefined ? "" : ` text-anchor="${shape.anchor}"`;
    const weight = shape.weight === undefined ? "" : ` font-weight="${shape.weight}"`;
    return `<text x="${number(shape.x)}" y="${number(shape.y)}" font-size="${number(shape.sizeMm)}" font-family="${FONT}" fill="${escapeText(shape.fill)}"${anchor}${weight}>${escapeText(shape.text)}</text>`;
  }
  const fill = ` fill="${escapeText(shape.fill ?? "none")}"`;
  const stroke =
    shape.stroke === undefined
      ? ""
      : ` stroke="${escapeText(shape.stroke)}" stroke-width="${number(shape.strokeMm ?? 0.2)}" stroke-linecap="round" stroke-linejoin="round"`;
  const opacity = shape.opacity === undefined ? "" : ` opacity="${number(shape.opacity)}"`;
  if (shape.kind === "path") {
    const dash = shape.dash === undefined ? "" : ` stroke-dasharray="${shape.dash}"`;
    return `<path d="${shape.d}"${fill}${stroke}${dash}${opacity}/>`;
  }
  const radius = shape.radius === undefined ? "" : ` rx="${number(shape.radius)}"`;
  return `<rect x="${number(shape.x)}" y="${number(shape.y)}" width="${number(shape.width)}" height="${number(shape.height)}"${radius}${fill}${stroke}${opacity}/>`;
}

/** At most three decimals, none where none is needed. */
export function number(value: number): string {
  return String(Math.round(value * 1000) / 1000 || 0);
}

export function escapeText(text: string): string {
  return text.replace(/[&<>"']/g, (sign) => `&#${sign.charCodeAt(0)};`);
}
