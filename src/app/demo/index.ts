import { setImmediate } from "node:timers/promises";
import { type Chance, seededChance } from "#core/base";
import type { shapes } from "#contract";
import type { Context } from "../context";
import { tellCare } from "./care";
import { demoCalendar, type DemoCalendar } from "./calendar";
import { enterCosts } from "./costs";
import { type Door, openDoor } from "./door";
import { bringInPictures, type DemoIds, enterLists, enterProducts } from "./lists";
import { enterPlacementRules, placeByTape, placeSome, runsOf } from "./placing";
import { type DemoOrder, openOrders, ordersCsv, seasonOrders } from "./orders";

/**
 * The demo studio, Ninepenny Quay, made by seed through the doors a person uses: set up, lists entered, pictures
 * brought in as machine files, orders brought in as CSV and typed, pieces moved through a season. Dates are relative to
 * the clock's today. Everything in it is invented.
 */
export interface DemoAsked {
  readonly seed?: number;
  /** IANA zone of the studio; the computer's own where absent, so that its day is the onlooker's day. */
  readonly timeZone?: string;
  readonly onProgress?: (share: number, doing: string) => void;
}

const SEASON_DAYS = 60;
const SEASON_FIRST_NUMBER = 1101;
const OPEN_FIRST_NUMBER = 2001;
const LEAD_DAYS = 1;
/** So many of the open orders come by file; the rest is typed. */
const OPEN_BY_FILE = 38;
const at = (hour: number, minute = 0): number => hour * 60 + minute;

/** Makes the whole demo studio in an empty data folder. Same seed and clock: the same studio. */
export async function makeDemo(context: Context, asked: DemoAsked = {}): Promise<void> {
  const {
    seed = 9,
    timeZone = Intl.DateTimeFormat().resolvedOptions().timeZone,
    onProgress = () => undefined,
  } = asked;
  const nowMs = context.nowMs();
  const chance = seededChance(seed);
  const calendar = demoCalendar(timeZone, nowMs);
  const door = openDoor(context, calendar.at(calendar.workday(-SEASON_DAYS - 5), at(9)));

  onProgress(0.02, "Setting up Ninepenny Quay");
  const lists = await door.together(async () => {
    await door.ask("setUpStudio", {
      body: { name: "Ninepenny Quay", timeZone, currency: "EUR", lengthUnit: "mm", paper: "A4" },
    });
    const { version, updatedAtMs: _, ...studio } = await door.ask("readStudio");
    await door.ask("changeStudio", { body: { ...studio, shipLeadDays: LEAD_DAYS }, ifMatch: version });
    return enterLists(door, calendar.base);
  });
  onProgress(0.08, "Bringing in pictures");
  const designs = await door.together(() => bringInPictures(door, lists.threads));
  const products = await door.together(() => enterProducts(door, { ...lists, designs }));
  const ids: DemoIds = { ...lists, designs, products };
  await door.together(() => enterCosts(door, ids));
  await door.together(() => enterPlacementRules(door, ids));
  await makeSeason(door, ids, chance.split(), calendar, (share, doing) =>
    onProgress(0.15 + 0.55 * share, doing),
  );
  onProgress(0.72, "Bringing in open orders");
  await door.together(() => makeOpenOrders(door, ids, chance.split(), calendar, nowMs));
  onProgress(1, "Ready");
}

/** Brings orders in by file and waits for the end. */
async function importOrders(
  door: Door,
  ids: DemoIds,
  orders: readonly DemoOrder[],
  fileName: string,
): Promise<void> {
  const { bytes, columns } = ordersCsv(orders, (motif) => ids.designs.get(motif)!.name);
  const looked = await door.ask("lookAtFile", { query: { name: fileName }, body: bytes });
  const reading = { ...looked.reading, headerRow: true, dateOrder: "ymd", columns, promiseDays: null };
  if (JSON.stringify(reading) !== JSON.stringify(looked.reading))
    await door.ask("changeReading", { params: { id: looked.id }, body: reading });
  await door.ask("runImport", { params: { id: looked.id } });
  await door.importEnded(looked.id);
  const { state, counts, failure } = await door.ask("readImport", { params: { id: looked.id } });
  if (state !== "done" || counts.bad > 0 || counts.ordersAdded !== orders.length)
    throw new Error(
      `the demo's file ${fileName} came in ${state}: ${counts.ordersAdded} of ${orders.length} orders, ${counts.bad} bad rows ${failure ?? ""}`,
    );
}

type Piece = shapes.PieceRecord;

/** The pieces of these states, by the reference of their order. */
async function piecesOf(door: Door, state: "open" | "ready" | "waiting"): Promise<Map<string, Piece[]>> {
  const byOrder = new Map<string, Piece[]>();
  for (let offset = 0; ;) {
    const { items, total } = await door.ask("listPieces", {
      query: { state, offset, limit: 500, sort: "code" },
    });
    for (const piece of items)
      byOrder.set(piece.orderReference, [...(byOrder.get(piece.orderReference) ?? []), piece]);
    offset += items.length;
    if (items.length === 0 || total <= offset) return byOrder;
  }
}

const isSewnOnly = (piece: Piece): boolean => piece.jobs.length === 0;

/** A season: a file of orders a fortnight, then each day's pieces sewn, now and then one spoiled, all shipped. */
async function makeSeason(
  door: Door,
  ids: DemoIds,
  chance: Chance,
  calendar: DemoCalendar,
  onProgress: (share: number, doing: string) => void,
): Promise<void> {
  const FORTNIGHT = 10;
  const days = seasonOrders(chance, calendar, {
    days: SEASON_DAYS,
    firstNumber: SEASON_FIRST_NUMBER,
    leadDays: LEAD_DAYS,
  });
  let remakes: Piece[] = [];
  // A die of its own: what is placed does not change what else happens.
  const placing = seededChance(days.length);
  for (let from = 0; from < days.length; from += FORTNIGHT) {
    const part = days.slice(from, from + FORTNIGHT);
    onProgress(from / days.length, `Sewing the season past, ${part[0]!.day}`);
    await door.together(async () => {
      door.setClock(calendar.at(calendar.workday(from - SEASON_DAYS - 4), at(8, 10)));
      await importOrders(
        door,
        ids,
        part.flatMap(({ orders }) => orders),
        `web-shop-${part[0]!.day}.csv`,
      );
      const pieces = await piecesOf(door, "ready");
      for (const [index, { day, orders }] of part.entries()) {
        const due = [...remakes, ...orders.flatMap((order) => pieces.get(order.reference) ?? [])];
        const mayspoil = from + index + 1 < days.length;
        await placeSome(door, ids, placing, { day, calendar, pieces: due, nth: from + index });
        remakes = await sewDay(door, ids, chance, { day, calendar, pieces: due, spoil: mayspoil });
        await tellCare(door, ids, calendar, day, from + index);
        await setImmediate();
      }
    });
  }
}

interface SewnDay {
  readonly day: string;
  readonly calendar: DemoCalendar;
  readonly pieces: readonly Piece[];
  readonly spoil: boolean;
}

/** One day on the floor by hand; comes back with the remakes of what was spoiled. */
async function sewDay(
  door: Door,
  ids: DemoIds,
  chance: Chance,
  { day, calendar, pieces, spoil }: SewnDay,
): Promise<Piece[]> {
  const move = async (
    minute: number,
    who: string,
    state: string,
    moved: readonly Piece[],
    more: object = {},
  ) => {
    if (moved.length === 0) return [];
    door.setClock(calendar.at(day, minute));
    const body = { pieceIds: moved.map((piece) => piece.id), state, personId: ids.people.get(who)!, ...more };
    return (await door.ask("movePieces", { body, who })).remakes;
  };
  const embroidered = pieces.filter((piece) => !isSewnOnly(piece));
  const spoiled =
    spoil && embroidered.length > 4 && chance.below(5) === 0
      ? [embroidered[chance.below(embroidered.length)]!]
      : [];
  const lots = ids.machines.map((machine, index) => ({
    machine,
    lot: embroidered.filter((_, at) => at % ids.machines.length === index),
  }));
  for (const [index, { machine, lot }] of lots.entries())
    await move(at(8, 20 + 6 * index), index === 1 ? "Ivor" : "Ness", "sewing", lot, {
      machineId: machine.id,
    });
  const remakes = await move(at(11, 40), "Ivor", "spoiled", spoiled, {
    why: "the cloth slipped in the hoop",
    remake: true,
  });
  const good = pieces.filter((piece) => !spoiled.includes(piece));
  await move(at(14, 50), "Ness", "done", good);
  await move(at(16, 5), "Ivor", "shipped", good);
  return [...remakes];
}

/** The sixty open orders, and how far the day has gone with them. */
async function makeOpenOrders(
  door: Door,
  ids: DemoIds,
  chance: Chance,
  calendar: DemoCalendar,
  nowMs: number,
): Promise<void> {
  const orders = openOrders(chance, calendar, { firstNumber: OPEN_FIRST_NUMBER, leadDays: LEAD_DAYS });
  // Every third is typed, the rest comes by file: from all promise dates alike.
  const typed = new Set(orders.filter((_, index) => index % 3 === 1).slice(0, orders.length - OPEN_BY_FILE));
  door.setClock(calendar.at(calendar.workday(-1), at(16, 20)));
  await importOrders(
    door,
    ids,
    orders.filter((order) => !typed.has(order)),
    `web-shop-${calendar.workday(-1)}.csv`,
  );
  for (const [index, order] of [...typed].entries()) {
    door.setClock(calendar.at(calendar.workday(-1), at(9, 13 * index)));
    await door.ask("createOrder", { body: bodyOf(order, ids), who: index % 2 === 0 ? "Ness" : "Wren" });
  }
  const pieces = [...(await piecesOf(door, "open")).entries()];
  const byShipBy = pieces
    .flatMap(([, own]) => own)
    .sort((a, b) => (a.shipBy < b.shipBy ? -1 : a.shipBy > b.shipBy ? 1 : a.code < b.code ? -1 : 1));
  door.setClock(calendar.at(calendar.workday(-1), at(16, 25)));
  await setAside(door, byShipBy, calendar);
  await workToday(door, ids, byShipBy, calendar, nowMs);
}

function bodyOf(order: DemoOrder, ids: DemoIds) {
  return {
    reference: order.reference,
    customer: order.customer,
    channel: order.channel,
    placedOn: order.placedOn,
    promiseDate: order.promiseDate,
    shipBy: order.shipBy,
    note: order.note,
    lines: order.lines.map((line) => ({
      productId: ids.products.get(line.product.code)!,
      quantity: line.quantity,
      personalText: line.text,
      textThreadId: line.textThread === null ? null : ids.threads.get(line.textThread)!,
      designId: line.picture === null ? null : ids.designs.get(line.picture)!.id,
    })),
  };
}

/** Some wait for stock or the customer's yes, one is held back, one pulled first. */
async function setAside(door: Door, pieces: readonly Piece[], calendar: DemoCalendar): Promise<void> {
  const later = pieces.filter((piece) => calendar.workday(3) <= piece.shipBy && !isSewnOnly(piece));
  const change = (piece: Piece | undefined, body: object) =>
    piece &&
    door.ask("changePiece", {
      params: { id: piece.id },
      ifMatch: piece.version,
      body: { urgency: "normal", heldWhy: "", pinnedMachineId: null, waitingFor: null, ...body },
    });
  await change(later[1], { waitingFor: "stock" });
  await change(later[4], { waitingFor: "stock" });
  await change(later[6], { waitingFor: "approval" });
  await change(later[9], { waitingFor: "approval" });
  await change(later[12], { waitingFor: "artwork" });
  await change(later[8], { urgency: "held", heldWhy: "the customer is away until the new address is known" });
  const soon = pieces.filter((piece) => piece.shipBy === calendar.workday(1) && !isSewnOnly(piece));
  await change(soon.at(-1), { urgency: "first" });
}

/** As much of the day's work as the clock has let pass: packed, done, and one piece sewing on each machine. */
async function workToday(
  door: Door,
  ids: DemoIds,
  pieces: readonly Piece[],
  calendar: DemoCalendar,
  nowMs: number,
): Promise<void> {
  if (calendar.gone < 0.02) return;
  const due = pieces.filter(
    (piece) =>
      piece.state === "ready" &&
      piece.urgency === "normal" &&
      piece.shipBy <= calendar.base &&
      !isSewnOnly(piece),
  );
  const finished = due.slice(0, Math.floor(due.length * calendar.gone * 0.85));
  const packed = finished.slice(0, Math.floor(finished.length * 0.6));
  const sewing = due.slice(finished.length, finished.length + ids.machines.length);
  const openedMs = calendar.at(calendar.base, at(8));
  const move = async (
    share: number,
    who: string,
    state: string,
    moved: readonly Piece[],
    more: object = {},
  ) => {
    if (moved.length === 0) return;
    door.setClock(Math.round(openedMs + (nowMs - openedMs) * share));
    await door.ask("movePieces", {
      body: { pieceIds: moved.map((piece) => piece.id), state, personId: ids.people.get(who)!, ...more },
      who,
    });
  };
  for (const [index, machine] of ids.machines.entries())
    await move(
      0.1 + 0.02 * index,
      "Ness",
      "sewing",
      finished.filter((_, one) => one % ids.machines.length === index),
      { machineId: machine.id },
    );
  await move(0.7, "Ivor", "done", finished);
  await move(0.8, "Ivor", "packed", packed);
  const placing = seededChance(sewing.length);
  for (const [index, piece] of sewing.entries())
    for (const run of runsOf([piece]))
      await placeByTape(door, ids, placing, { ...run, machineId: ids.machines[index]!.id, aid: "board" });
  for (const [index, piece] of sewing.entries())
    await move(0.95, "Ness", "sewing", [piece], { machineId: ids.machines[index]!.id });
}
