/** What a refusal may tell besides its sentence: the field, and what stood there against what was expected. */
export interface RefusalDetail {
  readonly field?: string;
  readonly found?: string;
  readonly expected?: string;
}

/** One row of a module's table of refusals; docs/ERRORS.md is made from these tables. */
export interface RefusalKind {
  /** The HTTP status the outermost layer answers with. */
  readonly status: 400 | 401 | 403 | 404 | 409 | 412 | 413 | 415 | 421 | 422 | 428 | 429 | 503 | 507;
  /** A short title that never changes. */
  readonly title: string;
  /** What the person should do. */
  readonly advice: string;
}

/**
 * A typed, expected error: bad input, a rule that forbids, a thing that is not there. The sentence says what
 * happened with both numbers; nothing has been written when it is thrown. Bugs are plain Errors.
 */
export class Refusal extends Error {
  constructor(
    readonly code: string,
    readonly kind: RefusalKind,
    message: string,
    readonly details: readonly RefusalDetail[] = [],
    /** Further members of the problem document, such as the present record after a lost race. */
    readonly extra: Readonly<Record<string, unknown>> = {},
  ) {
    super(message);
    this.name = "Refusal";
  }
}

/** A module's refusals: `const refuse = refusals({ "order-unknown": { status: 404, … } })`. */
export function refusals<Code extends string>(table: Readonly<Record<Code, RefusalKind>>) {
  const refuse = (
    code: Code,
    message: string,
    details: readonly RefusalDetail[] = [],
    extra: Readonly<Record<string, unknown>> = {},
  ): Refusal => new Refusal(code, table[code], message, details, extra);
  return Object.assign(refuse, { table });
}

/** Stops a program that has broken its own rule; only the outermost layer catches it. */
export function invariant(holds: boolean, rule: string): asserts holds {
  if (!holds) throw new Error(`Broken invariant: ${rule}`);
}
