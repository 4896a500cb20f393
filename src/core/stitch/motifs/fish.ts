import type { Motif } from "./motif";

export const fish: Motif = {
  name: "fish",
  title: "Fish",
  width: 66,
  parts: [
    {
      colour: "sea",
      objects: [
        { sew: "fill", shape: "M14 0L33 15C31 5 31 -5 33 -15Z", angleDeg: 80 },
        { sew: "fill", shape: "M-8 12C-4 20 6 22 14 18C12 14 10 11 8 9Z", angleDeg: 60 },
        { sew: "fill", shape: "M-2 -12C2 -19 8 -20 13 -17C12 -13 10 -10 8 -9Z", angleDeg: -60 },
      ],
    },
    {
      colour: "light blue",
      objects: [
        {
          sew: "fill",
          shape: "M-33 0C-26 12 -14 15 -2 13C8 11 15 6 20 0C15 -6 8 -11 -2 -13C-14 -15 -26 -12 -33 0",
          angleDeg: 0,
        },
      ],
    },
    {
      colour: "navy",
      objects: [
        { sew: "satin", line: "M-17 11.5C-13 5 -13 -5 -17 -11.5", width: 2, taper: "both" },
        {
          sew: "satin",
          line: "M-8 7C-5 4 -5 2 -8 0C-5 -2 -5 -4 -8 -7M-1 7C2 4 2 2 -1 0C2 -2 2 -4 -1 -7M6 5C9 3 9 1 6 0C9 -1 9 -3 6 -5",
          width: 1.5,
        },
      ],
    },
    { colour: "white", objects: [{ sew: "satin", line: "M-24.1 3L-24 3", width: 5 }] },
    { colour: "charcoal", objects: [{ sew: "satin", line: "M-24.3 3L-24.2 3", width: 2.4 }] },
  ],
};
