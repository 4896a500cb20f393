import { z } from "zod";
import { row } from "./row";
import {
  calendarDate,
  cents,
  currency,
  daysOff,
  id,
  listQuery,
  millimetres,
  minute,
  name,
  note,
  recordFields,
  rgb,
  seconds,
  shortText,
  timeZone,
  weekHours,
} from "./values";

/** The studio itself and its lists: people, machines, hoops, threads, stock, products. */

const weight = z.number().min(0).max(1_000_000);

export const studioBody = z.strictObject({
  name,
  timeZone,
  currency,
  lengthUnit: z.enum(["mm", "inch"]),
  paper: z.enum(["A4", "Letter"]),
  openHours: weekHours,
  closedDays: daysOff,
  dealerTurnaroundDays: z.int().min(0).max(365),
  shipLeadDays: z.int().min(0).max(60),
  costWeights: z.strictObject({
    perLateMinute: weight,
    perThreading: weight,
    perMidStop: weight,
    perFinishMinute: weight,
  }),
  stepTimes: z.strictObject({
    hoopMagneticS: seconds,
    hoopScrewS: seconds,
    threadS: seconds,
    chooseDesignS: seconds,
    lineUpLaserS: seconds,
    lineUpCameraS: seconds,
    lineUpEyeS: seconds,
    swapHoopS: seconds,
    colourChangeS: seconds,
    trimS: seconds,
    unhoopS: seconds,
    finishS: seconds,
  }),
});

export const personBody = z.strictObject({
  name,
  shifts: weekHours,
  daysOff: daysOff.default([]),
  skills: z.array(z.enum(["hoop", "embroider", "cut", "sew", "finish"])).max(5),
  note,
});

const needle = z.strictObject({
  number: z.int().min(1).max(64),
  threadId: id.nullable(),
  sizeNm: z.int().min(50).max(150),
  point: z.enum(["sharp", "ball"]),
  fixed: z.boolean(),
  stitchesSinceChange: z.int().min(0),
});

export const machineBody = z.strictObject({
  name,
  kind: z.enum(["multi-needle", "straight-stitch", "household"]),
  needles: z
    .array(needle)
    .max(64)
    .refine(
      (needles) => needles.every((one, index) => one.number === index + 1),
      "needles must be numbered 1, 2, 3 … in order",
    ),
  stitchesPerMinute: z.int().min(1).max(10_000),
  fieldWidthMm: millimetres,
  fieldHeightMm: millimetres,
  hoopIds: z.array(id).max(100),
  linesUpBy: z.enum(["laser", "camera", "eye"]),
  hourMeter: z.strictObject({ hours: z.number().min(0).max(1_000_000), readOn: calendarDate }).nullable(),
  bought: z.strictObject({ on: calendarDate, priceCents: cents.min(0) }).nullable(),
  /** What is lifted when it is carried to its service. */
  weightKg: z.number().gt(0).max(1000).nullable().optional(),
  downTimes: z
    .array(
      z.strictObject({
        fromDate: calendarDate,
        fromMinute: minute,
        toDate: calendarDate,
        toMinute: minute,
        why: shortText,
      }),
    )
    .max(200)
    .default([]),
  times: z
    .strictObject({
      threadS: seconds.nullable(),
      loadS: seconds.nullable(),
      unloadS: seconds.nullable(),
      colourChangeS: seconds.nullable(),
      trimS: seconds.nullable(),
    })
    .default({ threadS: null, loadS: null, unloadS: null, colourChangeS: null, trimS: null }),
  note,
});

export const hoopBody = z.strictObject({
  name,
  kind: z.enum(["magnetic", "screw"]),
  fieldWidthMm: millimetres.min(1),
  fieldHeightMm: millimetres.min(1),
  count: z.int().min(0).max(1000),
  hoopS: seconds.nullable().default(null),
  note,
});

export const threadBody = z.strictObject({
  code: z.string().trim().min(1, "a code is needed").max(24),
  name,
  rgb,
  fibre: z.enum(["polyester", "rayon", "cotton", "metallic", "wool", "other"]),
  densityTex: z.number().min(1).max(1000),
  metresPerCone: z.number().min(0).max(100_000),
  cones: z.number().min(0).max(100_000),
  metresLeft: z.number().min(0).max(100_000_000),
  reorderMetres: z.number().min(0).max(100_000_000),
  note,
});

export const stockBody = z.strictObject({
  kind: z.enum(["blank", "backing", "topping", "needle", "bobbin", "cloth"]),
  code: z.string().trim().min(1, "a code is needed").max(40),
  name,
  colour: shortText.default(""),
  size: shortText.default(""),
  unit: z.string().trim().min(1).max(24).default("piece"),
  onHand: z.number().min(-1_000_000).max(1_000_000_000),
  reorderPoint: z.number().min(0).max(1_000_000_000).default(0),
  note,
});

/** How one text of an order is sewn. */
const textLine = {
  heightMm: z.number().min(3).max(200),
  maxWidthMm: z.number().min(5).max(1000),
  threadId: id.nullable(),
  /** Whose letters; the upright alphabet when left out. */
  face: z
    .string()
    .max(80)
    .regex(/^(alphabet|font|own):[\w .-]+$/, "expected a face of the list")
    .optional(),
  /** Text that is too wide is made lower, not under this; null or left out: as low as sews on the cloth. */
  leastHeightMm: z.number().min(3).max(200).nullable().optional(),
  /** Bent over this angle: up when positive. */
  arcDeg: z.number().min(-330).max(330).optional(),
  /** Which of the order's texts it sews, from 1; left out: the whole text, or with further lines its own place. */
  text: z.int().min(1).max(8).optional(),
};

/** A further text of the same placement, set above or below what is there already. */
export const furtherLine = z.strictObject({ ...textLine, place: z.enum(["below", "above"]) });

export const placementBody = z.strictObject({
  id,
  name,
  where: shortText,
  hoopId: id.nullable(),
  backingId: id.nullable(),
  toppingId: id.nullable(),
  needleSizeNm: z.int().min(50).max(150),
  needlePoint: z.enum(["sharp", "ball"]),
  designId: id.nullable(),
  lettering: z
    .strictObject({
      ...textLine,
      place: z.enum(["alone", "below", "above"]),
      further: z.array(furtherLine).max(5).optional(),
    })
    .nullable(),
  machineIds: z.array(id).max(100).nullable(),
  hoopS: seconds.nullable(),
  unhoopS: seconds.nullable(),
  finishS: seconds.nullable(),
});

export const productBody = z.strictObject({
  code: z.string().trim().min(1, "a code is needed").max(40),
  name,
  kind: z.enum(["embroidered", "sewn"]),
  cloth: z.enum(["woven", "knit", "pile"]),
  blankId: id.nullable(),
  placements: z.array(placementBody).max(12),
  sewS: seconds,
  priceCents: cents.min(0),
  caution: z.string().max(500).default(""),
  note,
});

const listOf = <S extends z.ZodType>(record: S) => z.object({ items: z.array(record), total: z.int() });
/** A record that is used cannot vanish: archived it stays wherever something points to it. */
const recordOf = <S extends z.ZodObject>(body: S) =>
  // A spread of a generic shape loses its members' types; they are named again here.
  z.object({ ...body.shape, ...recordFields }) as unknown as z.ZodObject<
    S["shape"] & typeof recordFields,
    z.core.$strip
  >;

function catalogueRows<const Noun extends string, S extends z.ZodObject>(noun: Noun, one: string, body: S) {
  const base = `/api/${noun}` as const;
  const record = recordOf(body);
  return {
    list: row({
      method: "GET",
      path: base,
      summary: `Lists ${noun}`,
      query: listQuery,
      output: listOf(record),
      carriage: "json",
    }),
    get: row({
      method: "GET",
      path: `${base}/:id` as const,
      summary: `One ${one}`,
      output: record,
      carriage: "json",
    }),
    create: row({
      method: "POST",
      path: base,
      summary: `Adds a ${one}`,
      body,
      output: record,
      carriage: "json",
    }),
    change: row({
      method: "PUT",
      path: `${base}/:id` as const,
      summary: `Changes a ${one}`,
      body,
      output: record,
      carriage: "json",
      needsMatch: true,
    }),
    archive: row({
      method: "DELETE",
      path: `${base}/:id` as const,
      summary: `Archives a ${one}; nothing that points to it breaks`,
      output: record,
      carriage: "json",
      needsMatch: true,
    }),
    unarchive: row({
      method: "POST",
      path: `${base}/:id/unarchive` as const,
      summary: `Takes a ${one} back from the archive`,
      output: record,
      carriage: "json",
      needsMatch: true,
    }),
  } as const;
}

export const catalogue = {
  people: catalogueRows("people", "person", personBody),
  machines: catalogueRows("machines", "machine", machineBody),
  hoops: catalogueRows("hoops", "hoop", hoopBody),
  threads: catalogueRows("threads", "thread", threadBody),
  stock: catalogueRows("stock", "stock item", stockBody),
  products: catalogueRows("products", "product", productBody),
} as const;

export const studioRecord = z.object({ ...studioBody.shape, version: z.int(), updatedAtMs: z.int() });

export const status = z.object({
  /** The program's version. */
  program: z.string(),
  schema: z.int(),
  state: z.enum(["empty", "making-demo", "ready"]),
  demo: z.boolean(),
  studioName: z.string().nullable(),
  nowMs: z.int(),
  /** Progress of long work at the start, 0 to 1, with what is being done. */
  progress: z.object({ share: z.number(), doing: z.string() }).nullable(),
});

export const change = z.object({
  id,
  atMs: z.int(),
  who: z.string(),
  /** In words: "Changed machine Heron". */
  what: z.string(),
  undone: z.boolean(),
});

export const studioRows = {
  status: row({
    method: "GET",
    path: "/api/status",
    summary: "What the program is and how far it is set up",
    output: status,
    carriage: "json",
  }),
  setUpStudio: row({
    method: "POST",
    path: "/api/setup",
    summary: "Sets up the studio of an empty data folder, with the usual times and hours",
    body: z.strictObject({
      name,
      timeZone,
      currency,
      lengthUnit: z.enum(["mm", "inch"]),
      paper: z.enum(["A4", "Letter"]),
    }),
    output: studioRecord,
    carriage: "json",
  }),
  setUpDemo: row({
    method: "POST",
    path: "/api/setup/demo",
    summary: "Makes the demo studio in an empty data folder",
    output: status,
    carriage: "json",
  }),
  readStudio: row({
    method: "GET",
    path: "/api/studio",
    summary: "The studio",
    output: studioRecord,
    carriage: "json",
  }),
  changeStudio: row({
    method: "PUT",
    path: "/api/studio",
    summary: "Changes the studio",
    body: studioBody,
    output: studioRecord,
    carriage: "json",
    needsMatch: true,
  }),
  listChanges: row({
    method: "GET",
    path: "/api/changes",
    summary: "What was changed lately, newest first",
    query: z.strictObject({
      limit: z.coerce.number().int().min(1).max(200).default(50),
      record: z.string().max(64).default(""),
    }),
    output: z.object({ items: z.array(change) }),
    carriage: "json",
  }),
  undoChange: row({
    method: "POST",
    path: "/api/changes/:id/undo",
    summary: "Takes a change back, unless what it changed was changed again since",
    output: change,
    carriage: "json",
  }),
  live: row({
    method: "GET",
    path: "/api/live",
    summary: "Server-sent events: what changed, for pages that are open",
    carriage: "events",
  }),
  openapi: row({
    method: "GET",
    path: "/api/openapi.json",
    summary: "This interface as an OpenAPI 3.1 document",
    output: z.unknown(),
    carriage: "json",
  }),
};
