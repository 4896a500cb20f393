import { densityGrid, type DensityGrid } from "#drawing";
import type { Known, NeedleAt } from "./messages";
import { partAt, stitchesFromBytes, type StitchesDrawn } from "./stitches";

/** Fetches and decodes a version's stitches; the error's words are fit for people. */
export async function fetchStitches(address: string): Promise<StitchesDrawn> {
  let response: Response;
  try {
    response = await fetch(address);
  } catch {
    throw new Error("The stitches could not be fetched: the program does not answer.");
  }
  if (!response.ok) {
    const problem = (await response.json().catch(() => null)) as { detail?: string } | null;
    throw new Error(
      problem?.detail ?? `The stitches could not be fetched: the program answered with ${response.status}.`,
    );
  }
  return stitchesFromBytes(await response.arrayBuffer());
}

export function knownOf(stitches: StitchesDrawn): Known {
  const [left, bottom, right, top] = stitches.bounds;
  return {
    count: stitches.count,
    boundsMm: [left / 10, bottom / 10, right / 10, top / 10],
    partStarts: stitches.partStarts,
    kinds: stitches.kinds.slice(),
  };
}

/** Where the needle goes in most often. */
export const densityOf = ({ kinds, xTenths, yTenths }: StitchesDrawn): DensityGrid =>
  densityGrid({ kind: kinds, x: xTenths, y: yTenths });

/** The needle after `index` records have been sewn. */
export function needleAt(stitches: StitchesDrawn, index: number): NeedleAt {
  const last = Math.min(Math.max(index, 1), stitches.count) - 1;
  if (last < 0) return { index: 0, xMm: 0, yMm: 0, part: 0 };
  return {
    index,
    xMm: stitches.xTenths[last]! / 10,
    yMm: stitches.yTenths[last]! / 10,
    part: partAt(stitches, last),
  };
}
