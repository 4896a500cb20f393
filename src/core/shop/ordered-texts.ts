/**
 * An order line's personal text may hold several texts, as studios and their sheets write them: each on a line of its
 * own, or with a slash between blanks (common practice, no source). A slash without blanks belongs to the text. A
 * text that is left empty before others keeps its place.
 */
export function orderedTexts(personalText: string): string[] {
  const texts = personalText.split(/\r?\n|\s\/\s/).map((text) => text.trim());
  while (texts.at(-1) === "") texts.pop();
  return texts;
}

/** The text as one: without the places left empty. */
const wholeText = (personalText: string): string =>
  personalText
    .split(/\r?\n/)
    .map((text) => text.trim())
    .filter((text) => text !== "")
    .join("\n");

/** A text line of a placement's recipe as far as this needs it. */
interface TextLine {
  /** Which of the order's texts, from 1; the whole text when left out. */
  readonly text?: number | undefined;
}

/** What a placement's lettering sews of an order's text: the lines that have a text, in their order. */
export function sewnTexts<L extends TextLine, F extends TextLine>(
  lettering: L & { readonly further?: readonly F[] | undefined },
  personalText: string,
): { readonly line: L | F; readonly text: string }[] {
  const further = lettering.further ?? [];
  if (lettering.text === undefined && further.length === 0)
    return personalText.trim() === "" ? [] : [{ line: lettering, text: wholeText(personalText) }];
  const texts = orderedTexts(personalText);
  return [lettering, ...further].flatMap((line, index) => {
    const text = texts[(line.text ?? index + 1) - 1];
    return text === undefined || text === "" ? [] : [{ line, text }];
  });
}

/** The order's texts that none of a product's placements sews; none where a placement sews the whole text. */
export function unsewnTexts(
  letterings: readonly (TextLine & { readonly further?: readonly TextLine[] | undefined })[],
  personalText: string,
): string[] {
  const numbers = letterings.flatMap((lettering) => {
    const further = lettering.further ?? [];
    if (lettering.text === undefined && further.length === 0) return [Infinity];
    return [lettering, ...further].map((line, index) => line.text ?? index + 1);
  });
  if (numbers.length === 0 || numbers.includes(Infinity)) return [];
  return orderedTexts(personalText).filter((text, index) => text !== "" && !numbers.includes(index + 1));
}
