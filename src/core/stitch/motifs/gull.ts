import type { Motif } from "./motif";

export const gull: Motif = {
  name: "gull",
  title: "Gull",
  width: 66,
  parts: [
    { colour: "sun", objects: [{ sew: "fill", shape: "E-12 2 19 19 0 360", angleDeg: 0 }] },
    {
      colour: "white",
      objects: [
        { sew: "fill", shape: "M-4 -2C-8 12 -18 23 -32 27C-31 14 -24 0 -12 -7Z", angleDeg: 55 },
        {
          sew: "fill",
          shape:
            "M-33 -11C-24 -16 -6 -20 8 -14C14 -12 18 -8 20 -4C25 -4 28 0 27 4C25 9 18 9 15 4C11 -1 2 -3 -8 -6L-33 -7Z",
          angleDeg: 12,
        },
      ],
    },
    {
      colour: "light blue",
      objects: [
        { sew: "fill", shape: "M10 -6C14 8 14 22 6 36C-3 28 -9 12 -8 -6C-4 -10 6 -11 10 -6", angleDeg: 80 },
      ],
    },
    {
      colour: "grey",
      objects: [
        { sew: "satin", line: "M-31 25C-29 21 -26 17 -22 12", width: 4, taper: "start" },
        { sew: "satin", line: "M6 36C5 30 3 25 0 20", width: 4.4, taper: "start" },
        { sew: "satin", line: "M-33 -9L-24 -10", width: 3.4, taper: "end" },
      ],
    },
    { colour: "coral", objects: [{ sew: "satin", line: "M26 2.6L33 0.6", width: 3, taper: "end" }] },
    { colour: "charcoal", objects: [{ sew: "satin", line: "M22.4 3.8L22.5 3.8", width: 1.9 }] },
  ],
};
