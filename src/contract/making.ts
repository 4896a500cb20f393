import { z } from "zod";
import { designVersion } from "./designs";
import { row } from "./row";
import { furtherLine } from "./studio";
import { atMs, finding, id, name } from "./values";

/**
 * Making designs by hand: lettering, artwork and stored designs put together on one frame. What is kept is the making;
 * stitches follow from it. Places are mm from the middle of the frame, y up; angles degrees, counter-clockwise.
 */

const mm = z.number().min(-1000).max(1000);
const fileHash = z.string().regex(/^[0-9a-f]{64}$/, "expected the name of a kept file");
/** A name of the thing within its making. */
const key = z.string().regex(/^[a-z0-9]{1,24}$/, "expected small letters and digits");
const placed = { key, xMm: mm, yMm: mm, turnDeg: z.number().min(-360).max(360) };

/** Whose letters: `upright`, `flowing`, a font that comes with the program, or one of the studio's own. */
export const face = z
  .string()
  .max(80)
  .regex(/^(alphabet|font|own):[\w .-]+$/, "expected a face of the list");

const lettering = z.strictObject({
  kind: z.literal("lettering"),
  ...placed,
  text: z.string().min(1, "a text is needed").max(200),
  face,
  heightMm: z.number().min(1).max(200),
  /** The text is made as high as gives this width instead. */
  widthMm: z.number().min(1).max(1000).nullable(),
  bend: z.discriminatedUnion("as", [
    z.strictObject({ as: z.literal("straight") }),
    z.strictObject({ as: z.literal("arc"), degrees: z.number().min(-330).max(330) }),
    z.strictObject({
      as: z.literal("circle"),
      radiusMm: z.number().min(1).max(500),
      side: z.enum(["upper", "lower"]),
    }),
  ]),
  align: z.enum(["left", "centre", "right"]),
  letterSpacingMm: z.number().min(-50).max(50),
  wordSpacingMm: z.number().min(-50).max(50),
  lineSpacing: z.number().min(0.5).max(6),
  order: z.enum(["along", "from-the-middle"]),
  threadId: id.nullable(),
});

/** One shape of a part, moved, turned or sized by itself. */
export const artworkShape = z.strictObject({
  /** Which: its left, bottom, right and top as drawn, from the artwork's middle, in thousandths of its width. */
  edges: z.array(z.int().min(-100_000).max(100_000)).length(4),
  xMm: mm,
  yMm: mm,
  turnDeg: z.number().min(-360).max(360),
  sizePercent: z.number().min(10).max(400),
  leaveOut: z.boolean(),
});

export const artworkPart = z.strictObject({
  /** The part's colour, and `/2` where it is sewn a second time. */
  part: z.string().regex(/^#[0-9a-f]{6}(\/\d{1,3})?$/, "expected a part such as #1a3c5e or #1a3c5e/2"),
  threadId: id.nullable(),
  leaveOut: z.boolean(),
  /** Null: as proposed. */
  lines: z.enum(["rows", "along the edge"]).nullable(),
  angleDeg: z.number().min(-360).max(360).nullable(),
  spacingMm: z.number().min(0.25).max(3).nullable(),
  underlay: z.enum(["double", "full", "edge", "none"]).nullable(),
  /** Shapes that are changed by themselves; all others stay as drawn. */
  shapes: z.array(artworkShape).max(200).optional(),
});

const artwork = z.strictObject({
  kind: z.literal("artwork"),
  ...placed,
  fileHash,
  fileName: z.string().max(200),
  widthMm: z.number().min(1).max(1000),
  mostColours: z.int().min(1).max(24),
  ground: z.enum(["leave out", "keep"]),
  /** In the order wanted; parts not named come last as proposed. */
  parts: z.array(artworkPart).max(200),
});

const stored = z.strictObject({
  kind: z.literal("design"),
  ...placed,
  versionId: id,
  /** Stitches from a machine file are only moved nearer or further, so within 90 to 110 %. */
  sizePercent: z.number().min(90).max(110),
  /** Null: the threads of the design. */
  threadIds: z.array(id.nullable()).max(1000).nullable(),
});

export const makingItem = z.discriminatedUnion("kind", [lettering, artwork, stored]);

export const handMaking = z
  .strictObject({
    format: z.literal("spoolwright/making@1"),
    cloth: z.enum(["woven", "knit", "pile"]),
    /** The hoop it is made for; null: none yet. */
    hoopId: id.nullable(),
    /** In sewing order. */
    items: z.array(makingItem).min(1, "nothing is there to sew").max(24),
  })
  .refine(
    ({ items }) => new Set(items.map((item) => item.key)).size === items.length,
    "two things of a making have the same key",
  );

const box = z.object({ left: z.number(), right: z.number(), bottom: z.number(), top: z.number() });
const said = z.object({ code: z.string(), title: z.string(), message: z.string(), advice: z.string() });

/** What of a making was sewn as one thing, and what could not be. */
const madeItem = z.object({
  key,
  /** Null where nothing could be made of it. */
  boxMm: box.nullable(),
  /** Why it could not be made. */
  trouble: said.nullable(),
  /** Letters the face lacks, each once. */
  missing: z.array(z.string()),
  /** Lettering: the height its capitals came out at. */
  heightMm: z.number().nullable(),
  findings: z.array(finding),
  /** Artwork: its parts in the order they are sewn. */
  parts: z.array(
    z.object({
      part: z.string(),
      colour: z.string(),
      leftOut: z.boolean(),
      /** Parts that lie beneath it and are sewn before it. */
      beneath: z.array(z.string()),
      /** What it is made of: "2 filled areas, 1 satin". */
      fills: z.int(),
      satins: z.int(),
      runs: z.int(),
      areaMm2: z.number(),
      angleDeg: z.number().nullable(),
      lines: z.enum(["rows", "along the edge"]).nullable(),
      /** Its shapes in sewing order, the first 200: each can be changed by itself. */
      shapes: z.array(
        z.object({
          edges: z.array(z.int()),
          sew: z.enum(["fill", "satin", "run"]),
          /** Where it lies now, from where the artwork lies. */
          boxMm: box,
          leftOut: z.boolean(),
        }),
      ),
    }),
  ),
});

export const madePreview = z.object({
  /** The form of designStitches, in base64. */
  stitches: z.string(),
  /** One a part of the design, between two colour stops. */
  parts: z.array(
    z.object({
      stitches: z.int(),
      threadMm: z.number(),
      threadId: id.nullable(),
      /** `#rrggbb` to draw it in while it has no thread. */
      colour: z.string(),
      /** What is sewn in it: the item's key, and the part of the artwork where it is one. */
      of: z.array(z.object({ key, part: z.string().nullable() })),
    }),
  ),
  items: z.array(madeItem),
  extentsMm: box,
  stitchCount: z.int(),
  trims: z.int(),
  jumps: z.int(),
  longestMm: z.number(),
  shortestMm: z.number(),
  densestPerMm2: z.number(),
  /** Of the whole: the checks'. */
  findings: z.array(finding),
  tookMs: z.number(),
});

export const faceOf = z.object({
  key: face,
  name,
  kind: z.enum(["alphabet", "font", "own"]),
  /** In a few words, for choosing. */
  about: z.string(),
  /** Of the studio's own: the record's id and version. */
  own: z.object({ id, version: z.int(), fileName: z.string() }).nullable(),
});

/** How names are made in numbers: a placement's recipe, or one given here. */
export const nameRecipe = z.strictObject({
  cloth: z.enum(["woven", "knit", "pile"]),
  face,
  heightMm: z.number().min(3).max(200),
  leastHeightMm: z.number().min(3).max(200).nullable(),
  maxWidthMm: z.number().min(5).max(1000),
  arcDeg: z.number().min(-330).max(330),
  place: z.enum(["alone", "below", "above"]),
  /** The picture it goes with; its newest version is taken. */
  designId: id.nullable(),
  threadId: id.nullable(),
  /** Further texts of a name, as a placement has them: `Ada / 2019` has two. */
  further: z.array(furtherLine).max(5).optional(),
});

const nameMade = z.object({
  text: z.string(),
  threadId: id.nullable(),
  /** Null where it could not be made; the trouble says why. */
  versionId: id.nullable(),
  designId: id.nullable(),
  trouble: z.string().nullable(),
  findings: z.array(finding),
  stitches: z.int(),
  widthMm: z.number(),
  heightMm: z.number(),
});

export const namesRun = z.object({
  id,
  state: z.enum(["running", "done", "stopped", "failed"]),
  of: z.int(),
  done: z.int(),
  begunAtMs: atMs,
  tookMs: z.int(),
  failure: z.string().nullable(),
  names: z.array(nameMade),
});

export const makingRows = {
  listFaces: row({
    method: "GET",
    path: "/api/faces",
    summary: "Alphabets and fonts lettering can be sewn in",
    output: z.object({ items: z.array(faceOf) }),
    carriage: "json",
  }),
  addFont: row({
    method: "POST",
    path: "/api/fonts",
    summary: "Adds a font of the studio's own: a TTF, OTF, WOFF or WOFF2 file",
    query: z.strictObject({ name: z.string().min(1).max(400) }),
    body: "bytes",
    bodyLimitBytes: 25_000_000,
    output: z.object({ face: faceOf, already: z.boolean() }),
    carriage: "json",
  }),
  archiveFont: row({
    method: "DELETE",
    path: "/api/fonts/:id",
    summary: "Archives a font of the studio's own; designs made with it keep it",
    output: faceOf,
    carriage: "json",
    needsMatch: true,
  }),
  addArtwork: row({
    method: "POST",
    path: "/api/artwork",
    summary: "Takes in a drawing (SVG) or picture (PNG, JPEG) to make a design of",
    query: z.strictObject({ name: z.string().min(1).max(400) }),
    body: "bytes",
    bodyLimitBytes: 50_000_000,
    output: z.object({
      fileHash,
      fileName: z.string(),
      kind: z.enum(["drawing", "picture"]),
      /** How large it says it is; null where it does not. */
      naturalMm: z.object({ width: z.number(), height: z.number() }).nullable(),
      findings: z.array(finding),
    }),
    carriage: "json",
  }),
  previewMaking: row({
    method: "POST",
    path: "/api/making/preview",
    summary: "The stitches of a making with what was found; nothing is kept. Of one `desk` the newest wins",
    body: z.strictObject({ making: handMaking, desk: z.string().min(1).max(64) }),
    output: madePreview,
    carriage: "json",
  }),
  saveMaking: row({
    method: "POST",
    path: "/api/making",
    summary: "Keeps a making as a new design, or with `into` as a new version of one",
    body: z.strictObject({ making: handMaking, name, into: id.nullable() }),
    output: z.object({ designId: id, version: designVersion }),
    carriage: "json",
  }),
  readMaking: row({
    method: "GET",
    path: "/api/design-versions/:id/making",
    summary: "How a version is made; null where it has stitches only",
    output: z.object({
      making: handMaking.nullable(),
      designId: id,
      designName: z.string(),
      number: z.int(),
      source: designVersion.shape.source,
    }),
    carriage: "json",
  }),
  makeNames: row({
    method: "POST",
    path: "/api/names",
    summary: "Makes a design of each name by one recipe; read the run for its progress",
    body: z.strictObject({
      recipe: nameRecipe,
      names: z
        .array(z.strictObject({ text: z.string().trim().min(1).max(200), threadId: id.nullable() }))
        .min(1, "no name is given")
        .max(2000),
    }),
    output: namesRun,
    carriage: "json",
  }),
  readNames: row({
    method: "GET",
    path: "/api/names/:id",
    summary: "How a run of names stands",
    output: namesRun,
    carriage: "json",
  }),
  stopNames: row({
    method: "POST",
    path: "/api/names/:id/stop",
    summary: "Stops a run of names; what is made stays",
    output: namesRun,
    carriage: "json",
  }),
  namesArchive: row({
    method: "GET",
    path: "/api/names/:id/files.zip",
    summary: "The machine files of a run of names in one archive, with a list of what is in it",
    carriage: "bytes",
    mediaType: "application/zip",
  }),
};
