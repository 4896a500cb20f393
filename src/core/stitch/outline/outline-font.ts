/** One step of a glyph's outline, in font units, y up. */
export type OutlineStep =
  | { readonly kind: "move"; readonly at: readonly [number, number] }
  | { readonly kind: "line"; readonly at: readonly [number, number] }
  | { readonly kind: "quadratic"; readonly at: readonly [number, number, number, number] }
  | { readonly kind: "cubic"; readonly at: readonly [number, number, number, number, number, number] }
  | { readonly kind: "close" };

/** A glyph where the font's own kerning and marks put it: from the line's start, in font units. */
export interface ShapedGlyph {
  readonly glyph: number;
  readonly x: number;
  readonly y: number;
  readonly advance: number;
  /** Spaces between it and the glyph before it. */
  readonly spaces: number;
  /** Stands on the glyph before it, as accents do that are not drawn with their letter. */
  readonly mark: boolean;
  /** The letters it stands for. */
  readonly text: string;
}

/**
 * A font as the core needs it: measures, shaping, outlines. Whoever reads font files provides it; the same `key` means
 * the same font, as what is worked out for a glyph is kept under it.
 */
export interface OutlineFont {
  readonly key: string;
  readonly name: string;
  readonly unitsPerEm: number;
  /** Height of capitals and of small letters over the baseline, in font units. */
  readonly capHeight: number;
  readonly xHeight: number;
  readonly ascent: number;
  readonly descent: number;
  /** Letters of a text for which the font has no glyph, each once. */
  readonly lacking: (text: string) => readonly string[];
  /** Glyphs of one line of text in order, spaces left out, and the width of the whole in font units. */
  readonly shape: (line: string) => { readonly glyphs: readonly ShapedGlyph[]; readonly width: number };
  readonly outlineOf: (glyph: number) => readonly OutlineStep[];
}
