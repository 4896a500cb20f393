/**
 * Three-way merge of a record that two people changed: what one of them left alone takes the other's change; what
 * both changed to different values is a clash that a person decides. Paths are dotted, "needles.3.threadId".
 */
export interface Merged<T> {
  /** Mine where both changed, until a person decides. */
  readonly merged: T;
  readonly clashes: readonly string[];
  /** What the other person changed and I did not. */
  readonly taken: readonly string[];
}

type Plain = Readonly<Record<string, unknown>>;

const isPlain = (value: unknown): value is Plain =>
  typeof value === "object" && value !== null && !Array.isArray(value);

/** Whether two JSON values are the same; an empty number field (NaN) equals itself. */
export function same(a: unknown, b: unknown): boolean {
  if (Object.is(a, b)) return true;
  if (Array.isArray(a) && Array.isArray(b))
    return a.length === b.length && a.every((one, index) => same(one, b[index]));
  if (isPlain(a) && isPlain(b)) {
    const keys = new Set([...Object.keys(a), ...Object.keys(b)]);
    return [...keys].every((key) => same(a[key], b[key]));
  }
  return false;
}

export function mergeThreeWays<T>(base: T, mine: T, theirs: T): Merged<T> {
  const clashes: string[] = [];
  const taken: string[] = [];
  const at = (path: string, key: string | number) => (path === "" ? String(key) : `${path}.${key}`);
  const walk = (b: unknown, m: unknown, t: unknown, path: string): unknown => {
    if (same(m, t) || same(b, t)) return m;
    if (isPlain(b) && isPlain(m) && isPlain(t))
      return Object.fromEntries(
        [...new Set([...Object.keys(m), ...Object.keys(t)])].map((key) => [
          key,
          walk(b[key], m[key], t[key], at(path, key)),
        ]),
      );
    // Rows of a list match by their place only while nobody added or took away one.
    if (
      Array.isArray(b) &&
      Array.isArray(m) &&
      Array.isArray(t) &&
      b.length === m.length &&
      b.length === t.length
    )
      return m.map((one, index) => walk(b[index], one, t[index], at(path, index)));
    if (same(b, m)) {
      taken.push(path);
      return t;
    }
    clashes.push(path);
    return m;
  };
  return { merged: walk(base, mine, theirs, "") as T, clashes, taken };
}

/** The value at a dotted path; undefined where there is none. */
export function valueAt(value: unknown, path: string): unknown {
  return path
    .split(".")
    .reduce<unknown>(
      (at, key) => (typeof at === "object" && at !== null ? (at as Record<string, unknown>)[key] : undefined),
      value,
    );
}

/** A copy with the value at a dotted path replaced. */
export function withValueAt<T>(whole: T, path: string, value: unknown): T {
  const [key, ...rest] = path.split(".");
  if (key === undefined) return whole;
  const inner = rest.length === 0 ? value : withValueAt(valueAt(whole, key), rest.join("."), value);
  if (Array.isArray(whole))
    return whole.map((one: unknown, index) => (String(index) === key ? inner : one)) as T;
  return { ...whole, [key]: inner };
}
