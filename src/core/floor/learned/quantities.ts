/**
 * What is learned from the floor, what each quantity depends on, and how it usually scatters. The scatter figures are
 * common practice, no source: they only matter while little is measured, and are overtaken by the shop's own.
 */

/** What an observation was made on; null where it does not matter or is not known. */
export interface LearnedKey {
  readonly machineId: string | null;
  readonly hoopId: string | null;
  readonly productId: string | null;
  readonly threadId: string | null;
}

export type LearnedQuantity = "hooping" | "threading" | "loading" | "sewing-speed" | "finishing";

export interface QuantityKind {
  /** As a sentence begins with it. */
  readonly name: string;
  readonly unit: "s" | "stitches/min";
  /** From the general to the particular: what is known of the first is believed of the second. */
  readonly levels: readonly (keyof LearnedKey)[];
  /** Standard deviation of the logarithm of single values. */
  readonly usualSpread: number;
  /** Of a shop about the usual value, then of each level about the one before it; standard deviation of the logarithm. */
  readonly usualBetween: readonly number[];
}

export const quantityKinds: Readonly<Record<LearnedQuantity, QuantityKind>> = {
  hooping: {
    name: "Hooping",
    unit: "s",
    levels: ["hoopId", "productId"],
    usualSpread: 0.25,
    usualBetween: [0.35, 0.2, 0.15],
  },
  threading: {
    name: "Threading a needle",
    unit: "s",
    levels: ["machineId", "threadId"],
    usualSpread: 0.3,
    usualBetween: [0.35, 0.15, 0.1],
  },
  loading: {
    name: "Loading",
    unit: "s",
    levels: ["machineId", "productId"],
    usualSpread: 0.3,
    usualBetween: [0.35, 0.15, 0.15],
  },
  "sewing-speed": {
    name: "Sewing speed",
    unit: "stitches/min",
    levels: ["machineId", "productId"],
    usualSpread: 0.08,
    usualBetween: [0.2, 0.1, 0.1],
  },
  finishing: {
    name: "Finishing",
    unit: "s",
    levels: ["productId"],
    usualSpread: 0.3,
    usualBetween: [0.35, 0.25],
  },
};

/** How a level is called in a sentence. */
export const levelWords: Readonly<Record<keyof LearnedKey, string>> = {
  machineId: "this machine",
  hoopId: "this hoop",
  productId: "this product",
  threadId: "this thread",
};
