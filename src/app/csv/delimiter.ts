import { type Delimiter, sampleRecords, separatorLine } from "./records";

const delimiters: readonly Delimiter[] = [",", ";", "\t", "|"];
export const delimiterNames: Record<Delimiter, string> = {
  ",": "comma",
  ";": "semicolon",
  "\t": "tab",
  "|": "vertical bar",
};

/**
 * Which delimiter makes the sample's rows most alike: the share of rows that have the commonest number of cells,
 * more cells winning among equals. A file of one column has none; it is read with commas.
 */
export function recogniseDelimiter(bytes: Uint8Array): { delimiter: Delimiter; why: string } {
  const named = separatorLine(bytes);
  if (named) return { delimiter: named, why: `${delimiterNames[named]}, said by the first line` };
  const sample = cutAtLine(bytes, 64_000);
  let best: { delimiter: Delimiter; score: number; columns: number } | null = null;
  for (const delimiter of delimiters) {
    const { rows, errors } = sampleRecords(sample, delimiter);
    const counts = new Map<number, number>();
    for (const row of rows) counts.set(row.length, (counts.get(row.length) ?? 0) + 1);
    const [columns, share] = [...counts].sort((a, b) => b[1] - a[1] || b[0] - a[0])[0] ?? [1, 0];
    if (columns < 2) continue;
    // The first row is the headings: a delimiter that cuts them as the rows are cut deserves trust.
    const headed = rows[0]?.length === columns ? 0.2 : 0;
    const score = share / (rows.length + 2 * errors) + headed + Math.min(columns, 20) * 0.01;
    if (!best || best.score < score) best = { delimiter, score, columns };
  }
  if (!best) return { delimiter: ",", why: "no delimiter was found: every line is one column" };
  return {
    delimiter: best.delimiter,
    why: `${delimiterNames[best.delimiter]}, which gives ${best.columns} columns`,
  };
}

function cutAtLine(bytes: Uint8Array, most: number): Uint8Array {
  if (bytes.length <= most) return bytes;
  let end = most;
  while (end > 0 && bytes[end] !== 10 && bytes[end] !== 13) end--;
  return bytes.subarray(0, end > 0 ? end : most);
}
