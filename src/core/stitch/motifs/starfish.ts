import type { Motif } from "./motif";

const arm = (turn: number): string => {
  const place = (radius: number, angle: number): string =>
    `${(radius * Math.cos(angle)).toFixed(2)} ${(radius * Math.sin(angle)).toFixed(2)}`;
  const middle = Math.PI / 2 + (turn * 2 * Math.PI) / 5;
  const half = Math.PI / 5;
  return `C${place(17, middle - half * 0.62)} ${place(27, middle - 0.26)} ${place(30, middle - 0.1)}C${place(33, middle - 0.07)} ${place(33, middle + 0.07)} ${place(30, middle + 0.1)}C${place(27, middle + 0.26)} ${place(17, middle + half * 0.62)} ${place(11.5, middle + half)}`;
};
const start = Math.PI / 2 - Math.PI / 5;
const outline = `M${(11.5 * Math.cos(start)).toFixed(2)} ${(11.5 * Math.sin(start)).toFixed(2)}${[0, 1, 2, 3, 4].map(arm).join("")}`;

const spots = [0, 1, 2, 3, 4]
  .flatMap((turn) => {
    const angle = Math.PI / 2 + (turn * 2 * Math.PI) / 5;
    return [9, 15, 20.5].map((radius) => [radius * Math.cos(angle), radius * Math.sin(angle)] as const);
  })
  .map(([x, y]) => `M${x.toFixed(2)} ${y.toFixed(2)}L${(x + 0.1).toFixed(2)} ${y.toFixed(2)}`)
  .join("");

export const starfish: Motif = {
  name: "starfish",
  title: "Starfish",
  width: 62,
  parts: [
    { colour: "coral", objects: [{ sew: "fill", shape: outline, angleDeg: 36 }] },
    { colour: "red", objects: [{ sew: "satin", line: outline, width: 1.8 }] },
    { colour: "straw", objects: [{ sew: "satin", line: `${spots}M0 0L0.1 0`, width: 2.6 }] },
  ],
};
