import { z } from "zod";
import { row } from "./row";
import { atMs, id } from "./values";

/** Tablets and phones of the studio's own network: who is let in, and how one comes in. */

const deviceName = z.string().trim().min(1, "a name is needed").max(60);

export const device = z.object({
  id,
  name: z.string(),
  pairedAtMs: atMs,
  /** Written seldom: it may be ten minutes behind. */
  lastSeenAtMs: atMs,
  /** Whether one of its pages stands open now. */
  open: z.boolean(),
});

/** One way a tablet may reach this computer. */
const reach = z.object({
  origin: z.string(),
  kind: z.enum(["address", "name"]),
  /** The computer's own name for the network it leads to, such as wlan0; empty for a name. */
  network: z.string(),
});

export const devicesNow = z.object({
  /** Whether the program was started with --lan. */
  lan: z.boolean(),
  reaches: z.array(reach),
  /** The one that QR codes carry; null without --lan, or where this computer is on no network. */
  origin: z.string().nullable(),
  /** Until when the code shown last lets a tablet in; null when none does. */
  offerUntilMs: atMs.nullable(),
  devices: z.array(device),
});

export const deviceRows = {
  listDevices: row({
    method: "GET",
    path: "/api/devices",
    summary: "Tablets and phones that are let in, and how this computer is reached; at the computer only",
    output: devicesNow,
    carriage: "json",
    onlyHere: true,
  }),
  choosePhoneOrigin: row({
    method: "PUT",
    path: "/api/devices/origin",
    summary: "Chooses the address that QR codes carry; at the computer only",
    body: z.strictObject({ origin: z.string().max(300) }),
    output: devicesNow,
    carriage: "json",
    onlyHere: true,
  }),
  offerPairing: row({
    method: "POST",
    path: "/api/devices/offer",
    summary: "Makes a code that lets one tablet in; the code before no longer counts; at the computer only",
    output: z.object({ code: z.string(), untilMs: atMs }),
    carriage: "json",
    onlyHere: true,
  }),
  withdrawPairing: row({
    method: "DELETE",
    path: "/api/devices/offer",
    summary: "Ends the code before its time; at the computer only",
    output: devicesNow,
    carriage: "json",
    onlyHere: true,
  }),
  pairDevice: row({
    method: "POST",
    path: "/api/devices/pair",
    summary: "Lets the asking tablet in by a code; the answer sets its cookie",
    body: z.strictObject({ code: z.string().max(40), name: deviceName }),
    output: z.object({ id, name: z.string() }),
    carriage: "json",
    bodyLimitBytes: 2000,
  }),
  thisDevice: row({
    method: "GET",
    path: "/api/devices/this",
    summary: "Who asks: this computer, or a tablet by its name",
    output: z.object({ thisComputer: z.boolean(), name: z.string() }),
    carriage: "json",
  }),
  renameDevice: row({
    method: "PUT",
    path: "/api/devices/:id",
    summary: "Gives a tablet another name; at the computer only",
    body: z.strictObject({ name: deviceName }),
    output: devicesNow,
    carriage: "json",
    onlyHere: true,
  }),
  turnOutDevice: row({
    method: "DELETE",
    path: "/api/devices/:id",
    summary: "Turns a tablet out: its pages end at once; at the computer only",
    output: devicesNow,
    carriage: "json",
    onlyHere: true,
  }),
};
