/**
 * What can be asked of the program and how it travels: one row a request. It knows the core's nouns and zod; it
 * does not know who answers. Units and ids as in core/shop; every body is a closed shape.
 */
import type { z } from "zod";
import { careRows } from "./care";
import { costRows } from "./costs";
import { designRows } from "./designs";
import { deviceRows } from "./devices";
import { floorRows } from "./floor";
import { historyRows } from "./history";
import { importRows } from "./imports";
import { makingRows } from "./making";
import { mendingRows } from "./mending";
import { orderRows } from "./orders";
import { paperRows } from "./paper";
import { placingRows } from "./placing";
import { planRows } from "./plans";
import { orderingRows, purchaseRows, quoteRows } from "./quotes";
import { catalogue, studioRows } from "./studio";
import { whatIfRows } from "./what-if";

type Catalogue = typeof catalogue;
export type Noun = keyof Catalogue;
type CatalogueKey = { [N in Noun]: `${N}.${keyof Catalogue[N] & string}` }[Noun];
type FlatCatalogue = {
  readonly [K in CatalogueKey]: K extends `${infer N extends Noun}.${infer A}`
    ? A extends keyof Catalogue[N]
      ? Catalogue[N][A]
      : never
    : never;
};

const flatCatalogue = Object.fromEntries(
  Object.entries(catalogue).flatMap(([noun, rows]) =>
    Object.entries(rows).map(([act, one]) => [`${noun}.${act}`, one]),
  ),
) as unknown as FlatCatalogue;

/** Every request, by its name. */
export const rows = {
  ...studioRows,
  ...flatCatalogue,
  ...designRows,
  ...makingRows,
  ...mendingRows,
  ...orderRows,
  ...importRows,
  ...planRows,
  ...floorRows,
  ...historyRows,
  ...careRows,
  ...paperRows,
  ...placingRows,
  ...deviceRows,
  ...whatIfRows,
  ...costRows,
  ...quoteRows,
  ...purchaseRows,
  ...orderingRows,
};
export type Rows = typeof rows;
export type RowName = keyof Rows;

/** What a JSON answer is once parsed, by the row's name. */
export type Answer<N extends RowName> = Rows[N] extends { readonly output: infer S extends z.ZodType }
  ? z.output<S>
  : never;

export { catalogue } from "./studio";
export { type Answered, type Asked, type Bytes, type Carriage, type Method, type Row, row } from "./row";
export { type LiveEvent, liveEvent } from "./live";
export type { FloorEventBody } from "./floor";
export { tableName } from "./paper";
export { parseProblem } from "./planning-wire";
export type * as shapes from "./shapes";
export type * as whatIf from "./what-if";
export type * as costs from "./costs";
export type * as quotes from "./quotes";
