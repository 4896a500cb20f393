/**
 * Where to start again on a piece that stopped: the stitch nearest to the touched last good one, a little back along the
 * thread's path, with a tie-in. Never across a jump or a colour stop, and never inside a tie: a start there would leave
 * the new thread without hold or pull the old one out.
 */
import { SEWN, type SewnRecords, STOPPED } from "./design-points";
import type { PointMm } from "./points";
import { refusePlacing } from "./refusals";

/** A stitch that may be the touched one. Records count from 0, stitches (penetrations) from 1. */
export interface StitchAt {
  readonly record: number;
  readonly stitch: number;
  /** Colour part, from 0. */
  readonly part: number;
  readonly offMm: number;
}

/** Stitches this much farther than the nearest may be meant as well, mm. */
const MEANT_MM = 1;
/** Stitches within so many records of each other are one passage of the needle. */
const ONE_PASSAGE = 40;

/**
 * The passages of the needle by a touched place (mm from the design's start), the last sewn first: where layers cross,
 * the upper one is what a person sees. More than one means: ask. Records from `upTo` on have not been sewn.
 * @throws Refusal placing-stitch-unknown when nothing has been sewn.
 */
export function stitchesAt(design: SewnRecords, touched: PointMm, upTo: number): StitchAt[] {
  const all = sewnStitches(design, upTo, touched);
  if (all.length === 0)
    throw refusePlacing("placing-stitch-unknown", "Nothing of this design has been sewn.");
  const nearest = all.reduce((least, one) => Math.min(least, one.offMm), Infinity);
  const passages: StitchAt[] = [];
  let last = -Infinity;
  for (const one of all.filter(({ offMm }) => offMm <= nearest + MEANT_MM)) {
    const previous = passages.at(-1);
    if (previous === undefined || one.record - last > ONE_PASSAGE || one.part !== previous.part)
      passages.push(one);
    else if (one.offMm < previous.offMm) passages[passages.length - 1] = one;
    last = one.record;
  }
  return passages.reverse();
}

function sewnStitches({ kind, x, y }: SewnRecords, upTo: number, touched: PointMm): StitchAt[] {
  const all: StitchAt[] = [];
  let part = 0;
  for (let record = 0; record < Math.min(upTo, kind.length); record++) {
    if (kind[record] === STOPPED) part++;
    if (kind[record] !== SEWN) continue;
    const offMm = Math.hypot(x[record]! / 10 - touched.xMm, y[record]! / 10 - touched.yMm);
    all.push({ record, stitch: all.length + 1, part, offMm });
  }
  return all;
}

export interface RestartPoint {
  /** The first record of the file that is sewn again; everything before it is left out. */
  readonly record: number;
  /** Its stitch number from 1, as the machine counts. */
  readonly stitch: number;
  readonly part: number;
  /** How far back along the path from the last good stitch, mm. */
  readonly backMm: number;
  /** Short stitches that hold the new thread, tenths of mm from the design's start, sewn before `record`. */
  readonly tieIn: readonly { readonly xTenths: number; readonly yTenths: number }[];
  /** What remains to sew: part by part, the first of them from `record` on. */
  readonly remaining: readonly { readonly part: number; readonly stitches: number }[];
}

/** A stitch as short as a tie's, tenths of mm. */
const TIE_TENTHS = 8;
/** Longest stitch of the tie-in, tenths of mm (common practice, no source). */
const TIE_IN_TENTHS = 7;

/**
 * The place to start again, `backMm` along the path before the last good stitch (from 1).
 * @throws Refusal placing-stitch-unknown when there is no such stitch.
 */
export function restartBefore(
  design: SewnRecords,
  asked: { readonly stitch: number; readonly backMm: number },
): RestartPoint {
  const good = recordOf(design, asked.stitch);
  let record = good;
  let back = 0;
  while (back < asked.backMm && record > 0 && design.kind[record - 1] === SEWN)
    back += lengthAt(design, record--);
  // Out of a tie: to the line's beginning, where the tie stands in the file and is sewn again whole.
  const tied = beforeTie(design, record);
  for (; record > tied; record--) back += lengthAt(design, record);
  return {
    record,
    stitch: asked.stitch - stitchesBetween(design, record, good),
    part: partAt(design, record),
    backMm: back,
    tieIn: tieInAt(design, record),
    remaining: remainingFrom(design, record),
  };
}

function recordOf({ kind }: SewnRecords, stitch: number): number {
  let seen = 0;
  for (let i = 0; i < kind.length; i++) if (kind[i] === SEWN && ++seen === stitch) return i;
  throw refusePlacing("placing-stitch-unknown", `There is no stitch ${stitch}; the design has ${seen}.`, [
    { field: "stitch", found: String(stitch), expected: `1 to ${seen}` },
  ]);
}

const lengthAt = ({ x, y }: SewnRecords, record: number): number =>
  record === 0 ? 0 : Math.hypot(x[record]! - x[record - 1]!, y[record]! - y[record - 1]!) / 10;

const stitchesBetween = ({ kind }: SewnRecords, from: number, to: number): number => {
  let count = 0;
  for (let i = from; i < to; i++) if (kind[i] === SEWN) count++;
  return count;
};

const partAt = ({ kind }: SewnRecords, record: number): number => {
  let part = 0;
  for (let i = 0; i < record; i++) if (kind[i] === STOPPED) part++;
  return part;
};

/** Where to go back to from a record inside a tie: the line's first stitch, or the first before the run of short ones. */
function beforeTie(design: SewnRecords, record: number): number {
  const short = (at: number) => design.kind[at] === SEWN && lengthAt(design, at) * 10 <= TIE_TENTHS;
  const inTie = short(record) && ((record > 0 && short(record - 1)) || short(record + 1));
  if (!inTie) return record;
  let at = record;
  while (at > 0 && short(at) && design.kind[at - 1] === SEWN) at--;
  return at;
}

/** Two short stitches to and fro on the first stitch's line; none where the file's own tie-in stands there. */
function tieInAt(design: SewnRecords, record: number): RestartPoint["tieIn"] {
  const { kind, x, y } = design;
  const short = (at: number) => kind[at] === SEWN && lengthAt(design, at) * 10 <= TIE_TENTHS;
  if (short(record + 1) && short(record + 2)) return [];
  for (let i = record + 1; i < kind.length && kind[i] === SEWN; i++) {
    const [dx, dy] = [x[i]! - x[record]!, y[i]! - y[record]!];
    const length = Math.hypot(dx, dy);
    if (length < 4) continue;
    const share = Math.min(1, TIE_IN_TENTHS / length);
    const there = {
      xTenths: Math.round(x[record]! + dx * share),
      yTenths: Math.round(y[record]! + dy * share),
    };
    const here = { xTenths: x[record]!, yTenths: y[record]! };
    return [here, there, here, there];
  }
  return [];
}

function remainingFrom(
  { kind }: SewnRecords,
  record: number,
): { readonly part: number; readonly stitches: number }[] {
  const counts = new Map<number, number>();
  let part = 0;
  for (let i = 0; i < kind.length; i++) {
    if (kind[i] === STOPPED) part++;
    else if (kind[i] === SEWN && i >= record) counts.set(part, (counts.get(part) ?? 0) + 1);
  }
  return [...counts].map(([at, stitches]) => ({ part: at, stitches }));
}

/** The needles still wanted, in the order of the parts that remain: part → needle of the whole design's needle map. */
export const remainingNeedles = (
  { remaining }: Pick<RestartPoint, "remaining">,
  needleOfPart: readonly number[],
): { readonly part: number; readonly needle: number | null }[] =>
  remaining.map(({ part }) => ({ part, needle: needleOfPart[part] ?? null }));
