/** What one part's stitches use up. Lengths come from the stitch path; the model is docs/models/stitches.md. */
export interface ConsumptionInput {
  /** The sum of stitch lengths in mm. */
  readonly pathMm: number;
  readonly stitches: number;
  /** Times the thread starts and ends: at each trim and at the part's ends. */
  readonly ends: number;
}

/** A shop's own values; the defaults are common practice, no source. */
export interface ConsumptionModel {
  /** Thread taken down into the goods and back for each penetration: about the thickness of cloth and backing. */
  readonly depthMm: number;
  /** Tail left at a start and at a cut, together. */
  readonly tailMm: number;
  /** Bobbin thread as a share of the top thread: a third to a half (TRADE.md). */
  readonly bobbinShare: number;
}

export const CONSUMPTION_DEFAULTS: ConsumptionModel = { depthMm: 1.0, tailMm: 40, bobbinShare: 0.4 };

/** Metres of top and bobbin thread. 1,000 stitches of 3 to 5 mm come to 4 to 6 m of top thread, as TRADE.md says. */
export function threadConsumption(
  input: ConsumptionInput,
  model: ConsumptionModel = CONSUMPTION_DEFAULTS,
): { readonly topM: number; readonly bobbinM: number } {
  const sewnMm = input.pathMm + input.stitches * model.depthMm;
  return { topM: (sewnMm + input.ends * model.tailMm) / 1000, bobbinM: (sewnMm * model.bobbinShare) / 1000 };
}
