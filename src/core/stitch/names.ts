/** Letters that stand for several plain ones, or have no mark to take off. */
const PLAIN: Readonly<Record<string, string>> = {
  ß: "SS",
  Æ: "AE",
  æ: "AE",
  Œ: "OE",
  œ: "OE",
  Ø: "O",
  ø: "O",
  Ł: "L",
  ł: "L",
  Đ: "D",
  đ: "D",
  Ð: "D",
  ð: "D",
  Þ: "TH",
  þ: "TH",
  ı: "I", // prettier-ignore
};

/**
 * A name a machine can show for the file that runs in place `order` (from 1): at most 8 capital letters and digits,
 * the order first so that the machine's list stands in running order, then the text and what makes it unique:
 * `machineFileName(7, "Olivia", taken)` is 07OLIVIA. The name is added to `taken`.
 */
export function machineFileName(order: number, text: string, taken: Set<string> = new Set()): string {
  const place = String(order).padStart(2, "0").slice(-4);
  const plain = [...text]
    .map((letter) => PLAIN[letter] ?? letter)
    .join("")
    .normalize("NFD")
    .toUpperCase()
    .replace(/[^A-Z0-9]/g, "");
  const base = (place + plain).slice(0, 8);
  let name = base;
  for (let again = 2; taken.has(name); again++) {
    const tail = String(again);
    name = base.slice(0, 8 - tail.length) + tail;
  }
  taken.add(name);
  return name;
}
