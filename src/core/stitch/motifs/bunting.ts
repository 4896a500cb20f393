import type { Motif } from "./motif";

const FLAGS: readonly (readonly [x: number, y: number])[] = [
  [-32, 5], [-16, -1], [0, -3], [16, -1], [32, 5], // prettier-ignore
];
const flag = ([x, y]: readonly [number, number]): string => `M${x - 6.6} ${y}L${x + 6.6} ${y}L${x} ${y - 18}Z`;

export const bunting: Motif = {
  name: "bunting",
  title: "Bunting",
  width: 84,
  parts: [
    { colour: "coral", objects: [FLAGS[0]!, FLAGS[3]!].map((place) => ({ sew: "fill", shape: flag(place), angleDeg: 0 }) as const) },
    { colour: "straw", objects: [FLAGS[1]!, FLAGS[4]!].map((place) => ({ sew: "fill", shape: flag(place), angleDeg: 0 }) as const) },
    { colour: "sea", objects: [{ sew: "fill", shape: flag(FLAGS[2]!), angleDeg: 0 }] },
    {
      colour: "white",
      objects: [
        { sew: "satin", line: "M-32 -1L-31.9 -1M16 -7L16.1 -7", width: 3 },
        { sew: "satin", line: "M0 -5L0 -14", width: 1.6 },
      ],
    },
    { colour: "navy", objects: [{ sew: "satin", line: "M-42 11C-20 -3 20 -3 42 11", width: 1.8 }] },
  ],
};
