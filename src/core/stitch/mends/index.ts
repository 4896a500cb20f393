/**
 * Mends of finished stitches: what checks found put right where that can be done without making the design anew. Each
 * mend is one file; applied together they go in the order of the list, which is the order in which one makes work
 * for the next (fewer stops need cuts, cuts need ties).
 */
import type { Finding } from "#core/base";
import { type CheckContext, checkDesign } from "../checks";
import type { Stitches } from "../stitches";
import { addTies } from "./add-ties";
import { centreStart } from "./centre-start";
import { fewerStops } from "./fewer-stops";
import { type DesignMend, mendInput } from "./mend";
import { mergeShort } from "./merge-short";
import { splitLong } from "./split-long";
import { thinDense } from "./thin-dense";
import { dropTrims, insertTrims } from "./trims";

export const DESIGN_MENDS: readonly DesignMend[] = [
  fewerStops,
  mergeShort,
  splitLong,
  thinDense,
  dropTrims,
  insertTrims,
  addTies,
  centreStart,
];

/** The mends for a finding, in the order they would be tried; none where a person must decide or the design be made anew. */
export const mendsFor = (findingCode: string): readonly DesignMend[] =>
  DESIGN_MENDS.filter(({ mends }) => mends.includes(findingCode));

export interface MendedDesign {
  readonly design: Stitches;
  /** What each mend asked for did, in the order they were done. */
  readonly done: readonly { readonly code: string; readonly changed: number; readonly says: string }[];
  /** For each part of the result the part whose thread it is sewn with. */
  readonly partsFrom: readonly number[];
  /** Findings of the checks that are gone, that are left, and that are new. */
  readonly gone: readonly Finding[];
  readonly left: readonly Finding[];
  readonly come: readonly Finding[];
}

/** Does the mends whose codes are given, in the list's order, and tells what became of the findings. */
export function mendDesign(
  design: Stitches,
  codes: readonly string[],
  context: CheckContext = {},
): MendedDesign {
  let now = design;
  let partThreads = context.partThreads;
  let partsFrom: readonly number[] | null = null;
  const done: { code: string; changed: number; says: string }[] = [];
  for (const mend of DESIGN_MENDS) {
    if (!codes.includes(mend.code)) continue;
    const mended = mend.mend(mendInput(now, { ...context, partThreads }));
    now = mended.design;
    done.push({ code: mend.code, changed: mended.changed, says: mended.says });
    if (mended.partsFrom !== undefined) {
      const from: readonly number[] = mended.partsFrom;
      partsFrom = partsFrom === null ? from : from.map((part) => partsFrom![part]!);
      partThreads = from.map((part) => partThreads?.[part] ?? null);
    }
  }
  const before = checkDesign(design, context);
  const after = checkDesign(now, { ...context, partThreads });
  const codesBefore = new Set(before.map(({ code }) => code));
  const codesAfter = new Set(after.map(({ code }) => code));
  const parts = now.kind.reduce((sum, kind) => sum + (kind === 2 ? 1 : 0), 1);
  return {
    design: now,
    done,
    partsFrom: partsFrom ?? Array.from({ length: parts }, (_, part) => part),
    gone: before.filter(({ code }) => !codesAfter.has(code)),
    left: after.filter(({ code }) => codesBefore.has(code)),
    come: after.filter(({ code }) => !codesBefore.has(code)),
  };
}
