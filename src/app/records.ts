import type { Finding } from "#core/base";
import type { shapes } from "#contract";
import type { CatalogueTable, Store, Tables } from "#store";

/** Reading whole lists at once, for those who join many records: the plan, the paper, the jobs. */

type Reader = Store["db"];
type CatalogueName = "people" | "machines" | "hoops" | "threads" | "stock" | "products";
interface Bodies {
  people: shapes.PersonBody;
  machines: shapes.MachineBody;
  hoops: shapes.HoopBody;
  threads: shapes.ThreadBody;
  stock: shapes.StockBody;
  products: shapes.ProductBody;
}

/** A record's body with what is kept beside it. */
export type Kept<B> = B & { readonly id: string; readonly archived: boolean; readonly version: number };

export function keptOf<B>(row: CatalogueTable): Kept<B> {
  return { ...(JSON.parse(row.body) as B), id: row.id, archived: row.archived === 1, version: row.version };
}

/** Every record of a list by its id, archived ones included: what points to them still needs their names. */
export async function allOf<N extends CatalogueName>(
  db: Reader,
  list: N,
): Promise<Map<string, Kept<Bodies[N]>>> {
  const rows = (await db
    .selectFrom(list as "people")
    .selectAll()
    .orderBy("name")
    .orderBy("id")
    .execute()) as CatalogueTable[];
  return new Map(rows.map((row) => [row.id, keptOf<Bodies[N]>(row)]));
}

/** Findings as they are kept with a version: the worst place of each; the others are found again when it is looked at. */
export const keptFindings = (findings: readonly Finding[]): string =>
  JSON.stringify(findings.map(({ places: _, ...finding }) => finding));

export interface StudioKept {
  readonly body: shapes.StudioBody;
  readonly version: number;
  readonly demo: boolean;
}

/** The studio, or null before it is set up. */
export async function studioOf(db: Reader): Promise<StudioKept | null> {
  const row = await db.selectFrom("studio").selectAll().executeTakeFirst();
  return row
    ? { body: JSON.parse(row.body) as shapes.StudioBody, version: row.version, demo: row.demo === 1 }
    : null;
}

/** What a design version's `report` column holds. */
export interface VersionReport {
  readonly parts: readonly { readonly stitches: number; readonly threadMm: number }[];
  readonly extentsMm: {
    readonly left: number;
    readonly right: number;
    readonly bottom: number;
    readonly top: number;
  };
  readonly shortestMm: number;
  readonly longestMm: number;
  readonly shortShare: number;
  readonly densestPerMm2: number;
}

export type DesignVersionRow = Tables["design_versions"];

/** A design version's row as it travels. */
export function versionOf(row: DesignVersionRow): shapes.DesignVersion {
  const report = JSON.parse(row.report) as VersionReport;
  const threadIds = JSON.parse(row.thread_ids) as (string | null)[];
  return {
    id: row.id,
    designId: row.design_id,
    number: row.number,
    source: row.source as shapes.DesignVersion["source"],
    fileName: row.file_name,
    madeAtMs: row.made_at_ms,
    stitches: row.stitches,
    jumps: row.jumps,
    stops: row.stops,
    trims: row.trims,
    parts: report.parts.map((part, index) => ({ ...part, threadId: threadIds[index] ?? null })),
    extentsMm: report.extentsMm,
    shortestMm: report.shortestMm,
    longestMm: report.longestMm,
    shortShare: report.shortShare,
    densestPerMm2: report.densestPerMm2,
    findings: JSON.parse(row.findings) as shapes.FindingShape[],
  };
}

/** Rows whose ids are in a list of any length, asked for in portions both databases take. */
export async function inPortions<T>(
  ids: readonly string[],
  ask: (portion: readonly string[]) => Promise<T[]>,
): Promise<T[]> {
  const found: T[] = [];
  for (let from = 0; from < ids.length; from += 500) found.push(...(await ask(ids.slice(from, from + 500))));
  return found;
}

/** The items under their keys, order kept. */
export function groupedBy<T>(items: readonly T[], keyOf: (item: T) => string): Map<string, T[]> {
  const groups = new Map<string, T[]>();
  for (const item of items) {
    const key = keyOf(item);
    const group = groups.get(key);
    if (group) group.push(item);
    else groups.set(key, [item]);
  }
  return groups;
}

/** A version's measures as its `report` column keeps them. */
export const keptReport = (report: VersionReport): string => {
  const { parts, extentsMm, shortestMm, longestMm, shortShare, densestPerMm2 } = report;
  return JSON.stringify({ parts, extentsMm, shortestMm, longestMm, shortShare, densestPerMm2 } satisfies VersionReport); // prettier-ignore
};
