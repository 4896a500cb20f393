/** CIELAB under D65, 2° observer: L 0…100, a and b about −110…110. CSS `lab()` is D50 and is not this. */
export interface Lab {
  readonly l: number;
  readonly a: number;
  readonly b: number;
}

/** sRGB as whole numbers 0…255. */
export interface Rgb {
  readonly r: number;
  readonly g: number;
  readonly b: number;
}

// White from the xy of D65, x = 0.3127 and y = 0.3290 (IEC 61966-2-1), at full precision, so that greys come out
// with a = b = 0.
const WHITE_X = 0.3127 / 0.329;
const WHITE_Z = (1 - 0.3127 - 0.329) / 0.329;

/** Reads `#rgb` or `#rrggbb`, with or without `#`; null when it is neither. */
export function rgbFromHex(hex: string): Rgb | null {
  const digits = hex.trim().replace(/^#/, "");
  const long = /^[0-9a-f]{3}$/i.test(digits) ? [...digits].map((digit) => digit + digit).join("") : digits;
  if (!/^[0-9a-f]{6}$/i.test(long)) return null;
  const value = Number.parseInt(long, 16);
  return { r: value >> 16, g: (value >> 8) & 255, b: value & 255 };
}

/** `#rrggbb`, each channel rounded and held to 0…255. */
export function hexFromRgb({ r, g, b }: Rgb): string {
  const two = (channel: number): string =>
    Math.min(255, Math.max(0, Math.round(channel)))
      .toString(16)
      .padStart(2, "0");
  return `#${two(r)}${two(g)}${two(b)}`;
}

/** IEC 61966-2-1: the linear light of a coded channel, both 0…1. */
export function linearFromSrgb(channel: number): number {
  return channel <= 0.04045 ? channel / 12.92 : ((channel + 0.055) / 1.055) ** 2.4;
}

function srgbFromLinear(light: number): number {
  return light <= 0.0031308 ? light * 12.92 : 1.055 * light ** (1 / 2.4) - 0.055;
}

/** IEC 61966-2-1 (sRGB to XYZ) and CIE 15 (XYZ to CIELAB), D65. */
export function labFromRgb(rgb: Rgb): Lab {
  const r = linearFromSrgb(rgb.r / 255);
  const g = linearFromSrgb(rgb.g / 255);
  const b = linearFromSrgb(rgb.b / 255);
  const x = 0.4123907992659593 * r + 0.357584339383878 * g + 0.1804807884018343 * b;
  const y = 0.2126390058715103 * r + 0.715168678767756 * g + 0.0721923153607337 * b;
  const z = 0.0193308187155918 * r + 0.119194779794626 * g + 0.9505321522496607 * b;
  const fy = labCurve(y);
  return { l: 116 * fy - 16, a: 500 * (labCurve(x / WHITE_X) - fy), b: 200 * (fy - labCurve(z / WHITE_Z)) };
}

/** The way back, held to what sRGB can show. */
export function rgbFromLab({ l, a, b }: Lab): Rgb {
  const fy = (l + 16) / 116;
  const x = WHITE_X * labCurveBack(fy + a / 500);
  const y = labCurveBack(fy);
  const z = WHITE_Z * labCurveBack(fy - b / 200);
  const channel = (light: number): number =>
    Math.round(255 * Math.min(1, Math.max(0, srgbFromLinear(Math.max(0, light)))));
  return {
    r: channel(3.2409699419045213 * x - 1.5373831775700935 * y - 0.4986107602930033 * z),
    g: channel(-0.9692436362808798 * x + 1.8759675015077206 * y + 0.0415550574071756 * z),
    b: channel(0.0556300796969936 * x - 0.2039769588889765 * y + 1.0569715142428786 * z),
  };
}

// CIE 15: the cube root above (6/29)³, a straight line below.
const labCurve = (t: number): number => (t > 216 / 24389 ? Math.cbrt(t) : (t * 24389) / 27 / 116 + 16 / 116);
const labCurveBack = (f: number): number => (f > 6 / 29 ? f ** 3 : (116 * f - 16) * (27 / 24389));

/** CIELAB of a `#rrggbb`; null when the text is no colour. */
export function labFromHex(hex: string): Lab | null {
  const rgb = rgbFromHex(hex);
  return rgb === null ? null : labFromRgb(rgb);
}

const DEGREES = Math.PI / 180;
const SEVENTH_25 = 25 ** 7;

/**
 * The colour difference ΔE₀₀ with kL = kC = kH = 1; about 1 is just seen side by side. G. Sharma, W. Wu, E. N. Dalal,
 * "The CIEDE2000 color-difference formula", Color Research & Application 30 (2005) 21–30, equations 2–22.
 */
export function colourDifference(one: Lab, two: Lab): number {
  const chromaMean = (Math.hypot(one.a, one.b) + Math.hypot(two.a, two.b)) / 2;
  const seventh = chromaMean ** 7;
  const stretch = 1.5 - 0.5 * Math.sqrt(seventh / (seventh + SEVENTH_25));
  const a1 = one.a * stretch;
  const a2 = two.a * stretch;
  const c1 = Math.hypot(a1, one.b);
  const c2 = Math.hypot(a2, two.b);
  const h1 = hueDegrees(a1, one.b);
  const h2 = hueDegrees(a2, two.b);
  const grey = c1 * c2 === 0;

  let dHue = grey ? 0 : h2 - h1;
  if (dHue > 180) dHue -= 360;
  else if (dHue < -180) dHue += 360;
  const dL = two.l - one.l;
  const dC = c2 - c1;
  const dH = 2 * Math.sqrt(c1 * c2) * Math.sin((dHue / 2) * DEGREES);

  const lMean = (one.l + two.l) / 2;
  const cMean = (c1 + c2) / 2;
  let hMean = h1 + h2;
  if (!grey) {
    if (Math.abs(h1 - h2) <= 180) hMean /= 2;
    else hMean = hMean < 360 ? (hMean + 360) / 2 : (hMean - 360) / 2;
  }
  const t =
    1 -
    0.17 * Math.cos((hMean - 30) * DEGREES) +
    0.24 * Math.cos(2 * hMean * DEGREES) +
    0.32 * Math.cos((3 * hMean + 6) * DEGREES) -
    0.2 * Math.cos((4 * hMean - 63) * DEGREES);
  const turn = 30 * Math.exp(-(((hMean - 275) / 25) ** 2));
  const cMean7 = cMean ** 7;
  const rotation = -2 * Math.sqrt(cMean7 / (cMean7 + SEVENTH_25)) * Math.sin(2 * turn * DEGREES);
  const lSquared = (lMean - 50) ** 2;
  const l = dL / (1 + (0.015 * lSquared) / Math.sqrt(20 + lSquared));
  const c = dC / (1 + 0.045 * cMean);
  const h = dH / (1 + 0.015 * cMean * t);
  return Math.sqrt(l * l + c * c + h * h + rotation * c * h);
}

function hueDegrees(a: number, b: number): number {
  if (a === 0 && b === 0) return 0;
  const degrees = Math.atan2(b, a) / DEGREES;
  return degrees < 0 ? degrees + 360 : degrees;
}

/** Relative luminance, 0 (black) … 1 (white): WCAG 2.2, with its own coefficients. */
export function relativeLuminance({ r, g, b }: Rgb): number {
  return (
    0.2126 * linearFromSrgb(r / 255) + 0.7152 * linearFromSrgb(g / 255) + 0.0722 * linearFromSrgb(b / 255)
  );
}

/** WCAG 2.2 contrast ratio of two colours, 1…21; 4.5 is enough for text, 3 for the edge of a shape. */
export function contrastRatio(one: Rgb, two: Rgb): number {
  const a = relativeLuminance(one);
  const b = relativeLuminance(two);
  return (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
}

/** One of a list and its distance, the nearest by ΔE₀₀ (ties by list order); null for an empty list. */
export function nearestColour<T extends { readonly lab: Lab }>(
  wanted: Lab,
  choices: readonly T[],
): { readonly choice: T; readonly difference: number } | null {
  let best: { choice: T; difference: number } | null = null;
  for (const choice of choices) {
    const difference = colourDifference(wanted, choice.lab);
    if (best === null || difference < best.difference) best = { choice, difference };
  }
  return best;
}
