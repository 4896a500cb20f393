import { type CostWeights, defaultCostWeights } from "#core/shop";
import { same } from "../parts/merge";

/** Three ways to weigh, each with what it means; whoever wants numbers has them beside. Points, not money. */
export const priorities: readonly {
  readonly key: string;
  readonly words: string;
  readonly meaning: string;
  readonly weights: CostWeights;
}[] = [
  {
    key: "usual",
    words: "On time, then little threading",
    meaning:
      "Usual. Promises come first, threads are left on needles where that costs no promise, then an early finish.",
    weights: defaultCostWeights,
  },
  {
    key: "hands",
    words: "Spare the hands",
    meaning:
      "Fewer threadings and stops, even where a piece ends a few minutes late. For days with one person.",
    weights: { perLateMinute: 1, perThreading: 6, perMidStop: 12, perFinishMinute: 0.25 },
  },
  {
    key: "early",
    words: "Finish early",
    meaning: "Promises first, then home as soon as may be, even with more threading.",
    weights: { perLateMinute: 4, perThreading: 0.5, perMidStop: 1, perFinishMinute: 3 },
  },
];

/** The way these weights are, or null for numbers of one's own. */
export const priorityOf = (weights: CostWeights): string | null =>
  priorities.find((one) => same(one.weights, weights))?.key ?? null;
