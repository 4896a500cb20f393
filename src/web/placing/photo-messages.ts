import type { HoopEdges, HoopView, KnownLens, PointPx, SeenMarker, TaughtHoop } from "#core/placing";
import type { AreaMm, FoundMarker, SnappedLine } from "#core/placing/picture";

/** What the page asks of the worker that looks at photos, and what comes back. One photo at a time, and a second beside it. */

export interface PhotoSize {
  readonly widthPx: number;
  readonly heightPx: number;
}

/** A photo that was opened and looked through for markers. */
export interface OpenedPhoto {
  readonly size: PhotoSize;
  readonly focal35Mm: number | null;
  readonly markers: readonly FoundMarker[];
  /** The photo small enough to be shown, upright. */
  readonly preview: ImageBitmap;
  readonly tookMs: number;
}

/** The photo that is placed on, or one more of the same hoop from another side, of which nothing stays but what is laid flat. */
export type WhichPhoto = "first" | "second";

export interface LensAsked {
  readonly measured: KnownLens | null;
  readonly focal35Mm: number | null;
}

/** The cloth at true scale, seen through the hoop. */
export interface ClothPicture {
  readonly view: HoopView;
  readonly picture: ImageBitmap;
  readonly areaMm: AreaMm;
  readonly pxPerMm: number;
  readonly tookMs: number;
}

/** Stitches as thread on nothing, true scale, the design upright. */
export interface DrawnDesign {
  readonly sewn: ImageBitmap;
  readonly rest: ImageBitmap;
  readonly boxMm: AreaMm;
}

/** Which picture places are in: the photo itself, or the cloth at true scale. Px, pixel centres at whole numbers. */
export type Where = "photo" | "cloth";

/** The line nearby, with the standard errors of its place at its middle and of its direction; null where there is none. */
export type SnapAnswer = Pick<SnappedLine, "from" | "to" | "movedPx" | "errorPx" | "angleErrorRad"> | null;

export interface Asks {
  /** `lens`: the phone's, where it was measured; markers' edges are then followed along their true curve. */
  open: { readonly file: Blob; readonly lens: KnownLens | null; readonly as: WhichPhoto };
  lay: {
    readonly as: WhichPhoto;
    readonly lens: LensAsked;
    readonly by:
      | { readonly way: "markers"; readonly hoop: TaughtHoop; readonly seen: readonly SeenMarker[] }
      | { readonly way: "lines"; readonly edges: HoopEdges };
    readonly areaMm: AreaMm;
  };
  snap: { readonly where: Where; readonly from: PointPx; readonly to: PointPx; readonly reachPx: number };
  direction: { readonly at: PointPx; readonly radiusPx: number };
  design: {
    readonly address: string;
    readonly colours: readonly string[];
    readonly pxPerMm: number;
    /** Stitches before this one (from 1) are drawn apart, as sewn; 1 draws all as the rest. */
    readonly fromStitch: number;
  };
  small: { readonly longestPx: number };
}

export interface Gives {
  open: OpenedPhoto;
  lay: ClothPicture;
  snap: SnapAnswer;
  /** Two places on the stripe, px of the cloth's picture; or why there is none. */
  direction:
    | { readonly from: PointPx; readonly to: PointPx; readonly errorRad: number }
    | { readonly refused: string };
  design: DrawnDesign;
  small: Blob;
}

export type AskName = keyof Asks;

export interface ToPhotoWorker<N extends AskName = AskName> {
  readonly id: number;
  readonly name: N;
  readonly given: Asks[N];
}

/** Trouble in words for people, with the core's code where it refused. */
export interface PhotoTrouble {
  readonly code: string;
  readonly title: string;
  readonly detail: string;
  readonly advice: string;
}

export type FromPhotoWorker =
  | { readonly id: number; readonly doing: string }
  | { readonly id: number; readonly gives: Gives[AskName] }
  | { readonly id: number; readonly failed: PhotoTrouble };
