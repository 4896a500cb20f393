import type { Motif } from "./motif";

export const lighthouse: Motif = {
  name: "lighthouse",
  title: "Lighthouse",
  width: 56,
  parts: [
    {
      colour: "straw",
      objects: [
        { sew: "fill", shape: "M5 34L28 42L28 26Z", angleDeg: 0 },
        { sew: "fill", shape: "M-5 34L-28 42L-28 26Z", angleDeg: 0 },
        { sew: "fill", shape: "M-5 28L5 28L5 39L-5 39Z", angleDeg: 90 },
      ],
    },
    {
      colour: "white",
      objects: [
        { sew: "fill", shape: "M-7 26L7 26L8 14L-8 14Z", angleDeg: 0 },
        { sew: "fill", shape: "M-9 2L9 2L10 -10L-10 -10Z", angleDeg: 0 },
        { sew: "fill", shape: "M-11 -22L11 -22L12 -34L-12 -34Z", angleDeg: 0 },
      ],
    },
    {
      colour: "red",
      objects: [
        { sew: "fill", shape: "M-8 14L8 14L9 2L-9 2Z", angleDeg: 0 },
        { sew: "fill", shape: "M-10 -10L10 -10L11 -22L-11 -22Z", angleDeg: 0 },
        { sew: "fill", shape: "M-7.4 39L7.4 39L0 48Z", angleDeg: 0 },
      ],
    },
    {
      colour: "charcoal",
      objects: [
        { sew: "satin", line: "M-10 27L10 27", width: 2.4 },
        { sew: "satin", line: "M-3 29L-3 38M3 29L3 38", width: 1.1 },
        { sew: "satin", line: "M0 -8L0 -3", width: 3 },
        { sew: "satin", line: "M0 -32L0 -27", width: 3.6 },
      ],
    },
    {
      colour: "green",
      objects: [
        { sew: "fill", shape: "M-28 -42C-24 -35 -16 -33 -8 -34L10 -34C18 -33 25 -36 28 -42Z", angleDeg: 10 },
      ],
    },
    {
      colour: "sea",
      objects: [
        {
          sew: "satin",
          line: "M-28 -45C-22 -42 -16 -42 -10 -45C-4 -48 4 -48 10 -45C16 -42 22 -42 28 -45",
          width: 2.8,
        },
      ],
    },
  ],
};
