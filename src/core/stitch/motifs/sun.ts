import type { Motif } from "./motif";

const ray = (degrees: number, from: number, to: number): string => {
  const angle = (degrees * Math.PI) / 180;
  const at = (radius: number): string =>
    `${(radius * Math.cos(angle)).toFixed(2)} ${(radius * Math.sin(angle)).toFixed(2)}`;
  return `M${at(from)}L${at(to)}`;
};
const turns = Array.from({ length: 12 }, (_, i) => i * 30);

export const sun: Motif = {
  name: "sun",
  title: "Sun",
  width: 60,
  parts: [
    {
      colour: "sun",
      objects: [
        { sew: "satin", line: turns.map((turn) => ray(turn, 18, 29)).join(""), width: 3.8, taper: "end" },
      ],
    },
    {
      colour: "straw",
      objects: [
        {
          sew: "satin",
          line: turns.map((turn) => ray(turn + 15, 18, 24)).join(""),
          width: 2.6,
          taper: "end",
        },
        { sew: "fill", shape: "E0 0 14.4 14.4 0 360", angleDeg: 45 },
      ],
    },
    { colour: "coral", objects: [{ sew: "satin", line: "E0 0 14.4 14.4 270 630", width: 2.2 }] },
  ],
};
