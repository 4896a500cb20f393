/**
 * What one piece costs, line by line. Each line keeps the numbers it was worked out from, so that a person can open
 * it; the lines are whole cents and add up to the total, which is the exact total rounded once.
 */
import { invariant } from "#core/base";
import { sharedCents } from "./shares";
import { type Allowance, standardTime } from "./standard-time";

/** Where a figure comes from, told beside it. */
export type Known =
  | { readonly by: "measured"; readonly count: number }
  | { readonly by: "entered" }
  | { readonly by: "common-practice" }
  | { readonly by: "guessed" };

export type CostKind =
  | "blank"
  | "cloth"
  | "thread"
  | "bobbin"
  | "backing"
  | "topping"
  | "packing"
  | "machine"
  | "hands"
  | "spoilage"
  | "overhead";

/** Something used: so much of it, at cents for each. */
export interface Used {
  readonly kind: CostKind;
  /** "navy hand towel", "ten-needle machine", "hooping". */
  readonly what: string;
  readonly amount: number;
  readonly unit: "piece" | "m" | "cm²" | "h";
  readonly centsPerUnit: number;
  readonly known: Known;
  /** How amount and price came about, in words. */
  readonly note?: string;
}

/** A person's work at the piece, before the allowance. */
export interface Work {
  readonly what: string;
  readonly seconds: number;
  readonly known: Known;
  readonly note?: string;
}

export type OverheadKey = "per-piece" | "per-machine-hour" | "per-hand-hour" | "share-of-cost";

export interface PieceCostAsked {
  readonly used: readonly Used[];
  readonly work: readonly Work[];
  readonly wageCentsPerHour: number;
  readonly allowance: Allowance;
  /** Share of pieces that are spoiled and made again, 0 to below 1. */
  readonly spoiledShare: number;
  readonly spoiledKnown: Known;
  /** Rent, insurance, the program on the wall: by a stated key, cents for each unit (or a share for `share-of-cost`). */
  readonly overhead: { readonly key: OverheadKey; readonly rate: number; readonly known?: Known } | null;
}

export interface CostLine {
  readonly kind: CostKind;
  readonly what: string;
  /** Whole cents. */
  readonly cents: number;
  /** Cents before rounding: amount × rate. */
  readonly exactCents: number;
  readonly amount: number;
  readonly unit: "piece" | "m" | "cm²" | "h" | "share";
  readonly rate: number;
  readonly known: Known;
  /** How amount and rate came about, in words; may be empty. */
  readonly note: string;
}

export interface PieceCost {
  readonly lines: readonly CostLine[];
  readonly totalCents: number;
}

type Unrounded = Omit<CostLine, "cents">;

export function pieceCost(asked: PieceCostAsked): PieceCost {
  invariant(asked.spoiledShare >= 0 && asked.spoiledShare < 1, "the spoiled share is from 0 to below 1");
  const direct = [...asked.used.map(usedLine), ...asked.work.map((work) => workLine(work, asked))];
  const spoilage = spoilageLine(direct, asked);
  const overhead = overheadLine(direct, spoilage, asked);
  return inWholeCents([...direct, ...[spoilage, overhead].filter((line) => line !== null)]);
}

const usedLine = ({ kind, what, amount, unit, centsPerUnit, known, note = "" }: Used): Unrounded => ({
  kind,
  what,
  exactCents: amount * centsPerUnit,
  amount,
  unit,
  rate: centsPerUnit,
  known,
  note,
});

function workLine(
  { what, seconds, known, note = "" }: Work,
  { allowance, wageCentsPerHour }: PieceCostAsked,
): Unrounded {
  const hours = standardTime(seconds, allowance) / 3600;
  return {
    kind: "hands",
    what,
    exactCents: hours * wageCentsPerHour,
    amount: hours,
    unit: "h",
    rate: wageCentsPerHour,
    known,
    note,
  };
}

/** A piece that goes out right needs 1 / (1 − share) pieces begun: what the others cost is this line. */
function spoilageLine(
  direct: readonly Unrounded[],
  { spoiledShare, spoiledKnown }: PieceCostAsked,
): Unrounded | null {
  if (spoiledShare === 0) return null;
  const remade = spoiledShare / (1 - spoiledShare);
  const cost = sumOf(direct);
  return {
    kind: "spoilage",
    what: "spoiled and made again",
    exactCents: remade * cost,
    amount: remade,
    unit: "share",
    rate: cost,
    known: spoiledKnown,
    note: `Of a hundred pieces ${Math.round(1000 * spoiledShare) / 10} are spoiled and made again.`,
  };
}

const overheadWords: Readonly<Record<OverheadKey, string>> = {
  "per-piece": "So much for each piece.",
  "per-machine-hour": "So much for each hour of the machines.",
  "per-hand-hour": "So much for each hour of the hands.",
  "share-of-cost": "A share of all that stands above.",
};

function overheadLine(
  direct: readonly Unrounded[],
  spoilage: Unrounded | null,
  { overhead }: PieceCostAsked,
): Unrounded | null {
  if (overhead === null || overhead.rate === 0) return null;
  const cost = sumOf(direct) + (spoilage?.exactCents ?? 0);
  const hours = (kind: CostKind) =>
    direct.filter((line) => line.kind === kind).reduce((sum, line) => sum + line.amount, 0);
  const base = {
    "per-piece": { amount: 1, unit: "piece" },
    "per-machine-hour": { amount: hours("machine"), unit: "h" },
    "per-hand-hour": { amount: hours("hands"), unit: "h" },
    "share-of-cost": { amount: overhead.rate, unit: "share" },
  } as const satisfies Record<OverheadKey, { amount: number; unit: CostLine["unit"] }>;
  const { amount, unit } = base[overhead.key];
  const rate = overhead.key === "share-of-cost" ? cost : overhead.rate;
  return {
    kind: "overhead",
    what: "overhead",
    exactCents: amount * rate,
    amount,
    unit,
    rate,
    known: overhead.known ?? { by: "entered" },
    note: overheadWords[overhead.key],
  };
}

const sumOf = (lines: readonly Unrounded[]): number =>
  lines.reduce((sum, { exactCents }) => sum + exactCents, 0);

function inWholeCents(lines: readonly Unrounded[]): PieceCost {
  const totalCents = Math.round(sumOf(lines));
  const cents = sharedCents(
    totalCents,
    lines.map(({ exactCents }) => exactCents),
  );
  return { lines: lines.map((line, at) => ({ ...line, cents: cents[at]! })), totalCents };
}
