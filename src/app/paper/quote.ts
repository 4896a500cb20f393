import type { costs } from "#contract";
import { minorDigits } from "#core/base";
import { drawRule, openList } from "./list-page";
import { ink, mm, type PaperName, type Sheet } from "./sheet";
import { longDay } from "./wording";

/** A quote: what is offered, at which price for how many, until when. */
export interface QuoteSheetAsked {
  readonly asked: costs.QuoteAsked;
  /** The studio's own; null for one that is not kept. */
  readonly number: number | null;
  readonly worked: costs.QuoteWorked;
  /** YYYY-MM-DD in the studio's zone. */
  readonly day: string;
  readonly studioName: string;
  readonly paper: PaperName;
  readonly nowMs: number;
}

/** Amounts as the currency's code and its own decimals: "EUR 1,234.50", "JPY 1,200". */
function moneyText(cents: number, currency: string): string {
  const digits = minorDigits(currency);
  const amount = (cents / 10 ** digits).toLocaleString("en", {
    minimumFractionDigits: digits,
    maximumFractionDigits: digits,
  });
  return `${currency} ${amount}`;
}

interface Page {
  readonly sheet: Sheet;
  readonly margin: number;
  readonly width: number;
  readonly bottom: number;
  /** Begins a page; gives where its rows begin. */
  readonly open: () => number;
}

export async function quotePdf(about: QuoteSheetAsked): Promise<Uint8Array> {
  const sheet = openList(about, "Quote");
  const page = quotePage(sheet, about);
  let y = drawHead(page, about, page.open());
  for (const line of about.worked.lines) {
    const height = rowHeight(page, line);
    if (y + height > page.bottom) y = drawColumns(page, page.open());
    drawLine(page, line, about.worked.currency, y);
    y += height;
  }
  const footHeight = mm(62) + noteHeight(page, about.asked.note);
  if (y + footHeight > page.bottom + mm(8)) y = page.open();
  drawFoot(page, about, y);
  return sheet.done();
}

function quotePage(sheet: Sheet, { studioName, day, asked, number }: QuoteSheetAsked): Page {
  const margin = mm(18);
  const width = sheet.widthPt - 2 * margin;
  let pages = 0;
  return {
    sheet,
    margin,
    width,
    bottom: sheet.heightPt - mm(22),
    open: () => {
      sheet.addPage();
      pages += 1;
      const right = { x: margin + width * 0.6, width: width * 0.4, align: "right" } as const;
      sheet.write(studioName, {
        x: margin,
        y: margin,
        width: width * 0.58,
        size: 22,
        least: 12,
        weight: "bold",
      });
      sheet.write(`Quote${number === null ? "" : ` ${number}`}${pages > 1 ? ", continued" : ""}`, {
        ...right,
        y: margin + 1,
        size: 15,
        weight: "semibold",
      });
      sheet.write(asked.reference, { ...right, y: margin + 21, size: 10, least: 8, colour: ink.second });
      sheet.write(longDay(day), {
        x: margin,
        y: margin + 29,
        width: width * 0.6,
        size: 10,
        colour: ink.second,
      });
      return margin + mm(20);
    },
  };
}

function drawHead(page: Page, { asked }: QuoteSheetAsked, from: number): number {
  const { sheet, margin, width } = page;
  let y = from;
  if (asked.customer !== "") {
    sheet.write("for", { x: margin, y, width, size: 9, colour: ink.second });
    sheet.write(asked.customer, { x: margin, y: y + 12, width, size: 14, least: 9, weight: "semibold" });
    y += mm(13);
  }
  sheet.write(`This quote holds until ${longDay(asked.validUntil)}.`, {
    x: margin,
    y,
    width,
    size: 11,
    weight: "semibold",
  });
  y += mm(6);
  if (asked.isRush) {
    sheet.write("Prices are for work pulled forward.", { x: margin, y, width, size: 10, colour: ink.second });
    y += mm(6);
  }
  return drawColumns(page, y + mm(4));
}

const columns = (width: number) => ({
  what: { x: 0, width: width - mm(86) },
  quantity: { x: width - mm(84), width: mm(20) },
  each: { x: width - mm(62), width: mm(30) },
  sum: { x: width - mm(30), width: mm(30) },
});

function drawColumns({ sheet, margin, width }: Page, y: number): number {
  const at = columns(width);
  const words = { y, size: 9, colour: ink.second } as const;
  sheet.write("what", { ...words, x: margin, width: at.what.width });
  for (const [label, { x, width: own }] of [
    ["pieces", at.quantity],
    ["each", at.each],
    ["together", at.sum],
  ] as const)
    sheet.write(label, { ...words, x: margin + x, width: own, align: "right" });
  return y + mm(5);
}

type Line = costs.QuoteWorked["lines"][number];

const tierText = (line: Line, currency: string): string =>
  line.tiers.length < 2
    ? ""
    : `Each, by quantity: ${line.tiers.map((tier) => `from ${tier.from}: ${moneyText(tier.eachCents, currency)}`).join("  ·  ")}`;

function rowHeight(page: Page, line: Line): number {
  const tiers = tierText(line, "EUR");
  const room = page.width * 0.95;
  const lines = tiers === "" ? 0 : Math.ceil(page.sheet.measure(tiers, 9) / room);
  return mm(9) + (line.what === "" ? 0 : mm(5)) + lines * 11 + (lines > 0 ? mm(1.5) : 0);
}

function drawLine({ sheet, margin, width }: Page, line: Line, currency: string, from: number): void {
  drawRule(sheet, { x: margin, y: from, width });
  const at = columns(width);
  const y = from + mm(2);
  sheet.write(line.name, { x: margin, y, width: at.what.width, size: 12, least: 8, weight: "semibold" });
  const right = { y, size: 12, least: 8, align: "right" } as const;
  sheet.write(line.quantity.toLocaleString("en"), {
    ...right,
    x: margin + at.quantity.x,
    width: at.quantity.width,
  });
  sheet.write(moneyText(line.eachCents, currency), { ...right, x: margin + at.each.x, width: at.each.width });
  sheet.write(moneyText(line.sumCents, currency), {
    ...right,
    x: margin + at.sum.x,
    width: at.sum.width,
    weight: "semibold",
  });
  let below = y + mm(6);
  if (line.what !== "") {
    sheet.write(line.what, {
      x: margin,
      y: below,
      width: width * 0.7,
      size: 10,
      least: 7.5,
      colour: ink.second,
    });
    below += mm(5);
  }
  const tiers = tierText(line, currency);
  if (tiers !== "")
    sheet.write(tiers, { x: margin, y: below, width, size: 9, least: 7, height: mm(16), colour: ink.second });
}

const noteHeight = (page: Page, note: string): number =>
  note === ""
    ? 0
    : mm(4) + Math.min(10, Math.ceil(page.sheet.measure(note, 10) / (page.width * 0.95))) * 12.5;

function drawFoot(page: Page, { worked, asked, studioName }: QuoteSheetAsked, from: number): void {
  const { sheet, margin, width } = page;
  drawRule(sheet, { x: margin, y: from, width }, 1.2);
  const right = { x: margin + width * 0.35, width: width * 0.65, align: "right" } as const;
  sheet.write("Together", { x: margin, y: from + mm(3), width: width * 0.3, size: 15, weight: "bold" });
  sheet.write(moneyText(worked.totalCents, worked.currency), {
    ...right,
    y: from + mm(3),
    size: 15,
    least: 10,
    weight: "bold",
  });
  sheet.write(taxWords(worked), { ...right, y: from + mm(10.5), size: 10, least: 8, colour: ink.second });
  let y = from + mm(20);
  if (asked.note !== "") {
    sheet.write(asked.note, {
      x: margin,
      y,
      width,
      size: 10,
      least: 8,
      height: noteHeight(page, asked.note),
    });
    y += noteHeight(page, asked.note) + mm(3);
  }
  sheet.write(
    "Thread, blank and placement are agreed before anything is sewn. Colours of thread and cloth can differ a little from a screen.",
    { x: margin, y, width, size: 9, height: mm(9), colour: ink.second },
  );
  y += mm(18);
  drawRule(sheet, { x: margin, y, width: width * 0.44 });
  drawRule(sheet, { x: margin + width * 0.56, y, width: width * 0.44 });
  const under = { y: y + 3, width: width * 0.44, size: 9, colour: ink.second } as const;
  sheet.write(`for ${studioName}`, { ...under, x: margin, least: 7 });
  sheet.write("agreed, with date", { ...under, x: margin + width * 0.56 });
}

/** What of the sum is tax, as the studio told; whether that is right, whoever does its books knows. */
const taxWords = ({ taxShare, taxCents, currency }: costs.QuoteWorked): string =>
  taxShare === 0
    ? "No tax is shown in these prices."
    : `Of this ${moneyText(taxCents, currency)} are tax, at ${Math.round(taxShare * 10_000) / 100} % of the price before tax.`;
