import { type RawBuilder, sql } from "kysely";

/** Plain letters with single blanks between: nothing to fold but the case, nothing to tidy. */
const plain = /^(?:[!-~]+(?: [!-~]+)*)?$/;

/** Text made comparable: case and accents off, blanks single. */
export const foldText = (text: string): string => (plain.test(text) ? text.toLowerCase() : foldWhole(text));

const foldWhole = (text: string): string =>
  text
    .normalize("NFKD")
    .replace(/[\u0300-\u036f]/g, "")
    .toLowerCase()
    .replace(/ß/g, "ss")
    .replace(/\s+/g, " ")
    .trim();

/** Names as they are kept: composed (NFC), control characters off, blanks single, ends trimmed. */
export const tidyText = (text: string): string =>
  plain.test(text)
    ? text
    : text
        .normalize("NFC")
        .replace(/[\s\p{Cc}]+/gu, " ")
        .trim();

/** Text of several lines as it is kept: each tidied, empty ones at the end dropped. */
export const tidyLines = (text: string): string =>
  text
    .split(/\r\n?|\n/)
    .map(tidyText)
    .join("\n")
    .trimEnd();

/** Words of a search as patterns for LIKE, in which the sign before `%`, `_` and itself is a backslash. */
export const searchPatterns = (words: string): string[] =>
  foldText(words)
    .split(" ")
    .filter((word) => word !== "")
    .slice(0, 8)
    .map((word) => `%${escapeLike(word)}%`);

export const escapeLike = (text: string): string => text.replace(/[\\%_]/g, "\\$&");

/** Whether a column is like a pattern of `searchPatterns`. The sign is named: the two databases do not agree on one. */
export const isLike = (column: string, pattern: string): RawBuilder<boolean> =>
  sql<boolean>`${sql.ref(column)} like ${pattern} escape '\\'`;

/** Up to so many rows that hold the words of a search are gathered and sorted; more are walked in the list's order. */
export const FEW_FOUND = 1000;
