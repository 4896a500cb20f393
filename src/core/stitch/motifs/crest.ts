import type { Motif } from "./motif";

const dots = Array.from({ length: 24 }, (_, i) => {
  const angle = (i * Math.PI) / 12;
  const [x, y] = [31.6 * Math.cos(angle), 31.6 * Math.sin(angle)];
  return `M${x.toFixed(2)} ${y.toFixed(2)}L${(x + 0.1).toFixed(2)} ${y.toFixed(2)}`;
}).join("");

export const crest: Motif = {
  name: "crest-ring",
  title: "Crest with ring",
  width: 74,
  parts: [
    { colour: "navy", objects: [{ sew: "satin", line: "E0 0 35.6 35.6 90 450", width: 2.8 }] },
    { colour: "straw", objects: [{ sew: "satin", line: dots, width: 2.4 }] },
    { colour: "navy", objects: [{ sew: "satin", line: "E0 0 27.6 27.6 90 450", width: 2.2 }] },
    { colour: "light blue", objects: [{ sew: "fill", shape: "E0 0 25.4 25.4 0 360", angleDeg: 0 }] },
    {
      colour: "white",
      objects: [
        { sew: "satin", line: "M-22 -9C-17 -4 -11 -4 -6 -9C-1 -14 5 -14 10 -9C14 -5 18 -5 22 -9", width: 3 },
        {
          sew: "satin",
          line: "M-16 -17C-12 -13 -8 -13 -4 -17C0 -21 5 -21 9 -17C12 -14 14 -14 16 -16",
          width: 2.6,
        },
      ],
    },
    { colour: "sun", objects: [{ sew: "fill", shape: "E0 6 9 9 0 360", angleDeg: 45 }] },
  ],
};
