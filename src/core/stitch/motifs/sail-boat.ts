import type { Motif } from "./motif";

export const sailBoat: Motif = {
  name: "sail-boat",
  title: "Sail boat",
  width: 62,
  parts: [
    { colour: "white", objects: [{ sew: "fill", shape: "M2 -12L2 38C14 26 24 8 28 -12Z", angleDeg: 78 }] },
    {
      colour: "coral",
      objects: [{ sew: "fill", shape: "M-3 -12L-3 30C-12 18 -19 4 -22 -12Z", angleDeg: -76 }],
    },
    {
      colour: "brown",
      objects: [
        { sew: "satin", line: "M-0.5 -16L-0.5 41", width: 2 },
        {
          sew: "fill",
          shape: "M-28 -16L30 -16C27 -26 20 -30 12 -30L-14 -30C-21 -29 -26 -24 -28 -16",
          angleDeg: 0,
        },
      ],
    },
    { colour: "straw", objects: [{ sew: "satin", line: "M-26 -20L28 -20", width: 2.2 }] },
    { colour: "red", objects: [{ sew: "fill", shape: "M0.6 41L0.6 33.6L11 37.2Z", angleDeg: 0 }] },
    {
      colour: "sea",
      objects: [
        {
          sew: "satin",
          line: "M-31 -31C-26 -27 -21 -27 -16 -31C-11 -35 -6 -35 -1 -31C4 -27 9 -27 14 -31C19 -35 26 -35 31 -31",
          width: 2.8,
        },
        {
          sew: "satin",
          line: "M-22 -38C-17 -34.6 -12 -34.6 -7 -38C-2 -41.4 3 -41.4 8 -38C13 -34.6 18 -34.6 23 -38",
          width: 2.2,
        },
      ],
    },
  ],
};
