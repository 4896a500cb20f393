import type { Motif } from "./motif";

const crossed = (flip: 1 | -1): { readonly shaft: string; readonly blade: string; readonly tip: string } => ({
  shaft: `M${-21 * flip} 26L${14 * flip} -14`,
  blade: `M${11 * flip} -12L${15.6 * flip} -8C${24 * flip} -14 ${29 * flip} -22 ${30 * flip} -30C${22 * flip} -30 ${14 * flip} -24 ${11 * flip} -12`,
  tip: `M${19.4 * flip} -25.4C${23 * flip} -23 ${25 * flip} -20 ${26 * flip} -16`,
});
const left = crossed(-1);
const right = crossed(1);

export const oar: Motif = {
  name: "oars",
  title: "Crossed oars",
  width: 60,
  parts: [
    {
      colour: "sand",
      objects: [
        { sew: "satin", line: left.shaft, width: 3 },
        { sew: "satin", line: right.shaft, width: 3 },
      ],
    },
    {
      colour: "navy",
      objects: [
        { sew: "fill", shape: left.blade, angleDeg: 45 },
        { sew: "fill", shape: right.blade, angleDeg: -45 },
        { sew: "satin", line: "M-22 27L-18.6 23.2M22 27L18.6 23.2", width: 4 },
      ],
    },
    {
      colour: "white",
      objects: [
        { sew: "satin", line: left.tip, width: 2.4 },
        { sew: "satin", line: right.tip, width: 2.4 },
      ],
    },
    { colour: "red", objects: [{ sew: "satin", line: "M-5.4 2L5.4 2M-5.4 6.4L5.4 6.4", width: 2 }] },
  ],
};
