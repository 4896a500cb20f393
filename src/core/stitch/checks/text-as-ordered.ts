import type { DesignCheck } from "./check";

const letters = new Intl.Segmenter("und", { granularity: "grapheme" });
const split = (text: string): string[] =>
  [...letters.segment(text.normalize("NFC"))].map(({ segment }) => segment);

/** What the needle writes against what the customer wrote, letter by letter (Unicode NFC, grapheme clusters of UAX 29). */
export const textAsOrdered: DesignCheck = ({ context: { text } }) => {
  if (text === undefined) return [];
  const sewn = split(text.sewn);
  const ordered = split(text.ordered.trim());
  if (sewn.join("") === ordered.join("")) return [];
  let at = 0;
  while (at < sewn.length && sewn[at] === ordered[at]) at++;
  const told = (letter: string | undefined): string =>
    letter === undefined ? "nothing" : letter.trim() === "" ? "a blank" : `“${letter}”`;
  const folded = (one: readonly string[]): string =>
    one.join("").toLocaleLowerCase("und").replace(/\s+/g, "");
  const slight = folded(sewn) === folded(ordered);
  return [
    {
      code: "text-not-as-ordered",
      level: "stop",
      message: `The design says “${text.sewn}”, the order “${text.ordered}”: letter ${at + 1} is ${told(sewn[at])}, not ${told(ordered[at])}.`,
      advice: slight
        ? "Only capitals or blanks differ; ask the customer, or have it made as ordered."
        : "Have it made as ordered, or correct the order.",
    },
  ];
};
