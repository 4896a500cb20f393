import { addDays } from "#core/shop";
import ical, { ICalCalendarMethod, ICalEventTransparency } from "ical-generator";
import type { Kysely } from "kysely";
import type { Tables } from "#store";
import { countWords } from "./wording";

/** What the feed tells of an order that is still to ship. */
export interface ShipDay {
  readonly orderId: string;
  readonly reference: string;
  readonly customer: string;
  readonly shipBy: string;
  readonly promiseDate: string;
  readonly pieces: number;
  readonly version: number;
  readonly updatedAtMs: number;
}

/** Orders with something still to ship, by ship-by date. */
export async function shipDays(db: Kysely<Tables>): Promise<ShipDay[]> {
  const orders = await db
    .selectFrom("orders")
    .select([
      "id",
      "reference",
      "customer",
      "ship_by",
      "promise_date",
      "open_pieces",
      "version",
      "updated_at_ms",
    ])
    .where("archived", "=", 0)
    .where("open_pieces", ">", 0)
    .orderBy("ship_by")
    .orderBy("reference")
    .execute();
  return orders.map((order) => ({
    orderId: order.id,
    reference: order.reference,
    customer: order.customer,
    shipBy: order.ship_by,
    promiseDate: order.promise_date,
    pieces: order.open_pieces,
    version: order.version,
    updatedAtMs: order.updated_at_ms,
  }));
}

/** Midnight of a date by the UTC clock, which is what the library writes an all-day date from. */
const utcDate = (date: string): Date => new Date(`${date}T00:00:00Z`);

/**
 * The feed as iCalendar (RFC 5545): one all-day event an order on its ship-by date, a date and not an instant, so no
 * time zone can move it. An order keeps its UID, and its SEQUENCE rises with its version.
 */
export function calendarText(asked: {
  days: readonly ShipDay[];
  studioName: string;
  nowMs: number;
  origin: string;
}): string {
  const feed = ical({
    name: `${asked.studioName}: ship dates`,
    prodId: { company: "Spoolwright", product: "Ship dates", language: "EN" },
    method: ICalCalendarMethod.PUBLISH,
    ttl: 3600,
  });
  for (const day of asked.days) {
    const who = day.customer === "" ? "" : ` · ${day.customer}`;
    feed.createEvent({
      id: `${day.orderId}@ship.spoolwright`,
      allDay: true,
      start: utcDate(day.shipBy),
      end: utcDate(addDays(day.shipBy, 1)),
      stamp: new Date(asked.nowMs),
      lastModified: new Date(day.updatedAtMs),
      sequence: day.version,
      summary: `Ship ${day.reference}${who}`,
      description: `${countWords(day.pieces, "piece")} to ship. Promised for ${day.promiseDate}.`,
      url: `${asked.origin}/orders/${encodeURIComponent(day.orderId)}`,
      transparency: ICalEventTransparency.TRANSPARENT,
    });
  }
  return feed.toString();
}
