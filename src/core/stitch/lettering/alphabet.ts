/** A stroke alphabet of our own drawing. Measures are shares of the capital height. */
export interface Alphabet {
  readonly name: AlphabetName;
  /** Drawings in the letters of `readPath`; `D x y` is a dot, a line that ends with `>` runs on into the next letter. */
  readonly letters: Readonly<Record<string, string>>;
  readonly strokeShare: number;
  readonly xHeight: number;
  /** How far a letter leans: x grows by this for each unit of height. */
  readonly slant: number;
  /** Whether small letters are written together. */
  readonly joined: boolean;
  /** The mean free space between letters. */
  readonly air: number;
  readonly wordSpace: number;
  /** Letters whose caron is written as a small stroke at the right of the tall stem (Czech and Slovak): where. */
  readonly sideCaron: Readonly<Record<string, number>>;
}

export type AlphabetName = "upright" | "flowing";

/** Other writings of the same sign. */
export const SAME_AS: Readonly<Record<string, string>> = {
  "’": "'",
  "‘": "'",
  ʼ: "'",
  "`": "'",
  "´": "'",
  "“": '"',
  "”": '"',
  "„": '"',
  "—": "–",
  "−": "-",
  "‐": "-",
  "‑": "-",
  "❤": "♥",
  "♡": "♥",
  ĳ: "ij",
  Ĳ: "IJ",
  "…": "...", // prettier-ignore
};

/** Where a mark stands: above the letter's top, or below the baseline. Drawn about x = 0, y from there. */
export interface Mark {
  readonly drawing: string;
  readonly stands: "above" | "below";
  /** Where it stands under or over letters whose middle is not its place, in their own units. */
  readonly at?: Readonly<Record<string, number>>;
}

/** Combining marks (Unicode block U+0300) of western, central and northern European writing. */
export const MARKS: Readonly<Record<string, Mark>> = {
  "\u0300": { stands: "above", drawing: "M-.1 .4L.05 .25" },
  "\u0301": { stands: "above", drawing: "M.1 .4L-.05 .25" },
  "\u0302": { stands: "above", drawing: "M-.17 .24L0 .39L.17 .24" },
  "\u0303": { stands: "above", drawing: "M-.2 .26C-.16 .38 -.08 .38 0 .32C.08 .26 .16 .26 .2 .38" },
  "\u0304": { stands: "above", drawing: "M-.17 .29L.17 .29" },
  "\u0306": { stands: "above", drawing: "M-.17 .39C-.13 .24 .13 .24 .17 .39" },
  "\u0307": { stands: "above", drawing: "D0 .31" },
  "\u0308": { stands: "above", drawing: "D-.16 .31D.16 .31" },
  "\u030a": { stands: "above", drawing: "E0 .4 .15 .15 270 630" },
  "\u030b": { stands: "above", drawing: "M-.02 .4L-.14 .25M.22 .4L.1 .25" },
  "\u030c": { stands: "above", drawing: "M-.17 .39L0 .24L.17 .39" },
  "\u0327": { stands: "below", drawing: "M0 0L-.01 -.1C.1 -.1 .14 -.17 .1 -.24C.07 -.29 0 -.3 -.1 -.27" },
  "\u0328": { stands: "below", drawing: "M.12 0C-.02 -.1 -.04 -.28 .16 -.27" },
  "\u0326": { stands: "below", drawing: "M.04 -.16L-.03 -.32" },
};
