import type { Motif } from "./motif";

export const crab: Motif = {
  name: "crab",
  title: "Crab",
  width: 68,
  parts: [
    {
      colour: "red",
      objects: [
        {
          sew: "satin",
          line: "M-14 -6C-20 -8 -24 -12 -25 -19M-12 -10C-17 -13 -19 -17 -18 -23M-15 -1C-22 -1 -28 -4 -31 -11",
          width: 2.6,
        },
        {
          sew: "satin",
          line: "M14 -6C20 -8 24 -12 25 -19M12 -10C17 -13 19 -17 18 -23M15 -1C22 -1 28 -4 31 -11",
          width: 2.6,
        },
        { sew: "satin", line: "M-15 4C-21 6 -25 10 -25 16", width: 3.4 },
        { sew: "satin", line: "M15 4C21 6 25 10 25 16", width: 3.4 },
      ],
    },
    {
      colour: "coral",
      objects: [
        {
          sew: "fill",
          shape: "M-19 0C-19 9 -10 13 0 13C10 13 19 9 19 0C19 -9 9 -14 0 -14C-9 -14 -19 -9 -19 0",
          angleDeg: 0,
        },
        {
          sew: "fill",
          shape:
            "M-25 14C-32 16 -36 24 -31 32C-30 26 -28 24 -26 25C-25 29 -22 32 -18 33C-15 26 -18 16 -25 14",
          angleDeg: 70,
        },
        {
          sew: "fill",
          shape: "M25 14C32 16 36 24 31 32C30 26 28 24 26 25C25 29 22 32 18 33C15 26 18 16 25 14",
          angleDeg: -70,
        },
      ],
    },
    {
      colour: "red",
      objects: [{ sew: "satin", line: "M-9 -6C-5 -10 5 -10 9 -6", width: 1.8, taper: "both" }],
    },
    {
      colour: "white",
      objects: [{ sew: "satin", line: "M-6 13.6L-6 17.6M6 13.6L6 17.6", width: 5.4 }],
    },
    { colour: "charcoal", objects: [{ sew: "satin", line: "M-6 17L-5.9 17M6 17L6.1 17", width: 2.6 }] },
  ],
};
