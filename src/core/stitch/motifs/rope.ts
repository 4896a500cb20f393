import type { Motif } from "./motif";

/** Slanted strands along a line from −40 to 40, as laid rope is twisted. */
const strands = (y: number, from: number): string =>
  Array.from({ length: 16 }, (_, i) => -38 + from + i * 5)
    .filter((x) => x <= 38)
    .map((x) => `M${x - 2.2} ${y - 2.1}C${x - 1.6} ${y + 0.6} ${x + 1.6} ${y - 0.6} ${x + 2.2} ${y + 2.1}`)
    .join("");

export const rope: Motif = {
  name: "rope-border",
  title: "Rope border",
  width: 82,
  parts: [
    { colour: "sand", objects: [{ sew: "satin", line: strands(0, 0), width: 2.6 }] },
    {
      colour: "navy",
      objects: [
        { sew: "satin", line: "M-40 4.6L40 4.6", width: 1.3 },
        { sew: "satin", line: "M40 -4.6L-40 -4.6", width: 1.3 },
      ],
    },
  ],
};
