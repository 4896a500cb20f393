import type { shapes } from "#contract";
import { defaultOpenHours } from "#core/shop";

/**
 * Ninepenny Quay, the demo studio: a seaside studio that personalises swim robes, towels, aprons and kit bags and sews
 * napkins, bunting and neckerchiefs. Everything in these lists is invented; colours are our own.
 */

type Body<T> = Omit<T, "note"> & { readonly note?: string };

/** [code, name, rgb, metres left]: thirty threads of the shop's own card. */
export const demoThreads: readonly (readonly [
  code: string,
  name: string,
  rgb: string,
  metresLeft: number,
])[] = [
  ["N11", "harbour navy", "#1f3557", 3900],
  ["N14", "night ferry", "#16233b", 1700],
  ["B02", "slipway blue", "#3f6fa3", 2100],
  ["B07", "light blue", "#9cc8d6", 2600],
  ["S07", "high sky", "#78aede", 1500],
  ["T14", "sea", "#2f7f95", 3100],
  ["T18", "deep pool", "#155a66", 1300],
  ["M02", "sea mint", "#a8d5b5", 1900],
  ["G03", "marram green", "#4d8a66", 2200],
  ["G09", "kelp", "#5a6b35", 900],
  ["O03", "olive oar", "#7d8440", 1100],
  ["Y01", "lemon ice", "#f4e27a", 1250],
  ["Y05", "straw", "#e5c15c", 1650],
  ["Y08", "low sun", "#f2a541", 2300],
  ["R01", "buoy red", "#b9322f", 3400],
  ["R03", "rust", "#a4512d", 1050],
  ["R06", "coral", "#e2725b", 2050],
  ["P02", "shell rose", "#e7a8a0", 1800],
  ["P05", "thrift pink", "#d7708f", 1400],
  ["P08", "plum", "#6d3b66", 1200],
  ["P11", "sea lavender", "#a48cc4", 950],
  ["D01", "dune sand", "#d9b98a", 2700],
  ["D04", "wet sand", "#b08d5f", 1350],
  ["D09", "driftwood", "#7a4f32", 1500],
  ["W01", "sail white", "#fbf7ee", 4600],
  ["I02", "ivory", "#efe4cb", 2450],
  ["A03", "gull grey", "#8b9199", 1950],
  ["A08", "slate", "#566070", 1450],
  ["K01", "tar black", "#22242a", 2850],
  ["K04", "charcoal", "#2c2f36", 2000],
];

const fullWeek = (spans: shapes.PersonBody["shifts"][number]): shapes.PersonBody["shifts"] => [
  spans,
  spans,
  spans,
  spans,
  spans,
  [],
  [],
];
const at = (hour: number, minute = 0): number => hour * 60 + minute;
const early = [
  { startMinute: at(8), endMinute: at(12) },
  { startMinute: at(12, 30), endMinute: at(16, 30) },
];
const late = [
  { startMinute: at(8, 30), endMinute: at(12, 30) },
  { startMinute: at(13), endMinute: at(16, 30) },
];
const mornings = [{ startMinute: at(9), endMinute: at(13) }];

export const demoOpenHours = defaultOpenHours;

export const demoPeople: readonly Body<shapes.PersonBody>[] = [
  { name: "Ness", shifts: fullWeek(early), daysOff: [], skills: ["hoop", "embroider", "finish"] },
  { name: "Ivor", shifts: fullWeek(late), daysOff: [], skills: ["hoop", "embroider", "finish", "sew"] },
  {
    name: "Wren",
    shifts: [mornings, mornings, [], mornings, mornings, [], []],
    daysOff: [],
    skills: ["cut", "sew", "finish"],
    note: "Mornings; not on Wednesdays.",
  },
];

export type HoopKey = "side" | "large";
/** Two of each size for each of the three embroidery machines. */
export const demoHoops: Readonly<Record<HoopKey, Body<shapes.HoopBody>>> = {
  side: {
    name: "Side magnetic",
    kind: "magnetic",
    fieldWidthMm: 130,
    fieldHeightMm: 130,
    count: 6,
    hoopS: null,
  },
  large: { name: "Large screw", kind: "screw", fieldWidthMm: 260, fieldHeightMm: 200, count: 6, hoopS: null },
};

export interface DemoMachine {
  readonly body: Omit<
    Body<shapes.MachineBody>,
    "needles" | "hoopIds" | "hourMeter" | "bought" | "downTimes" | "times"
  >;
  /** Thread codes from needle 1 on; null is empty, a star in front is fixed. Empty for straight stitch. */
  readonly needles: readonly (string | null)[];
  readonly hours: number | null;
  /** Years before today it was bought, and for how much. */
  readonly bought: readonly [yearsAgo: number, priceCents: number];
}

export const demoMachines: readonly DemoMachine[] = [
  {
    body: {
      name: "Kittiwake",
      kind: "multi-needle",
      stitchesPerMinute: 650,
      fieldWidthMm: 300,
      fieldHeightMm: 200,
      linesUpBy: "eye",
      note: "The first machine; slow and steady.",
    },
    needles: ["*W01", "N11", "R01", "D01", "K04", null],
    hours: 4212.5,
    bought: [6, 640_000],
  },
  {
    body: {
      name: "Gannet",
      kind: "multi-needle",
      stitchesPerMinute: 800,
      fieldWidthMm: 360,
      fieldHeightMm: 220,
      linesUpBy: "laser",
    },
    needles: ["*W01", "N11", "T14", "R01", "Y08", "D01", "B07", "K04", "A03", null],
    hours: 1987.2,
    bought: [3, 1_120_000],
  },
  {
    body: {
      name: "Tern",
      kind: "multi-needle",
      stitchesPerMinute: 850,
      fieldWidthMm: 360,
      fieldHeightMm: 220,
      linesUpBy: "camera",
    },
    needles: ["*W01", "N11", "R06", "T14", "Y05", "D01", "D09", "K04", "G03", "P02"],
    hours: 640.8,
    bought: [1, 1_380_000],
  },
  {
    body: {
      name: "Puffin",
      kind: "straight-stitch",
      stitchesPerMinute: 4500,
      fieldWidthMm: 0,
      fieldHeightMm: 0,
      linesUpBy: "eye",
    },
    needles: [],
    hours: null,
    bought: [8, 95_000],
  },
  {
    body: {
      name: "Dunlin",
      kind: "straight-stitch",
      stitchesPerMinute: 4000,
      fieldWidthMm: 0,
      fieldHeightMm: 0,
      linesUpBy: "eye",
    },
    needles: [],
    hours: null,
    bought: [4, 82_000],
  },
];

type StockRow = readonly [
  kind: shapes.StockBody["kind"],
  code: string,
  name: string,
  colour: string,
  size: string,
  unit: string,
  onHand: number,
  reorderPoint: number,
];

export const demoStock: readonly StockRow[] = [
  ["blank", "ROBE-A-NV", "Swim robe, adult", "navy", "M/L", "piece", 46, 20],
  ["blank", "ROBE-C-SG", "Swim robe, child", "sea green", "8–10", "piece", 31, 15],
  ["blank", "TWL-B-ST", "Beach towel", "striped", "90 × 170 cm", "piece", 38, 20],
  ["blank", "TWL-H-IV", "Hand towel", "ivory", "50 × 90 cm", "piece", 4, 20],
  ["blank", "APR-NAT", "Apron", "natural", "one size", "piece", 27, 12],
  ["blank", "BAG-KIT", "Kit bag", "canvas", "45 l", "piece", 22, 10],
  ["blank", "BAG-TOTE", "Beach tote", "natural", "one size", "piece", 33, 15],
  ["blank", "HAT-KNIT", "Knitted hat", "charcoal", "one size", "piece", 18, 10],
  ["blank", "CUSH-45", "Cushion cover", "sailcloth", "45 × 45 cm", "piece", 16, 8],
  ["cloth", "CL-LINEN", "Linen", "oatmeal", "1.50 m wide", "metre", 24.5, 10],
  ["cloth", "CL-COT-B", "Cotton, bunting mix", "mixed", "1.12 m wide", "metre", 31, 12],
  ["cloth", "CL-COT-G", "Cotton, gingham", "red and white", "1.12 m wide", "metre", 12, 6],
  ["backing", "CUT-60", "Cut-away 60 g", "", "25 × 25 cm", "sheet", 410, 150],
  ["backing", "TEAR-40", "Tear-away 40 g", "", "25 × 25 cm", "sheet", 620, 200],
  ["topping", "FILM-SOL", "Soluble film", "clear", "50 cm wide", "metre", 38, 20],
  ["needle", "NDL-65-S", "Needles 65/9 sharp", "", "", "piece", 40, 20],
  ["needle", "NDL-75-S", "Needles 75/11 sharp", "", "", "piece", 85, 40],
  ["needle", "NDL-75-B", "Needles 75/11 ball point", "", "", "piece", 52, 20],
  ["needle", "NDL-90-S", "Needles 90/14 sharp", "", "", "piece", 26, 10],
  ["bobbin", "BOB-WHT", "Prewound bobbins", "white", "", "piece", 144, 72],
];

/** Pictures brought in as machine files: the motif, the width it is made at, and where it came from by its name. */
export const demoPictures: readonly (readonly [motif: string, widthMm: number])[] = [
  ["anchor", 62],
  ["gull", 84],
  ["wave", 88],
  ["sail-boat", 74],
  ["lighthouse", 52],
  ["starfish", 64],
  ["shell", 66],
  ["crab", 78],
  ["fish", 80],
  ["sun", 72],
  ["bunting", 100],
  ["crest-ring", 92],
];

export interface DemoProduct {
  readonly code: string;
  readonly name: string;
  readonly kind: shapes.ProductBody["kind"];
  readonly cloth: shapes.ProductBody["cloth"];
  readonly blank: string | null;
  readonly sewS: number;
  readonly priceCents: number;
  readonly caution: string;
  readonly placements: readonly {
    readonly name: string;
    readonly where: string;
    readonly hoop: HoopKey;
    readonly backing: string;
    readonly topping: string | null;
    readonly needle: readonly [sizeNm: number, point: "sharp" | "ball"];
    readonly picture: string | null;
    readonly lettering: {
      readonly heightMm: number;
      readonly maxWidthMm: number;
      readonly thread: string;
      readonly place: "alone" | "below" | "above";
    } | null;
  }[];
  /** How often it is ordered, against the others. */
  readonly weight: number;
  /** Whether an order may name its own picture. */
  readonly pictures: readonly string[];
}

const worn = "Worn by a child: no cord ends left on; local rules on children's wear and flammability apply.";

/** Twelve goods: nine bought in and embroidered, three sewn from cloth. */
// prettier-ignore
export const demoProducts: readonly DemoProduct[] = [
  { code: "ROBE-A", name: "Swim robe, adult", kind: "embroidered", cloth: "pile", blank: "ROBE-A-NV", sewS: 0, priceCents: 7900, caution: "", weight: 10, pictures: ["wave", "gull", "sun"], placements: [
    { name: "left chest", where: "centre of the design 200 mm down from the shoulder seam, 110 mm off the centre line", hoop: "side", backing: "CUT-60", topping: "FILM-SOL", needle: [75, "ball"], picture: "wave", lettering: { heightMm: 12, maxWidthMm: 110, thread: "W01", place: "below" } },
  ] },
  { code: "ROBE-C", name: "Swim robe, child", kind: "embroidered", cloth: "pile", blank: "ROBE-C-SG", sewS: 0, priceCents: 5900, caution: worn, weight: 9, pictures: ["crab", "fish", "starfish"], placements: [
    { name: "left chest", where: "centre of the design 150 mm down from the shoulder seam, 80 mm off the centre line", hoop: "side", backing: "CUT-60", topping: "FILM-SOL", needle: [75, "ball"], picture: "crab", lettering: { heightMm: 12, maxWidthMm: 110, thread: "N11", place: "below" } },
  ] },
  { code: "TWL-B", name: "Beach towel", kind: "embroidered", cloth: "pile", blank: "TWL-B-ST", sewS: 0, priceCents: 4200, caution: "", weight: 12, pictures: [], placements: [
    { name: "corner", where: "along the short edge, foot of the letters 60 mm from it, centred", hoop: "large", backing: "TEAR-40", topping: "FILM-SOL", needle: [75, "sharp"], picture: null, lettering: { heightMm: 38, maxWidthMm: 240, thread: "N11", place: "alone" } },
  ] },
  { code: "TWL-H", name: "Hand towel", kind: "embroidered", cloth: "pile", blank: "TWL-H-IV", sewS: 0, priceCents: 2400, caution: "", weight: 7, pictures: [], placements: [
    { name: "border", where: "above the woven border, centred", hoop: "side", backing: "TEAR-40", topping: "FILM-SOL", needle: [75, "sharp"], picture: null, lettering: { heightMm: 18, maxWidthMm: 120, thread: "T14", place: "alone" } },
  ] },
  { code: "APR", name: "Apron", kind: "embroidered", cloth: "woven", blank: "APR-NAT", sewS: 0, priceCents: 3800, caution: "", weight: 7, pictures: ["fish", "lighthouse", "crab"], placements: [
    { name: "bib", where: "centred, top of the design 80 mm below the neck hem", hoop: "large", backing: "TEAR-40", topping: null, needle: [75, "sharp"], picture: "fish", lettering: { heightMm: 20, maxWidthMm: 200, thread: "N11", place: "below" } },
  ] },
  { code: "KIT", name: "Kit bag", kind: "embroidered", cloth: "woven", blank: "BAG-KIT", sewS: 0, priceCents: 4900, caution: "Heavy canvas: watch the needle at the seams.", weight: 7, pictures: ["anchor", "sail-boat", "crest-ring"], placements: [
    { name: "side panel", where: "centred on the panel, 90 mm below the zip", hoop: "large", backing: "TEAR-40", topping: null, needle: [90, "sharp"], picture: "anchor", lettering: { heightMm: 22, maxWidthMm: 220, thread: "R01", place: "below" } },
  ] },
  { code: "TOTE", name: "Beach tote", kind: "embroidered", cloth: "woven", blank: "BAG-TOTE", sewS: 0, priceCents: 2900, caution: "", weight: 5, pictures: ["lighthouse", "sail-boat", "sun", "gull"], placements: [
    { name: "front", where: "centred, 120 mm below the top hem", hoop: "side", backing: "TEAR-40", topping: null, needle: [75, "sharp"], picture: "lighthouse", lettering: null },
  ] },
  { code: "HAT", name: "Knitted hat", kind: "embroidered", cloth: "knit", blank: "HAT-KNIT", sewS: 0, priceCents: 2600, caution: "", weight: 4, pictures: [], placements: [
    { name: "turn-up", where: "centred on the turn-up, sewn before it is turned", hoop: "side", backing: "CUT-60", topping: "FILM-SOL", needle: [75, "ball"], picture: null, lettering: { heightMm: 14, maxWidthMm: 110, thread: "W01", place: "alone" } },
  ] },
  { code: "CUSH", name: "Cushion cover", kind: "embroidered", cloth: "woven", blank: "CUSH-45", sewS: 0, priceCents: 3400, caution: "", weight: 4, pictures: ["crest-ring", "shell", "bunting"], placements: [
    { name: "front", where: "in the middle, line up on the pressed cross", hoop: "large", backing: "TEAR-40", topping: null, needle: [75, "sharp"], picture: "crest-ring", lettering: { heightMm: 16, maxWidthMm: 180, thread: "N11", place: "below" } },
  ] },
  { code: "NAPK", name: "Napkins, set of four", kind: "sewn", cloth: "woven", blank: null, sewS: 1500, priceCents: 3600, caution: "Rotary blade closed when put down.", weight: 3, pictures: [], placements: [] },
  { code: "BUNT", name: "Bunting, 5 m", kind: "sewn", cloth: "woven", blank: null, sewS: 2400, priceCents: 3200, caution: "Rotary blade closed when put down. Not a toy: keep long cords from small children.", weight: 3, pictures: [], placements: [] },
  { code: "KERCH", name: "Neckerchief", kind: "sewn", cloth: "woven", blank: null, sewS: 540, priceCents: 1600, caution: "Rotary blade closed when put down.", weight: 3, pictures: [], placements: [] },
];

/** First names to be sewn, of many tongues; all are made up for the demo and belong to nobody. */
// prettier-ignore
export const demoNames: readonly string[] = [
  "Maren", "Juno", "Otis", "Saoirse", "Bram", "Linnea", "Fenn", "Isolde", "Rafe", "Thora", "Caspian", "Petra", "Quill", "Edda", "Emil", "Ines",
  "Ottilie", "Basil", "Perrin", "Gideon", "Ansel", "Lorna", "Wilf", "Ada", "Tobias", "Ravi", "Elowen", "Zoë", "Gráinne", "Łukasz", "Ľubomír", "Åse",
  "Søren", "Émilie", "Jürgen", "Niamh", "Çelik", "Žofia", "Björn", "Inês", "Anaïs", "Máire", "Noël", "Brontë", "Tomás", "Freya", "Kit", "Hattie",
  "Rowan", "Dilys", "Mabel", "Huw", "Bo", "Astrid", "Florian", "Mina", "Jasper", "Willa", "Sunniva", "Pip",
];

// prettier-ignore
export const demoSurnames: readonly string[] = [
  "Tolley", "Marchbank", "Penhale", "Quinnell", "Ashdown", "Brae", "Carrick", "Dunmore", "Eskdale", "Farrow", "Gilling", "Hallam", "Innes", "Jessop", "Keld", "Lowther",
  "Merrow", "Norbury", "Ormond", "Pascoe", "Rusk", "Selwick", "Trethew", "Underhay", "Varley", "Wescott", "Yarrow", "Ní Bhriain", "Sørby", "Kovářová",
];
