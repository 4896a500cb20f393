import { isCalendarDate, isTimeZone } from "#core/shop";
import { z } from "zod";

/** Small shapes used by many rows. Every object is closed: a word nobody knows is refused, not dropped. */

export const id = z.string().min(1).max(64);
export const name = z.string().trim().min(1, "a name is needed").max(120);
export const note = z.string().max(2000).default("");
export const shortText = z.string().max(300);
export const calendarDate = z.string().refine(isCalendarDate, "expected a date that exists, as YYYY-MM-DD");
export const timeZone = z.string().refine(isTimeZone, "expected an IANA time zone such as Europe/Dublin");
export const currency = z
  .string()
  .regex(/^[A-Z]{3}$/, "expected a currency of three letters such as EUR (ISO 4217)");
export const rgb = z
  .string()
  .regex(/^#[0-9a-f]{6}$/i, "expected a colour as #rrggbb")
  .transform((text) => text.toLowerCase());
/** Money: whole minor units of the studio's currency (ISO 4217), cents for most. */
export const cents = z.int().min(-1_000_000_000).max(1_000_000_000);
export const seconds = z
  .int()
  .min(0)
  .max(7 * 86_400);
export const millimetres = z.number().min(0).max(10_000);
export const atMs = z.int();
export const minute = z.int().min(0).max(1440);

export const dayHours = z
  .array(z.strictObject({ startMinute: minute, endMinute: minute }))
  .max(8)
  .refine(
    (spans) => spans.every((span) => span.startMinute < span.endMinute),
    "a span must start before it ends",
  )
  .refine(
    (spans) => spans.every((span, index) => index === 0 || spans[index - 1]!.endMinute <= span.startMinute),
    "spans of a day must follow one another",
  );
export const weekHours = z.array(dayHours).length(7, "expected seven days, Monday first");
export const daysOff = z
  .array(
    z
      .strictObject({ from: calendarDate, to: calendarDate, why: shortText })
      .refine((off) => off.from <= off.to, "the first day must not be after the last"),
  )
  .max(400);

/** Query of a list: words to search for, sorting, a page of it. */
export const listQuery = z.strictObject({
  q: z.string().max(200).default(""),
  /** A field's name, with a minus before it for descending. */
  sort: z.string().max(40).default(""),
  archived: z.enum(["no", "yes", "all"]).default("no"),
  offset: z.coerce.number().int().min(0).default(0),
  limit: z.coerce.number().int().min(1).max(500).default(100),
});

/** What every kept record carries besides its own fields. `version` is the ETag's number. */
export const recordFields = {
  id,
  version: z.int(),
  archived: z.boolean(),
  createdAtMs: atMs,
  updatedAtMs: atMs,
};

export const finding = z.object({
  code: z.string(),
  level: z.enum(["note", "warning", "stop"]),
  message: z.string(),
  advice: z.string().optional(),
  at: z
    .object({
      xTenths: z.number().optional(),
      yTenths: z.number().optional(),
      stitch: z.number().optional(),
      part: z.number().optional(),
      byte: z.number().optional(),
      row: z.number().optional(),
      column: z.string().optional(),
    })
    .optional(),
  /** Each place where it stands in several, the worst first, at most 50; kept versions carry the worst alone. */
  places: z
    .array(z.object({ xTenths: z.number(), yTenths: z.number() }))
    .readonly()
    .optional(),
});

/** A refusal on its way: RFC 9457 problem document with members of our own. */
export const problemDocument = z.object({
  type: z.string(),
  title: z.string(),
  status: z.int(),
  detail: z.string(),
  code: z.string(),
  advice: z.string(),
  errors: z
    .array(
      z.object({
        field: z.string().optional(),
        found: z.string().optional(),
        expected: z.string().optional(),
      }),
    )
    .optional(),
  /** With 412: the record as it stands now. */
  current: z.unknown().optional(),
  /** With 500: what to tell whoever looks into it. */
  reference: z.string().optional(),
});
