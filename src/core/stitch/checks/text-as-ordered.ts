import type { Finding } from "#core/base";
import type { DesignCheck } from "./check";

const letters = new Intl.Segmenter("und", { granularity: "grapheme" });
const split = (text: string): string[] =>
  [...letters.segment(text.normalize("NFC"))].map(({ segment }) => segment);

/** What the needle writes against what the customer wrote, letter by letter (Unicode NFC, grapheme clusters of UAX 29). */
export const textAsOrdered: DesignCheck = ({ context: { texts } }) => {
  const found = texts ? differenceOfTexts(texts.sewn, texts.ordered) : null;
  return found ? [found] : [];
};

/**
 * The first text of an order that a design does not sew letter by letter, against the one of its texts that comes
 * nearest. Null where all are there, and where the design's texts are not known.
 */
export function differenceOfTexts(sewn: readonly string[], ordered: readonly string[]): Finding | null {
  if (sewn.length === 0) return null;
  const there = sewn.map((text) => split(text.trim()).join(""));
  const wanted = ordered.find((text) => !there.includes(split(text.trim()).join("")));
  if (wanted === undefined) return null;
  // Texts that are as ordered are no misspelling of another.
  const left = sewn.filter(
    (_, index) => !ordered.some((text) => split(text.trim()).join("") === there[index]),
  );
  const nearest = (left.length > 0 ? left : sewn).reduce((a, b) =>
    stepsBetween(split(b), split(wanted)) < stepsBetween(split(a), split(wanted)) ? b : a,
  );
  return spelling(nearest, wanted);
}

function spelling(text: string, order: string): Finding {
  const sewn = split(text.trim());
  const ordered = split(order.trim());
  let at = 0;
  while (at < sewn.length && sewn[at] === ordered[at]) at++;
  const told = (letter: string | undefined): string =>
    letter === undefined ? "nothing" : letter.trim() === "" ? "a blank" : `“${letter}”`;
  const folded = (one: readonly string[]): string =>
    one.join("").toLocaleLowerCase("und").replace(/\s+/g, "");
  return {
    code: "text-not-as-ordered",
    level: "stop",
    message: `The design says “${text}”, the order “${order}”: letter ${at + 1} is ${told(sewn[at])}, not ${told(ordered[at])}.`,
    advice:
      folded(sewn) === folded(ordered)
        ? "Only capitals or blanks differ; ask the customer, or have it made as ordered."
        : "Have it made as ordered, or correct the order.",
  };
}

/** Letters to put in, take out or change from one to the other (V. I. Levenshtein, 1966). */
function stepsBetween(a: readonly string[], b: readonly string[]): number {
  let row = b.map((_, j) => j + 1);
  a.forEach((letter, i) => {
    let corner = i;
    let left = i + 1;
    row = row.map((above, j) => {
      left = Math.min(above + 1, left + 1, corner + (letter === b[j] ? 0 : 1));
      corner = above;
      return left;
    });
  });
  return row.at(-1) ?? a.length;
}
