/**
 * The nouns of a studio as plain values. Money (…Cents) is whole minor units of the studio's currency (ISO 4217),
 * lengths are mm unless the name says otherwise, durations whole seconds, dates of the calendar `YYYY-MM-DD` (never instants), instants
 * milliseconds since 1970 (`…AtMs`), times of day whole minutes after midnight. Ids are opaque strings.
 */

/** A calendar date, `YYYY-MM-DD`. */
export type CalendarDate = string;

/** Spans of one day in minutes after midnight, start < end, in order, not overlapping. */
export type DayHours = readonly { readonly startMinute: number; readonly endMinute: number }[];

/** Seven days, Monday first (ISO 8601). */
export type WeekHours = readonly DayHours[];

/** Days away or closed, both ends included. */
export interface DaysOff {
  readonly from: CalendarDate;
  readonly to: CalendarDate;
  readonly why: string;
}

/** How long each step takes where nothing better is known (TRADE.md; common practice, no source). */
export interface StepTimes {
  readonly hoopMagneticS: number;
  readonly hoopScrewS: number;
  readonly threadS: number;
  readonly chooseDesignS: number;
  readonly lineUpLaserS: number;
  readonly lineUpCameraS: number;
  readonly lineUpEyeS: number;
  /** Swapping the finished hoop out: the plan's unload. */
  readonly swapHoopS: number;
  readonly colourChangeS: number;
  readonly trimS: number;
  readonly unhoopS: number;
  readonly finishS: number;
}

export interface CostWeights {
  readonly perLateMinute: number;
  readonly perThreading: number;
  readonly perMidStop: number;
  readonly perFinishMinute: number;
}

export type LengthUnit = "mm" | "inch";
export type PaperSize = "A4" | "Letter";

export interface Studio {
  readonly name: string;
  /** IANA name, such as Europe/Dublin. */
  readonly timeZone: string;
  /** ISO 4217. */
  readonly currency: string;
  readonly lengthUnit: LengthUnit;
  readonly paper: PaperSize;
  readonly openHours: WeekHours;
  readonly closedDays: readonly DaysOff[];
  /** Days a machine is away when the dealer services it. */
  readonly dealerTurnaroundDays: number;
  /** Working days between the ship-by date and the promise date, for the carrier. */
  readonly shipLeadDays: number;
  readonly costWeights: CostWeights;
  readonly stepTimes: StepTimes;
}

export type Skill = "hoop" | "embroider" | "cut" | "sew" | "finish";

export interface Person {
  readonly name: string;
  readonly shifts: WeekHours;
  readonly daysOff: readonly DaysOff[];
  readonly skills: readonly Skill[];
  readonly note: string;
}

export type MachineKind = "multi-needle" | "straight-stitch" | "household";
export type LineUp = "laser" | "camera" | "eye";
export type NeedlePoint = "sharp" | "ball";

export interface Needle {
  /** From 1, in the machine's physical order. */
  readonly number: number;
  readonly threadId: string | null;
  /** Hundredths of a millimetre of blade (Nm), such as 75. */
  readonly sizeNm: number;
  readonly point: NeedlePoint;
  /** A fixed needle keeps its thread. */
  readonly fixed: boolean;
  readonly stitchesSinceChange: number;
}

/** A time the machine is away or stopped, local date and minute to local date and minute. */
export interface DownTime {
  readonly fromDate: CalendarDate;
  readonly fromMinute: number;
  readonly toDate: CalendarDate;
  readonly toMinute: number;
  readonly why: string;
}

export interface Machine {
  readonly name: string;
  readonly kind: MachineKind;
  /** Empty for a straight-stitch machine. */
  readonly needles: readonly Needle[];
  readonly stitchesPerMinute: number;
  readonly fieldWidthMm: number;
  readonly fieldHeightMm: number;
  readonly hoopIds: readonly string[];
  readonly linesUpBy: LineUp;
  readonly hourMeter: { readonly hours: number; readonly readOn: CalendarDate } | null;
  readonly bought: { readonly on: CalendarDate; readonly priceCents: number } | null;
  /** What is lifted when it is carried away; null or absent where it was not entered. */
  readonly weightKg?: number | null | undefined;
  readonly downTimes: readonly DownTime[];
  /** The machine's own times; null takes the studio's. */
  readonly times: {
    readonly threadS: number | null;
    readonly loadS: number | null;
    readonly unloadS: number | null;
    readonly colourChangeS: number | null;
    readonly trimS: number | null;
  };
  readonly note: string;
}

export type HoopKind = "magnetic" | "screw";

export interface Hoop {
  readonly name: string;
  readonly kind: HoopKind;
  /** The inner field that may be sewn. */
  readonly fieldWidthMm: number;
  readonly fieldHeightMm: number;
  readonly count: number;
  /** Null takes the studio's time for the kind. */
  readonly hoopS: number | null;
  readonly note: string;
}

export type Fibre = "polyester" | "rayon" | "cotton" | "metallic" | "wool" | "other";

export interface Thread {
  /** The shop's own code, such as N11. */
  readonly code: string;
  readonly name: string;
  /** sRGB, `#rrggbb`. */
  readonly rgb: string;
  readonly fibre: Fibre;
  readonly densityTex: number;
  readonly metresPerCone: number;
  readonly cones: number;
  readonly metresLeft: number;
  readonly reorderMetres: number;
  readonly note: string;
}

export type StockKind = "blank" | "backing" | "topping" | "needle" | "bobbin" | "cloth";

export interface StockItem {
  readonly kind: StockKind;
  readonly code: string;
  readonly name: string;
  readonly colour: string;
  readonly size: string;
  /** What one of it is: piece, sheet, metre. */
  readonly unit: string;
  readonly onHand: number;
  readonly reorderPoint: number;
  readonly note: string;
}

export type Cloth = "woven" | "knit" | "pile";

/** Where and how a product is embroidered once; each placement of a piece is one run on a machine. */
export interface Placement {
  readonly id: string;
  readonly name: string;
  /** Where it goes, in words: "left chest, 200 mm down from the shoulder seam, 110 mm off the centre". */
  readonly where: string;
  readonly hoopId: string | null;
  readonly backingId: string | null;
  readonly toppingId: string | null;
  readonly needleSizeNm: number;
  readonly needlePoint: NeedlePoint;
  /** The picture sewn when the order names none; null where the placement is lettering alone or the order must name one. */
  readonly designId: string | null;
  /** Lettering of the order's personal text; null where the placement takes none. */
  readonly lettering: {
    readonly heightMm: number;
    readonly maxWidthMm: number;
    readonly threadId: string | null;
    readonly place: "alone" | "below" | "above";
  } | null;
  /** Null allows every machine that takes the hoop. */
  readonly machineIds: readonly string[] | null;
  /** Null takes the studio's times. */
  readonly hoopS: number | null;
  readonly unhoopS: number | null;
  readonly finishS: number | null;
}

export type ProductKind = "embroidered" | "sewn";

export interface Product {
  readonly code: string;
  readonly name: string;
  readonly kind: ProductKind;
  readonly cloth: Cloth;
  readonly blankId: string | null;
  /** Empty for goods that are only sewn. */
  readonly placements: readonly Placement[];
  /** Cutting and sewing of one piece at a straight-stitch machine; 0 where nothing is sewn. */
  readonly sewS: number;
  readonly priceCents: number;
  /** Shown with the work where it can hurt or where the piece is worn. */
  readonly caution: string;
  readonly note: string;
}

export type PieceState =
  | "waiting"
  | "ready"
  | "hooped"
  | "sewing"
  | "finishing"
  | "done"
  | "packed"
  | "shipped"
  | "spoiled"
  | "cancelled";

export type WaitingFor = "stock" | "artwork" | "approval";
export type Urgency = "first" | "normal" | "held";
