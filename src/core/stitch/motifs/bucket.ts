import type { Motif } from "./motif";

export const bucket: Motif = {
  name: "bucket-and-spade",
  title: "Bucket and spade",
  width: 55,
  parts: [
    {
      colour: "brown",
      objects: [
        { sew: "satin", line: "M25 28L11 -6", width: 3 },
        { sew: "satin", line: "M20 30L30 26", width: 3 },
      ],
    },
    {
      colour: "sand",
      objects: [{ sew: "fill", shape: "M-20 8C-16 18 -8 20 -3 16C2 21 12 18 14 8Z", angleDeg: 30 }],
    },
    { colour: "coral", objects: [{ sew: "fill", shape: "M-23 8L17 8L12 -28L-18 -28Z", angleDeg: 0 }] },
    {
      colour: "white",
      objects: [
        { sew: "satin", line: "M-24 8L18 8", width: 3.2 },
        {
          sew: "fill",
          shape:
            "M-3 -1L0.2 -7.6L7.4 -8.4L2 -13.4L3.6 -20.6L-3 -17L-9.6 -20.6L-8 -13.4L-13.4 -8.4L-6.2 -7.6Z",
          angleDeg: 0,
        },
      ],
    },
    { colour: "navy", objects: [{ sew: "satin", line: "M-22 11C-18 34 12 34 16 11", width: 1.9 }] },
    {
      colour: "sea",
      objects: [{ sew: "fill", shape: "M7 -4L15 -8C20 -14 20 -22 18 -28C10 -26 4 -20 3 -11Z", angleDeg: 20 }],
    },
  ],
};
