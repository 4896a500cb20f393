import type { Motif } from "./motif";

export const wave: Motif = {
  name: "wave",
  title: "Wave",
  width: 66,
  parts: [
    {
      colour: "sea",
      objects: [
        {
          sew: "fill",
          shape:
            "M-33 -18C-26 -16 -22 -4 -16 6C-9 18 4 24 16 19C25 15 28 5 22 0C18 -3 12 0 13 5C8 2 6 -5 10 -10C14 -16 24 -17 33 -12L33 -24C12 -27 -12 -27 -33 -24Z",
          angleDeg: 8,
        },
      ],
    },
    {
      colour: "navy",
      objects: [
        { sew: "satin", line: "M-30 -19.6C-10 -22.4 12 -22.4 32 -18.4", width: 2.2, taper: "both" },
        { sew: "satin", line: "M-18 -14C-12 -4 -6 6 6 11", width: 2.2, taper: "both" },
        { sew: "satin", line: "M-8 -16C-4 -10 -1 -4 3 1", width: 2, taper: "both" },
      ],
    },
    {
      colour: "white",
      objects: [
        {
          sew: "satin",
          line: "M-20 2C-12 16 2 24 15 20C25 17 28 6 22 0.6C18 -2.4 12 0 13 5",
          width: 2.8,
          taper: "start",
        },
        { sew: "satin", line: "M27 11L27.1 11.1M30 5L30.1 5.1M24 19L24.1 19.1", width: 2.6 },
      ],
    },
  ],
};
