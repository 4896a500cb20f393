import type { FastifyRequest } from "fastify";
import type { Device, Devices } from "#app";
import { isThisComputer } from "./lan-names";
import type { Lan } from "./lan";
import { tokenHash } from "./pairing";
import { refuseHttp } from "./refusals";

/** Who asks. "stranger": of the studio's network, and not let in (any more). */
export type Caller =
  | { readonly kind: "this-computer" }
  | { readonly kind: "device"; readonly device: Device }
  | { readonly kind: "stranger"; readonly wasTurnedOut: boolean };

const callers = new WeakMap<FastifyRequest, Caller>();

/** Who asks, once the guard has looked; a bug where it has not. */
export function callerOf(request: FastifyRequest): Caller {
  const caller = callers.get(request);
  if (!caller) throw new Error("A request went past the guard.");
  return caller;
}

/** What a change of the caller is told under. */
export const whoOf = (caller: Caller): string =>
  caller.kind === "device" ? caller.device.name : "This computer";

/**
 * Looks who asks: the socket's own address and the cookie, never a header that passes something on. This computer is
 * who calls from loopback by a name of loopback; by another name a page may have come from somewhere else (a name
 * that somebody on the network answers for), so that one has to show a cookie too.
 */
export async function lookWhoAsks(
  request: FastifyRequest,
  about: { readonly lan: Lan; readonly devices: Devices; readonly cookie: string },
): Promise<Caller> {
  const caller = await seen(request, about);
  callers.set(request, caller);
  return caller;
}

async function seen(
  request: FastifyRequest,
  { lan, devices, cookie }: { readonly lan: Lan; readonly devices: Devices; readonly cookie: string },
): Promise<Caller> {
  const address = request.raw.socket.remoteAddress;
  const isHere = isThisComputer(address);
  if (isHere && lan.ownHosts().has(request.headers.host ?? "")) return { kind: "this-computer" };
  if (!isHere && !lan.isOfTheNetwork(address))
    throw refuseHttp("caller-outside", "The request came from outside the studio's network.");
  const token = cookieOf(request, cookie);
  const device = token === null ? null : await devices.ofToken(tokenHash(token));
  if (device?.turnedOutAtMs === null) return { kind: "device", device };
  return { kind: "stranger", wasTurnedOut: device !== null };
}

/** The first cookie of the name (RFC 6265, 5.4 puts that of the longest path first; ours is the whole site's). */
export function cookieOf(request: FastifyRequest, name: string): string | null {
  for (const one of (request.headers.cookie ?? "").slice(0, 8000).split(";")) {
    const at = one.indexOf("=");
    if (one.slice(0, at).trim() === name) {
      const value = one.slice(at + 1).trim();
      return /^[\w-]{43}$/.test(value) ? value : null;
    }
  }
  return null;
}

/** Cookies know no port (RFC 6265, 8.5): the name carries it, so that two programs on one computer keep apart. */
export const cookieName = (port: number): string => `spoolwright-${port}`;

/** The most a browser keeps a cookie; it is set anew as the device is seen. */
const COOKIE_S = 400 * 86_400;

export const cookieLine = (name: string, token: string): string =>
  `${name}=${token}; Path=/; HttpOnly; SameSite=Strict; Max-Age=${COOKIE_S}`;
