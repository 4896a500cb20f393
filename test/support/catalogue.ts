/** Bodies of the studio's lists as a person would fill them in; each call may overwrite fields. */
import type { shapes } from "#contract";

export const threadBody = (own: Partial<shapes.ThreadBody> = {}): shapes.ThreadBody => ({
  code: "N1",
  name: "Tide",
  rgb: "#1b3a57",
  fibre: "polyester",
  densityTex: 27,
  metresPerCone: 5000,
  cones: 1,
  metresLeft: 4200,
  reorderMetres: 500,
  note: "",
  ...own,
});

export const hoopBody = (own: Partial<shapes.HoopBody> = {}): shapes.HoopBody => ({
  name: "Hoop 130",
  kind: "magnetic",
  fieldWidthMm: 130,
  fieldHeightMm: 130,
  count: 2,
  hoopS: null,
  note: "",
  ...own,
});

export const needleBody = (
  number: number,
  threadId: string | null = null,
): shapes.MachineBody["needles"][number] => ({
  number,
  threadId,
  sizeNm: 75,
  point: "sharp",
  fixed: false,
  stitchesSinceChange: 0,
});

export const machineBody = (own: Partial<shapes.MachineBody> = {}): shapes.MachineBody => ({
  name: "Heron",
  kind: "multi-needle",
  needles: [1, 2, 3, 4, 5, 6].map((number) => needleBody(number)),
  stitchesPerMinute: 800,
  fieldWidthMm: 360,
  fieldHeightMm: 200,
  hoopIds: [],
  linesUpBy: "laser",
  hourMeter: null,
  bought: null,
  downTimes: [],
  times: { threadS: null, loadS: null, unloadS: null, colourChangeS: null, trimS: null },
  note: "",
  ...own,
});

const workday = [{ startMinute: 480, endMinute: 960 }];
export const personBody = (own: Partial<shapes.PersonBody> = {}): shapes.PersonBody => ({
  name: "Mara",
  shifts: [workday, workday, workday, workday, workday, [], []],
  daysOff: [],
  skills: ["hoop", "embroider", "finish"],
  note: "",
  ...own,
});

export const stockBody = (own: Partial<shapes.StockBody> = {}): shapes.StockBody => ({
  kind: "blank",
  code: "ROBE-M",
  name: "Swim robe",
  colour: "sand",
  size: "M",
  unit: "piece",
  onHand: 12,
  reorderPoint: 4,
  note: "",
  ...own,
});

export const placementBody = (
  own: Partial<shapes.ProductBody["placements"][number]> = {},
): shapes.ProductBody["placements"][number] => ({
  id: "chest",
  name: "Left chest",
  where: "200 mm down from the shoulder seam",
  hoopId: null,
  backingId: null,
  toppingId: null,
  needleSizeNm: 75,
  needlePoint: "ball",
  designId: null,
  lettering: null,
  machineIds: null,
  hoopS: null,
  unhoopS: null,
  finishS: null,
  ...own,
});

export const productBody = (own: Partial<shapes.ProductBody> = {}): shapes.ProductBody => ({
  code: "ROBE",
  name: "Swim robe with initials",
  kind: "embroidered",
  cloth: "pile",
  blankId: null,
  placements: [placementBody()],
  sewS: 0,
  priceCents: 6500,
  caution: "",
  note: "",
  ...own,
});
