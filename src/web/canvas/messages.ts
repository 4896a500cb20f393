import type { DensityGrid } from "#drawing";
import type { Look, View } from "./engine";

/** What the page tells the drawing worker. */
export type ToWorker =
  | { readonly canvas: OffscreenCanvas }
  | { readonly address: string }
  | { readonly view: View }
  | { readonly look: Look }
  | { readonly askAt: number }
  | { readonly askDensity: true };

/** What the page learns once the stitches have come. */
export interface Known {
  readonly count: number;
  /** mm: left, bottom, right, top. */
  readonly boundsMm: readonly [number, number, number, number];
  readonly partStarts: readonly number[];
  /** What each record does: play-back reckons its time from them. */
  readonly kinds: Uint8Array;
}

export interface Progress {
  readonly drawn: number;
  readonly of: number;
  readonly done: boolean;
  readonly tookMs: number;
}

/** Where the needle is after so many records, mm, and in which part. */
export interface NeedleAt {
  readonly index: number;
  readonly xMm: number;
  readonly yMm: number;
  readonly part: number;
}

export type FromWorker =
  | { readonly known: Known }
  | { readonly progress: Progress }
  | { readonly needle: NeedleAt }
  | { readonly density: DensityGrid }
  | { readonly failed: string };
