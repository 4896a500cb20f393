/** Numbers as people and exports write them: currency signs, thousands, decimal point or comma. */
export type Decimal = "." | ",";

/** What stands before or after a price and says nothing about its size: signs, letters of a currency, blanks. */
const bare = (text: string) => text.replace(/[\p{Sc}\p{L}\s'’]/gu, "");

/** The decimal sign a single number shows beyond doubt, or null: `1.234,50` and `12,5` show a comma. */
function shows(text: string): Decimal | null {
  const number = bare(text);
  if (!/\d/.test(number)) return null;
  const last = Math.max(number.lastIndexOf("."), number.lastIndexOf(","));
  if (last < 0) return null;
  const sign = number[last] as Decimal;
  const other = sign === "." ? "," : ".";
  if (number.includes(other)) return sign;
  if (number.indexOf(sign) !== last) return other;
  // One sign with three digits after it may be thousands: 1.234.
  return number.length - last - 1 === 3 && last > 0 && last <= 3 ? null : sign;
}

/** The decimal sign of a whole column by majority; null where nothing shows it. */
export function recogniseDecimal(cells: Iterable<string>): Decimal | null {
  const votes = { ".": 0, ",": 0 };
  for (const cell of cells) {
    const sign = shows(cell);
    if (sign) votes[sign]++;
  }
  if (votes["."] === votes[","]) return null;
  return votes["."] > votes[","] ? "." : ",";
}

const whole: Record<Decimal, RegExp> = { ".": patternOf("."), ",": patternOf(",") };
function patternOf(decimal: Decimal): RegExp {
  const thousands = decimal === "." ? "," : ".";
  return new RegExp(`^[+-]?(\\d+|\\d{1,3}(\\${thousands}\\d{3})+)?(\\${decimal}\\d*)?-?$`);
}

/** The number, or null when the text is none. Thousands separators must stand before groups of three. */
export function readNumber(text: string, decimal: Decimal): number | null {
  const number = bare(text);
  const thousands = decimal === "." ? "," : ".";
  if (!/\d/.test(number) || !whole[decimal].test(number)) return null;
  return Number(number.replaceAll(thousands, "").replace(decimal, "."));
}
