/**
 * Groups within groups, each drawn to the one above as far as its own values are few: the normal–normal model
 * y_i ~ N(θ_i, v_i), θ_i ~ N(θ_parent, τ²) on a tree, solved exactly by one pass up and one down (its posterior means
 * are those of D. V. Lindley, A. F. M. Smith, J. Royal Statistical Society B 34 (1972) 1–41). τ² comes from the groups
 * themselves: Σ(y_i − ȳ)²/(v_i + τ²) = k − 3, which for equal variances is exactly the positive-part James–Stein
 * estimator (B. Efron, C. Morris, J. American Statistical Association 70 (1975) 311–319), drawn to the usual τ².
 */

/** A normal belief: mean and variance; an infinite variance believes nothing. */
export interface Belief {
  readonly mean: number;
  readonly variance: number;
}

export interface GroupNode {
  /** What was measured on the group itself; null where only its members were. */
  readonly own: Belief | null;
  readonly members: ReadonlyMap<string, GroupNode>;
}

export interface BelievedNode {
  readonly belief: Belief;
  readonly members: ReadonlyMap<string, BelievedNode>;
}

/** The product of two beliefs. */
export function both(a: Belief, b: Belief): Belief {
  if (a.variance === Infinity) return b;
  if (b.variance === Infinity) return a;
  const variance = 1 / (1 / a.variance + 1 / b.variance);
  return { mean: variance * (a.mean / a.variance + b.mean / b.variance), variance };
}

const NOTHING: Belief = { mean: 0, variance: Infinity };
const wider = (belief: Belief, by: number): Belief => ({ ...belief, variance: belief.variance + by });

/** What a node's own values and its members say together; `between[0]` is τ² of its members. */
function upward(node: GroupNode, between: readonly number[]): Belief {
  let belief = node.own ?? NOTHING;
  for (const member of node.members.values())
    belief = both(belief, wider(upward(member, between.slice(1)), between[0] ?? 0));
  return belief;
}

/** Every node's belief given all that was measured, its own and everybody else's. `between[d]`: τ² of level d + 1. */
export function believe(node: GroupNode, prior: Belief, between: readonly number[]): BelievedNode {
  const tau = between[0] ?? 0;
  const messages = [...node.members].map(([id, member]) => ({
    id,
    member,
    message: wider(upward(member, between.slice(1)), tau),
  }));
  const own = both(prior, node.own ?? NOTHING);
  const belief = messages.reduce((sum, { message }) => both(sum, message), own);
  const members = new Map(
    messages.map(({ id, member, message }) => [
      id,
      believe(member, wider(without(belief, message), tau), between.slice(1)),
    ]),
  );
  return { belief, members };
}

/** A belief with one of its factors taken out again. */
function without(belief: Belief, factor: Belief): Belief {
  const precision = 1 / belief.variance - 1 / factor.variance;
  if (precision <= 1e-12 / belief.variance) return NOTHING;
  return {
    mean: (belief.mean / belief.variance - factor.mean / factor.variance) / precision,
    variance: 1 / precision,
  };
}

/** As many groups' worth as the usual τ² counts. */
export const USUAL_WEIGHT = 2;

/** τ² of sets of sibling groups, drawn to the usual one with `usualWeight` groups. */
export function betweenVariance(
  families: readonly (readonly Belief[])[],
  usual: number,
  usualWeight = USUAL_WEIGHT,
): number {
  const telling = families.filter((family) => family.length > 1);
  const degrees = telling.reduce((sum, family) => sum + family.length - 1, 0) - 2;
  if (degrees < 1) return usual;
  return (usualWeight * usual + degrees * solved(telling, degrees)) / (usualWeight + degrees);
}

/** Where the weighted sum of squares falls to its degrees of freedom; 0 where it is below them already. */
function solved(families: readonly (readonly Belief[])[], degrees: number): number {
  const excess = (tau: number) => families.reduce((sum, family) => sum + scatter(family, tau), 0) - degrees;
  if (excess(0) <= 0) return 0;
  let high = 1e-6;
  while (excess(high) > 0) high *= 2;
  let low = 0;
  for (let step = 0; step < 100 && high - low > 1e-12 * high; step++) {
    const middle = (low + high) / 2;
    if (excess(middle) > 0) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

function scatter(family: readonly Belief[], tau: number): number {
  let weights = 0;
  let sum = 0;
  for (const { mean, variance } of family) {
    weights += 1 / (variance + tau);
    sum += mean / (variance + tau);
  }
  const mean = sum / weights;
  return family.reduce((total, one) => total + (one.mean - mean) ** 2 / (one.variance + tau), 0);
}

/** What the members of a node say of themselves, for `betweenVariance`. */
export const membersSay = (node: GroupNode, between: readonly number[]): Belief[] =>
  [...node.members.values()]
    .map((member) => upward(member, between))
    .filter((one) => one.variance < Infinity);
