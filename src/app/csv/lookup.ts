import { foldText } from "../fold";

/** What a name in a file points to: one record, none, or several that cannot be told apart. */
export type Found =
  | { readonly kind: "one"; readonly id: string }
  | { readonly kind: "none" }
  | { readonly kind: "many"; readonly count: number };

export interface Named {
  readonly id: string;
  readonly code?: string;
  readonly name: string;
}

export interface Lookup {
  product(text: string): Found;
  design(text: string): Found;
  thread(text: string): Found;
  /** The known names nearest to a misspelt one, for the reason's sentence. */
  productsLike(text: string): readonly string[];
}

/** Finds records by code before name, case and accents aside. */
export function lookupOf(records: {
  products: readonly Named[];
  designs: readonly Named[];
  threads: readonly Named[];
}): Lookup {
  const products = finder(records.products);
  return {
    product: products,
    design: finder(records.designs),
    thread: finder(records.threads),
    productsLike: (text) => nearest(text, records.products),
  };
}

function finder(records: readonly Named[]): (text: string) => Found {
  const byCode = index(records, (one) => one.code ?? "");
  const byName = index(records, (one) => one.name);
  return (text) => {
    const key = foldText(text);
    const ids = (key !== "" && (byCode.get(key) ?? byName.get(key))) || [];
    if (ids.length === 0) return { kind: "none" };
    return ids.length === 1 ? { kind: "one", id: ids[0]! } : { kind: "many", count: ids.length };
  };
}

function index(records: readonly Named[], of: (one: Named) => string): Map<string, string[]> {
  const found = new Map<string, string[]>();
  for (const one of records) {
    const key = foldText(of(one));
    if (key !== "") found.set(key, [...(found.get(key) ?? []), one.id]);
  }
  return found;
}

function nearest(text: string, records: readonly Named[]): string[] {
  const key = foldText(text).slice(0, 60);
  return records
    .map((one) => ({
      label: one.code ? `${one.code} (${one.name})` : one.name,
      far: Math.min(editDistance(key, foldText(one.name)), editDistance(key, foldText(one.code ?? ""))),
    }))
    .filter((one) => one.far <= Math.max(2, key.length / 3))
    .sort((a, b) => a.far - b.far)
    .slice(0, 3)
    .map((one) => one.label);
}

/** Insertions, deletions and changes between two words (Levenshtein 1966). */
function editDistance(a: string, b: string): number {
  let row = Array.from({ length: b.length + 1 }, (_, index) => index);
  for (let i = 1; i <= a.length; i++) {
    const next = [i];
    for (let j = 1; j <= b.length; j++)
      next[j] = Math.min(row[j]! + 1, next[j - 1]! + 1, row[j - 1]! + (a[i - 1] === b[j - 1] ? 0 : 1));
    row = next;
  }
  return row[b.length]!;
}
