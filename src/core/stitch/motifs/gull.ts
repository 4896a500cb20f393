import type { Motif } from "./motif";

export const gull: Motif = {
  name: "gull",
  title: "Gull",
  width: 64,
  parts: [
    {
      colour: "light blue",
      objects: [{ sew: "fill", shape: "E0 0 27 27 0 360", angleDeg: 0 }],
    },
    {
      colour: "white",
      objects: [
        { sew: "fill", shape: "M2 2C-6 14 -18 20 -32 18C-26 8 -18 -2 -6 -6C-2 -7 2 -4 2 2", angleDeg: 62 },
        { sew: "fill", shape: "M0 3C6 16 18 22 32 20C28 8 18 -3 6 -6C1 -7 -2 -2 0 3", angleDeg: -62 },
        { sew: "fill", shape: "M-7 -15C-3 -17 2 -16 5 -11C9 -5 9 3 6 9C4 13 -3 13 -5 9C-8 3 -10 -8 -7 -15", angleDeg: 0 },
      ],
    },
    {
      colour: "grey",
      objects: [
        { sew: "satin", line: "M-31 18C-24 17.6 -16 14.4 -8 7", width: 3, taper: "both" },
        { sew: "satin", line: "M31 20C24 19.4 15 16 8 8", width: 3, taper: "both" },
        { sew: "satin", line: "M-8 -16L-5 -9M-3.6 -17L-2 -10M1 -16.4L1 -10", width: 1.4 },
      ],
    },
    { colour: "sun", objects: [{ sew: "satin", line: "M1 12L2 18", width: 3, taper: "end" }] },
    { colour: "charcoal", objects: [{ sew: "satin", line: "M-1.6 8.6L-1.5 8.7M3 8.6L3.1 8.7", width: 1.5 }] },
  ],
};
