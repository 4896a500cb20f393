import { z } from "zod";
import { pieceStates } from "#core/shop";
import { row } from "./row";
import { atMs, calendarDate, cents, id, listQuery, note, recordFields, seconds, shortText } from "./values";

/** Orders, their lines, the pieces they become, and each piece's embroidery jobs. */

export const pieceState = z.enum(pieceStates);
export const urgency = z.enum(["first", "normal", "held"]);
export const waitingFor = z.enum(["stock", "artwork", "approval"]);

export const lineBody = z.strictObject({
  /** Null for a new line. */
  id: id.nullable().default(null),
  productId: id,
  quantity: z.int().min(1).max(10_000),
  personalText: z.string().max(200).default(""),
  /** The picture; null takes the product's own. */
  designId: id.nullable().default(null),
  /** Threads by part over the design's own; null keeps those. */
  threadIds: z.array(id.nullable()).max(200).nullable().default(null),
  /** Thread of the personal text; null takes the product's. */
  textThreadId: id.nullable().default(null),
  priceCents: cents.nullable().default(null),
  note,
});

export const orderBody = z.strictObject({
  /** The customer's or channel's own number; the key that keeps an import from adding twice. */
  reference: z.string().trim().min(1, "a reference is needed").max(80),
  customer: z.string().trim().max(200).default(""),
  channel: z.string().trim().max(80).default(""),
  placedOn: calendarDate,
  promiseDate: calendarDate,
  /** Null is counted back from the promise date by the studio's days for the carrier. */
  shipBy: calendarDate.nullable().default(null),
  note,
  lines: z.array(lineBody).min(1, "an order needs a line").max(500),
});

export const job = z.object({
  id,
  version: z.int(),
  pieceId: id,
  placementId: z.string(),
  placementName: z.string(),
  /** Null while no design can be made; the reason stands in `trouble`. */
  designVersionId: id.nullable(),
  trouble: z.string().nullable(),
  threadIds: z.array(id.nullable()),
  hoopId: id.nullable(),
  machineIds: z.array(id).nullable(),
  hoopS: seconds.nullable(),
  unhoopS: seconds.nullable(),
  finishS: seconds.nullable(),
  stitches: z.int(),
  /** Whether it has been sewn. */
  sewn: z.boolean(),
});

export const piece = z.object({
  id,
  version: z.int(),
  /** Short and speakable: order reference and a number. */
  code: z.string(),
  orderId: id,
  lineId: id,
  productId: id,
  personalText: z.string(),
  state: pieceState,
  waitingFor: waitingFor.nullable(),
  urgency,
  heldWhy: z.string(),
  pinnedMachineId: id.nullable(),
  /** The spoiled piece this one remakes. */
  remakeOf: id.nullable(),
  stateChangedAtMs: atMs,
  /** Given with lists of pieces. */
  orderReference: z.string(),
  customer: z.string(),
  promiseDate: calendarDate,
  shipBy: calendarDate,
  jobs: z.array(job),
});

export const line = z.object({ ...lineBody.shape, id, position: z.int() });

export const order = z.object({
  ...recordFields,
  reference: z.string(),
  customer: z.string(),
  channel: z.string(),
  placedOn: calendarDate,
  promiseDate: calendarDate,
  shipBy: calendarDate,
  note: z.string(),
  lines: z.array(line),
  /** How many pieces stand in each state; states with none are left out. */
  pieceCounts: z.partialRecord(pieceState, z.int()),
});

const floorEvent = z.object({ id, atMs, who: z.string(), what: z.string(), why: z.string() });

export const orderRows = {
  listOrders: row({
    method: "GET",
    path: "/api/orders",
    summary: "Lists orders",
    query: listQuery.extend({
      /** open: something is still to ship; late: open with a ship-by date that has passed. */
      show: z.enum(["open", "late", "shipped", "all"]).default("open"),
    }),
    output: z.object({ items: z.array(order), total: z.int(), open: z.int(), late: z.int() }),
    carriage: "json",
  }),
  readOrder: row({
    method: "GET",
    path: "/api/orders/:id",
    summary: "One order with its pieces",
    output: z.object({ order, pieces: z.array(piece) }),
    carriage: "json",
  }),
  createOrder: row({
    method: "POST",
    path: "/api/orders",
    summary: "Adds an order; its lines become pieces",
    body: orderBody,
    output: order,
    carriage: "json",
  }),
  changeOrder: row({
    method: "PUT",
    path: "/api/orders/:id",
    summary: "Changes an order; pieces already begun keep their record",
    body: orderBody,
    output: order,
    carriage: "json",
    needsMatch: true,
  }),
  cancelOrder: row({
    method: "DELETE",
    path: "/api/orders/:id",
    summary: "Cancels an order: its pieces that are not begun are cancelled",
    output: order,
    carriage: "json",
    needsMatch: true,
  }),
  listPieces: row({
    method: "GET",
    path: "/api/pieces",
    summary: "Lists pieces",
    query: listQuery.extend({ state: z.union([pieceState, z.enum(["open", "all"])]).default("open") }),
    output: z.object({ items: z.array(piece), total: z.int() }),
    carriage: "json",
  }),
  readPiece: row({
    method: "GET",
    path: "/api/pieces/:id",
    summary: "One piece with its history",
    output: z.object({ piece, history: z.array(floorEvent) }),
    carriage: "json",
  }),
  changePiece: row({
    method: "PUT",
    path: "/api/pieces/:id",
    summary: "Pins a piece to a machine, pulls it first, holds it back, or says what it waits for",
    body: z.strictObject({
      urgency,
      heldWhy: shortText.default(""),
      pinnedMachineId: id.nullable(),
      waitingFor: waitingFor.nullable(),
    }),
    output: piece,
    carriage: "json",
    needsMatch: true,
  }),
  movePieces: row({
    method: "POST",
    path: "/api/pieces/state",
    summary: "Moves pieces to a state; all or none. Spoiled with `remake` makes a new piece for each",
    body: z.strictObject({
      pieceIds: z.array(id).min(1).max(1000),
      state: pieceState,
      why: shortText.default(""),
      remake: z.boolean().default(true),
      personId: id.nullable().default(null),
      machineId: id.nullable().default(null),
    }),
    output: z.object({ pieces: z.array(piece), remakes: z.array(piece) }),
    carriage: "json",
  }),
  jobProof: row({
    method: "GET",
    path: "/api/jobs/:id/proof.png",
    summary:
      "A run of a piece as a proof for the customer: the text large, for its spelling, and the design as thread",
    carriage: "bytes",
    mediaType: "image/png",
  }),
  changeJob: row({
    method: "PUT",
    path: "/api/jobs/:id",
    summary: "Changes one run of a piece: design, threads, hoop, machines, times",
    body: z.strictObject({
      designVersionId: id.nullable(),
      threadIds: z.array(id.nullable()).max(1000),
      hoopId: id.nullable(),
      machineIds: z.array(id).max(100).nullable(),
      hoopS: seconds.nullable(),
      unhoopS: seconds.nullable(),
      finishS: seconds.nullable(),
    }),
    output: job,
    carriage: "json",
    needsMatch: true,
  }),
};
