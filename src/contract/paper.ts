import { z } from "zod";
import { row } from "./row";
import { calendarDate } from "./values";

/** What is taken to the floor or out of the house: paper, machine files, tables, a calendar. */

const sheet = z.strictObject({
  paper: z.enum(["A4", "Letter", ""]).default(""),
  /** Empty takes every machine. */
  machine: z.string().max(64).default(""),
  /** Empty takes today and what is still open; a date takes that day of the plan. */
  day: z.union([calendarDate, z.literal("")]).default(""),
});

export const tableName = z.enum([
  "orders",
  "pieces",
  "plan",
  "people",
  "machines",
  "hoops",
  "threads",
  "stock",
  "products",
  "designs",
  "events",
  "quotes",
  "purchases",
]);

export const paperRows = {
  tickets: row({
    method: "GET",
    path: "/api/paper/tickets.pdf",
    summary: "Job tickets: picture, personal text, needle map, hoop, placement, cautions, QR code",
    query: sheet.extend({ piece: z.string().max(64).default("") }),
    carriage: "bytes",
    mediaType: "application/pdf",
  }),
  threadingList: row({
    method: "GET",
    path: "/api/paper/threading.pdf",
    summary: "What to thread on each machine, in order",
    query: sheet,
    carriage: "bytes",
    mediaType: "application/pdf",
  }),
  pickList: row({
    method: "GET",
    path: "/api/paper/picking.pdf",
    summary: "Blanks, backing and topping to fetch for the plan",
    query: sheet,
    carriage: "bytes",
    mediaType: "application/pdf",
  }),
  machineDay: row({
    method: "GET",
    path: "/api/paper/machine-files.zip",
    summary: "A machine's day as machine files in running order, with a list of which is which",
    query: sheet.omit({ paper: true }),
    carriage: "bytes",
    mediaType: "application/zip",
  }),
  tableFile: row({
    method: "GET",
    path: "/api/tables/:table",
    summary: "A table as CSV (RFC 4180), safe to open in a spreadsheet",
    query: z.strictObject({ archived: z.enum(["no", "all"]).default("no") }),
    carriage: "bytes",
    mediaType: "text/csv",
  }),
  calendar: row({
    method: "GET",
    path: "/api/calendar.ics",
    summary: "Ship-by dates of open orders as an iCalendar feed (RFC 5545)",
    carriage: "bytes",
    mediaType: "text/calendar",
  }),
};
