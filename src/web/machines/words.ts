import { needleSizesNm, needleSizeWords } from "#core/shop";
import type { BodyOf } from "../parts/record-form";

export type MachineBody = BodyOf<"machines">;
export type Needle = MachineBody["needles"][number];

export const kindWords: Readonly<Record<MachineBody["kind"], string>> = {
  "multi-needle": "multi-needle embroidery",
  household: "household embroidery",
  "straight-stitch": "straight-stitch sewing",
};

export const lineUpWords: Readonly<Record<MachineBody["linesUpBy"], string>> = {
  laser: "with a laser cross",
  camera: "with a camera",
  eye: "by eye",
};

/** The sizes to choose from, with the one that is kept even where it is none of the common ones. */
export const sizeChoices = (sizeNm: number) =>
  [...new Set([...needleSizesNm, sizeNm])].map((size) => ({
    value: String(size),
    words: needleSizeWords(size),
  }));

export const freshNeedle = (number: number): Needle => ({
  number,
  threadId: null,
  sizeNm: 75,
  point: "sharp",
  fixed: false,
  stitchesSinceChange: 0,
});

/** So many needles, in order: kept ones stay as they are. */
export function withNeedles(needles: readonly Needle[], count: number): Needle[] {
  return Array.from({ length: count }, (_, index) => needles[index] ?? freshNeedle(index + 1));
}

export const machineLabels: Readonly<Record<string, string>> = {
  name: "Name",
  kind: "Kind",
  needles: "Needles",
  stitchesPerMinute: "Speed",
  fieldWidthMm: "Sewing field, width",
  fieldHeightMm: "Sewing field, height",
  hoopIds: "Hoops it takes",
  linesUpBy: "A piece is lined up",
  hourMeter: "Hour meter",
  "hourMeter.hours": "Hour meter",
  "hourMeter.readOn": "Hour meter read on",
  bought: "Bought",
  "bought.on": "Bought on",
  "bought.priceCents": "Bought for",
  downTimes: "Times away",
  times: "Own times",
  "times.threadS": "Threading a needle",
  "times.loadS": "Loading",
  "times.unloadS": "Unloading",
  "times.colourChangeS": "Colour change",
  "times.trimS": "Trim",
  note: "Note",
};

const needleWords: Readonly<Record<string, string>> = {
  threadId: "thread",
  sizeNm: "size",
  point: "point",
  fixed: "fixed",
  stitchesSinceChange: "stitches since the needle was changed",
};

/** "Needle 4: thread" for needles.3.threadId. */
export function machineFieldLabel(path: string): string {
  const needle = /^needles\.(\d+)(?:\.(\w+))?$/.exec(path);
  if (needle)
    return `Needle ${Number(needle[1]) + 1}${needle[2] ? `: ${needleWords[needle[2]] ?? needle[2]}` : ""}`;
  if (path.startsWith("downTimes.")) return `Time away ${Number(path.split(".")[1]) + 1}`;
  return machineLabels[path] ?? path;
}
