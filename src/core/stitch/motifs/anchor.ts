import type { Motif } from "./motif";

export const anchor: Motif = {
  name: "anchor",
  title: "Anchor",
  width: 60,
  parts: [
    {
      colour: "navy",
      objects: [
        { sew: "satin", line: "M-26 -10C-24 -28 -12 -36 0 -36C12 -36 24 -28 26 -10", width: 5.4 },
        { sew: "fill", shape: "M-30 -14L-25.4 -1L-19 -13.4Z", angleDeg: 20 },
        { sew: "fill", shape: "M30 -14L25.4 -1L19 -13.4Z", angleDeg: -20 },
        { sew: "satin", line: "M0 24L0 -36", width: 5.4 },
        { sew: "satin", line: "M-13 14L13 14", width: 4.6 },
        { sew: "satin", line: "E0 31 6 6 270 630", width: 3.6 },
      ],
    },
    {
      colour: "straw",
      objects: [
        {
          sew: "satin",
          line: "M-6 33C-16 30 -16 18 -4 12C8 6 14 0 6 -8C0 -14 -12 -14 -11 -22C-10.6 -27 -5 -29 0 -28",
          width: 2.4,
        },
      ],
    },
  ],
};
