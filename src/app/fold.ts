/** Text made comparable: case and accents off, blanks single. */
export const foldText = (text: string): string =>
  text
    .normalize("NFKD")
    .replace(/[\u0300-\u036f]/g, "")
    .toLowerCase()
    .replace(/ß/g, "ss")
    .replace(/\s+/g, " ")
    .trim();

/** Names as they are kept: composed (NFC), control characters off, blanks single, ends trimmed. */
export const tidyText = (text: string): string =>
  text
    .normalize("NFC")
    .replace(/[\s\p{Cc}]+/gu, " ")
    .trim();

/**
 * Words of a search as patterns for LIKE. What LIKE would take for wildcards stands for any one letter: the two
 * databases do not agree on an escape sign, and finding a little more hurts nobody.
 */
export const searchPatterns = (words: string): string[] =>
  foldText(words)
    .split(" ")
    .filter((word) => word !== "")
    .slice(0, 8)
    .map((word) => `%${word.replace(/[\\%_]/g, "_")}%`);
