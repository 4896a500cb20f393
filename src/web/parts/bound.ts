/** What can be edited: a form, one item of a list in it, or one object in it. */
export interface Editable<B extends object> {
  readonly value: B;
  readonly set: (patch: Partial<B>) => void;
  /** Why a field was not taken, by its dotted path below this value. */
  readonly error: (path: string) => string | undefined;
}

export type Labels = Readonly<Record<string, string>>;

/** What a field is given: its label, its value, what is wrong with it, and how it is changed. */
interface Bound<V> {
  readonly label: string;
  readonly value: V;
  readonly error: string | undefined;
  /** Null comes only from a field that may stay empty; an emptied number that may not is NaN, which no shape takes. */
  readonly onChange: (value: V | null) => void;
}

/** The fields of what is edited, each by its key: `<TextField {...field("name")} />`. */
export function bound<B extends object>({ value, set, error }: Editable<B>, labels: Labels) {
  return <K extends keyof B & string>(key: K): Bound<B[K]> => ({
    label: labels[key] ?? key,
    value: value[key],
    error: error(key),
    onChange: (next) => set({ [key]: next } as unknown as Partial<B>),
  });
}

type ListKey<B> = { [K in keyof B & string]: B[K] extends readonly object[] ? K : never }[keyof B & string];
type ItemOf<B, K extends keyof B> = B[K] extends readonly (infer I extends object)[] ? I : never;

/** One item of a list of the form, to be edited on its own. */
export function itemOf<B extends object, K extends ListKey<B>>(
  form: Editable<B>,
  key: K,
  index: number,
): Editable<ItemOf<B, K>> {
  const items = form.value[key] as readonly ItemOf<B, K>[];
  return {
    value: items[index]!,
    set: (patch) =>
      form.set({
        [key]: items.map((item, at) => (at === index ? { ...item, ...patch } : item)),
      } as unknown as Partial<B>),
    error: (path) => form.error(`${key}.${index}.${path}`),
  };
}

/** One object of the form, to be edited on its own; `value` is what it holds, where it can be absent. */
export function within<B extends object, K extends keyof B & string>(
  form: Editable<B>,
  key: K,
  value: NonNullable<B[K]> & object,
): Editable<NonNullable<B[K]> & object> {
  return {
    value,
    set: (patch) => form.set({ [key]: { ...value, ...patch } } as unknown as Partial<B>),
    error: (path) => form.error(`${key}.${path}`),
  };
}
