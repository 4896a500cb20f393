import type { Motif } from "./motif";

const ribs = [-45, -31, -16, 0, 16, 31, 45]
  .map((degrees) => {
    const angle = ((90 + degrees) * Math.PI) / 180;
    const reach = 44 - Math.abs(degrees) * 0.12;
    const at = (radius: number): string =>
      `${(radius * Math.cos(angle)).toFixed(2)} ${(radius * Math.sin(angle) - 22).toFixed(2)}`;
    return `M${at(9)}L${at(reach)}`;
  })
  .join("");

export const shell: Motif = {
  name: "shell",
  title: "Scallop shell",
  width: 62,
  parts: [
    {
      colour: "rose",
      objects: [
        {
          sew: "fill",
          shape:
            "M-6 -22C-18 -16 -28 -4 -30 6C-30 12 -26 15 -21 14C-20 20 -15 24 -9 22C-6 27 6 27 9 22C15 24 20 20 21 14C26 15 30 12 30 6C28 -4 18 -16 6 -22Z",
          angleDeg: 90,
        },
        { sew: "fill", shape: "M-14 -27L14 -27L7 -19L-7 -19Z", angleDeg: 0 },
      ],
    },
    { colour: "coral", objects: [{ sew: "satin", line: ribs, width: 1.8, taper: "start" }] },
    {
      colour: "white",
      objects: [
        {
          sew: "satin",
          line: "M-30 6C-30 12 -26 15 -21 14C-20 20 -15 24 -9 22C-6 27 6 27 9 22C15 24 20 20 21 14C26 15 30 12 30 6",
          width: 2,
        },
      ],
    },
  ],
};
