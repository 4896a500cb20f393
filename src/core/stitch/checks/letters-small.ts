import { CLOTHS } from "../cloth";
import { countOf, type DesignCheck } from "./check";

/** TRADE.md: finer thread sews letters about 2 mm lower (common practice, no source). */
const FINE_THREAD_MM = 2;

/** Letters lower than the cloth lets them be read. */
export const lettersSmall: DesignCheck = ({ context }) => {
  if (context.letters === undefined) return [];
  const fine = context.threadWeight === 60;
  const smallest = CLOTHS[context.cloth ?? "woven"].smallestLetterMm - (fine ? FINE_THREAD_MM : 0);
  const small = context.letters.filter(({ heightMm }) => heightMm < smallest);
  if (small.length === 0) return [];
  const least = small.reduce((a, b) => (b.heightMm < a.heightMm ? b : a));
  return [
    {
      code: "letters-too-small",
      level: "warning",
      message: `${countOf(small.length, "line")} of letters ${small.length === 1 ? "is" : "are"} lower than ${smallest} mm (“${least.text}”, ${least.heightMm.toFixed(1)} mm); on ${context.cloth ?? "woven"} cloth they close up.`,
      advice: fine
        ? `Have it made ${smallest} mm high or higher.`
        : `Have it made ${smallest} mm high or higher, or take 60 weight thread and a 65/9 needle.`,
    },
  ];
};
