import type { Finding } from "#core/base";
import type { Cloth } from "../cloth";
import type { StitchCounts, Stitches } from "../stitches";
import type { SewnColumn } from "./sewn-columns";
import type { SewnGround, ThreadMove } from "./sewn-ground";

/** What is known about where a design is to be sewn; what is left out is not checked. */
export interface CheckContext {
  /** The inner field of the hoop or the sewing field. */
  readonly fieldMm?: { readonly width: number; readonly height: number };
  readonly needles?: number;
  /** The thread each part uses, by any name; parts of the same thread share a needle. */
  readonly partThreads?: readonly (string | null)[];
  /** What it is to be sewn on. */
  readonly cloth?: Cloth;
  /** What its stitches were made for, where that is known. */
  readonly madeFor?: Cloth;
  /** How much finished stitches were scaled without remaking them; 1 is as they were. */
  readonly scale?: number;
  /** The letters in it. */
  readonly letters?: readonly { readonly text: string; readonly heightMm: number }[];
  /** Weight of the thread, 40 where it is not said. */
  readonly threadWeight?: 40 | 60;
  /** The texts that are sewn, and those the order asks for; of a design whose texts are not known none is checked. */
  readonly texts?: { readonly sewn: readonly string[]; readonly ordered: readonly string[] };
}

/** What a check looks at; what several checks need is found once, when first asked for. */
export interface CheckInput {
  readonly design: Stitches;
  readonly counts: StitchCounts;
  readonly context: CheckContext;
  readonly columns: () => readonly SewnColumn[];
  readonly ground: () => SewnGround;
  readonly moves: () => readonly ThreadMove[];
}

/** A check gives what it found, nothing when all is well. */
export type DesignCheck = (input: CheckInput) => Finding[];

/** Where record `index` puts the needle: its place, and its number among the stitches, from 1. */
export function placeOf(design: Stitches, index: number): NonNullable<Finding["at"]> {
  let stitch = 0;
  for (let i = 0; i <= index; i++) if (design.kind[i] === 0) stitch++;
  return { xTenths: design.x[index]!, yTenths: design.y[index]!, stitch };
}

/** So many places of a finding are told; a picture with more marks shows less. */
export const MOST_PLACES = 50;

/** Where the needle is put by these records, the first of them the worst; nothing to add where there is one alone. */
export function placesOf(design: Stitches, records: readonly number[]): Pick<Finding, "places"> {
  if (records.length < 2) return {};
  return {
    places: records.slice(0, MOST_PLACES).map((i) => ({ xTenths: design.x[i]!, yTenths: design.y[i]! })),
  };
}

/** "1 column", "3 columns". */
export const countOf = (count: number, one: string, many = `${one}s`): string =>
  `${count} ${count === 1 ? one : many}`;
