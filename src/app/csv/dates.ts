import { type CalendarDate, daysBetween, isCalendarDate } from "#core/shop";

/** Dates as exports write them. A date is read as it stands: an hour or a zone behind it never moves it. */
export type DateOrder = "ymd" | "dmy" | "mdy";

/** Month names of eight languages, accents off; a name matches by its first letters when three or more are given. */
const months: readonly (readonly string[])[] = [
  ["january", "januar", "janvier", "enero", "gennaio", "januari", "janeiro", "jaenner"],
  ["february", "februar", "fevrier", "febrero", "febbraio", "februari", "fevereiro"],
  ["march", "marz", "maerz", "mars", "marzo", "maart", "marco", "mrt", "mrz"],
  ["april", "avril", "abril", "aprile"],
  ["may", "mai", "mayo", "maggio", "mei", "maio", "maj"],
  ["june", "juni", "juin", "junio", "giugno", "junho"],
  ["july", "juli", "juillet", "julio", "luglio", "julho"],
  ["august", "aout", "agosto", "augustus", "augusti"],
  ["september", "septembre", "septiembre", "settembre", "setembro"],
  ["october", "oktober", "octobre", "octubre", "ottobre", "outubro"],
  ["november", "novembre", "noviembre", "novembro"],
  ["december", "dezember", "decembre", "diciembre", "dicembre", "dezembro"],
];

function monthOf(name: string): number | null {
  const plain = name
    .normalize("NFD")
    .replace(/[\u0300-\u036f.]/g, "")
    .toLowerCase();
  if (plain.length < 3) return null;
  const found = months.flatMap((names, index) =>
    names.some((one) => one.startsWith(plain)) ? [index + 1] : [],
  );
  return found.length === 1 ? found[0]! : null;
}

/** Three numbers of a date in the order they stand, or a date already sure of its order. */
type Parts =
  | { readonly kind: "sure"; readonly date: string }
  | {
      readonly kind: "open";
      readonly a: string;
      readonly b: string;
      readonly year: string;
      readonly sign: string;
    };

/** POSIX strptime, %y: 69–99 are 19xx, 00–68 are 20xx. */
const fullYear = (year: string) =>
  year.length === 4 ? year : `${Number(year) < 69 ? "20" : "19"}${year.padStart(2, "0")}`;
const iso = (year: string, month: string | number, day: string | number) =>
  `${fullYear(year)}-${String(month).padStart(2, "0")}-${String(day).padStart(2, "0")}`;

/** An hour, a zone, or both behind a date. */
const clock =
  /(?:[T,\s]+\d{1,2}:\d{2}(?::\d{2}(?:[.,]\d+)?)?\s*(?:[ap]\.?m\.?)?\s*(?:Z|UTC|GMT|[+-]\d{2}:?\d{2})?(?:\s*\([^)]*\))?)$/i;

function partsOf(text: string): Parts | null {
  const plain = text.trim().replace(clock, "").trim();
  let found =
    /^(\d{4})[-/. ](\d{1,2})[-/. ](\d{1,2})\.?$/.exec(plain) ?? /^(\d{4})(\d{2})(\d{2})$/.exec(plain);
  if (found) return { kind: "sure", date: iso(found[1]!, found[2]!, found[3]!) };
  found = /^(\d{1,2})\s*([-/.\s])\s*(\d{1,2})\s*[-/.\s]\s*(\d{4}|\d{2})$/.exec(plain);
  if (found) return { kind: "open", a: found[1]!, b: found[3]!, year: found[4]!, sign: found[2]! };
  // A weekday in front says nothing the date does not say.
  const worded = plain.replace(/^\p{L}{2,12}\.?,?\s+(?=\d|\p{L}{3,}\.?\s+\d)/u, "");
  for (const candidate of [plain, worded]) {
    found =
      /^(\d{1,2})(?:st|nd|rd|th|er|º|\.)?[-\s]*(?:de\s+|of\s+)?(\p{L}{3,}\.?)[-,\s]*(?:de\s+)?(\d{4}|\d{2})$/iu.exec(
        candidate,
      );
    const month = found && monthOf(found[2]!);
    if (found && month) return { kind: "sure", date: iso(found[3]!, month, found[1]!) };
    found = /^(\p{L}{3,}\.?)\s*(\d{1,2})(?:st|nd|rd|th)?,?\s+(\d{4})$/iu.exec(candidate);
    const first = found && monthOf(found[1]!);
    if (found && first) return { kind: "sure", date: iso(found[3]!, first, found[2]!) };
  }
  return null;
}

/** The date, or why it is none. Years outside 1970 to 2200 are slips. */
export function readDate(text: string, order: DateOrder): { date: CalendarDate } | { why: string } {
  const parts = partsOf(text);
  if (!parts) {
    if (/^[345]\d{4}([.,]\d+)?$/.test(text.trim()))
      return { why: "this looks like a spreadsheet's day number; export the column as dates" };
    return { why: "this is not a date; expected such as 2026-11-25, 25.11.2026 or 25 Nov 2026" };
  }
  const date =
    parts.kind === "sure"
      ? parts.date
      : order === "mdy"
        ? iso(parts.year, parts.a, parts.b)
        : order === "dmy"
          ? iso(parts.year, parts.b, parts.a)
          : iso(parts.a, parts.b, parts.year);
  if (!isCalendarDate(date))
    return {
      why:
        parts.kind === "sure"
          ? "there is no such day"
          : `there is no such day when read as ${orderNames[order]}`,
    };
  if (date < "1970-01-01" || "2200-01-01" < date)
    return { why: `the year ${date.slice(0, 4)} cannot be meant` };
  return { date };
}

export const orderNames: Record<DateOrder, string> = {
  ymd: "year, month, day",
  dmy: "day, month, year",
  mdy: "month, day, year",
};

/** Whether the text is a date in some order. */
export const looksLikeDate = (text: string): boolean => partsOf(text) !== null;

export interface DateOrderFound {
  readonly order: DateOrder;
  /** In words; null where every date is sure by itself. */
  readonly why: string | null;
  /** Whether the person has to decide. */
  readonly open: boolean;
}

/**
 * The order of day and month over all dates of the file. One date such as 25/11 decides; where none does, the order
 * under which the dates lie near today; where that does not tell either, day first, said to be open.
 */
export function recogniseDateOrder(cells: Iterable<string>, today: CalendarDate): DateOrderFound {
  let sure = 0;
  let dayFirst = 0;
  let monthFirst = 0;
  let yearFirst = 0;
  let either = 0;
  const near = { dmy: 0, mdy: 0 };
  let dotted = 0;
  let example = "";
  // The same few days stand in most rows of a long file.
  const seen = new Map<string, Parts | null>();
  for (const cell of cells) {
    let parts = seen.get(cell);
    if (parts === undefined) seen.set(cell, (parts = cell.trim() === "" ? null : partsOf(cell)));
    if (!parts) continue;
    if (parts.kind === "sure") {
      sure++;
      continue;
    }
    const [a, b] = [Number(parts.a), Number(parts.b)];
    if (a > 31) yearFirst++;
    else if (a > 12 && b <= 12) dayFirst++;
    else if (b > 12 && a <= 12) monthFirst++;
    else if (a !== b) {
      either++;
      example ||= cell.trim();
      if (parts.sign === ".") dotted++;
      for (const order of ["dmy", "mdy"] as const) {
        const read = readDate(cell, order);
        if ("date" in read && Math.abs(daysBetween(today, read.date)) <= 45) near[order]++;
      }
    }
  }
  if (yearFirst > 0 && dayFirst + monthFirst === 0)
    return { order: "ymd", why: "dates are year first, with years of two digits", open: false };
  if (dayFirst > 0 && monthFirst > 0)
    return {
      order: dayFirst >= monthFirst ? "dmy" : "mdy",
      why: `dates contradict each other: ${dayFirst} can only be day first, ${monthFirst} only month first; those that do not fit are listed as bad rows`,
      open: true,
    };
  if (dayFirst > 0)
    return { order: "dmy", why: `dates are day first (${dayFirst} cannot be read otherwise)`, open: false };
  if (monthFirst > 0)
    return {
      order: "mdy",
      why: `dates are month first (${monthFirst} cannot be read otherwise)`,
      open: false,
    };
  if (either === 0)
    return { order: sure > 0 ? "ymd" : "dmy", why: sure > 0 ? null : "no dates were found", open: false };
  if (dotted === either)
    return { order: "dmy", why: "dates are written with dots, read day first", open: false };
  const order = near.mdy > near.dmy ? "mdy" : "dmy";
  const told = near.mdy === near.dmy ? "" : "; that puts them nearer today";
  return {
    order,
    why: `dates such as ${example} can be read both ways; read here as ${orderNames[order]}${told}. Please check`,
    open: true,
  };
}
