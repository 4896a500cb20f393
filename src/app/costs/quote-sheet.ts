import type { Bytes, costs } from "#contract";
import { quotePdf } from "../paper/quote";
import type { PaperName } from "../paper/sheet";
import { refuseCosts } from "./refusals";

/** A quote as it goes out: its prices, its day and who it is from. Kept as it is once it was sent. */
export interface QuoteGoing {
  readonly atMs: number;
  /** YYYY-MM-DD in the studio's zone. */
  readonly day: string;
  readonly studioName: string;
  readonly worked: costs.QuoteWorked;
}

/** The sheet; the same quote gives the same bytes. `number` is null for one that is not kept. */
export async function quoteSheetOf(
  asked: costs.QuoteAsked,
  going: QuoteGoing,
  { number, paper }: { readonly number: number | null; readonly paper: PaperName },
): Promise<Bytes> {
  const { atMs: nowMs, day, studioName, worked } = going;
  const bytes = await quotePdf({ asked, number, worked, day, studioName, paper, nowMs });
  const said = fileWord(asked.reference || asked.customer);
  const words = ["quote", number === null ? "" : `${number}`, said || (number === null ? day : "")];
  return { bytes, mediaType: "application/pdf", saveAs: `${words.filter(Boolean).join("-")}.pdf` };
}

const fileWord = (text: string): string =>
  text
    .normalize("NFD")
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, "-")
    .replace(/^-+|-+$/g, "")
    .slice(0, 60);

/** Refuses a quote whose day has passed, and one with a line without a price: such a sheet goes to nobody. */
export function refuseUnsendable(asked: costs.QuoteAsked, worked: costs.QuoteWorked, today: string): void {
  refuseOver(asked, today);
  refuseIncomplete(asked, worked);
}

function refuseOver({ validUntil }: costs.QuoteAsked, today: string): void {
  if (validUntil < today)
    throw refuseCosts("quote-over", `The quote would hold until ${validUntil}; today is ${today}.`, [
      { field: "validUntil", found: validUntil, expected: `${today} or later` },
    ]);
}

/** A price goes out only where it was worked out from all figures, or a person typed it. */
function refuseIncomplete(asked: costs.QuoteAsked, worked: costs.QuoteWorked): void {
  const bare = worked.lines.flatMap((line, at) =>
    asked.lines[at]!.priceCents === null && line.suggestedCents === null ? [{ line, at }] : [],
  );
  const [first] = bare;
  if (first)
    throw refuseCosts(
      "quote-incomplete",
      `${first.line.name} has no price. Missing: ${fewOf(first.line.missing.map((one) => one.what))}.`,
      bare.map(({ at, line }) => ({
        field: `lines.${at}.priceCents`,
        found: "no price",
        expected: line.missing[0]?.what ?? "a price",
      })),
    );
}

/** So many missing figures are named; the others are counted. */
const NAMED = 3;
const fewOf = (words: readonly string[]): string =>
  words.length <= NAMED
    ? words.join("; ")
    : `${words.slice(0, NAMED).join("; ")} and ${words.length - NAMED} more`;
