import type { Motif } from "./motif";

/** The height of the line at x: it hangs in a shallow bow. */
const line = (x: number): number => 0.5 + 10.5 * (x / 42) ** 2;
const FLAGS = [-32, -16, 0, 16, 32] as const;
const flag = (x: number): string =>
  `M${x - 7.4} ${line(x - 7.4)}L${x + 7.4} ${line(x + 7.4)}L${x + Math.sign(x) * -1.5} ${line(x) - 25}Z`;
const dot = (x: number, y: number): string => `M${x} ${line(x) + y}L${x + 0.1} ${line(x) + y}`;

export const bunting: Motif = {
  name: "bunting",
  title: "Bunting",
  width: 84,
  parts: [
    { colour: "coral", objects: [{ sew: "fill", shape: flag(FLAGS[0]), angleDeg: 0 }, { sew: "fill", shape: flag(FLAGS[3]), angleDeg: 0 }] }, // prettier-ignore
    { colour: "straw", objects: [{ sew: "fill", shape: flag(FLAGS[1]), angleDeg: 0 }, { sew: "fill", shape: flag(FLAGS[4]), angleDeg: 0 }] }, // prettier-ignore
    { colour: "sea", objects: [{ sew: "fill", shape: flag(FLAGS[2]), angleDeg: 0 }] },
    {
      colour: "white",
      objects: [
        { sew: "satin", line: dot(-31.5, -8) + dot(0, -8) + dot(15.5, -8), width: 4 },
        {
          sew: "satin",
          line: `M-20 ${line(-20) - 6}L-13 ${line(-13) - 6}M28.5 ${line(28.5) - 6}L34.5 ${line(34.5) - 6}`,
          width: 1.8,
        },
      ],
    },
    { colour: "navy", objects: [{ sew: "satin", line: "M-42 11C-20 -3 20 -3 42 11", width: 1.8 }] },
  ],
};
