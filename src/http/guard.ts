import type { FastifyInstance, FastifyReply, FastifyRequest } from "fastify";
import type { Devices } from "#app";
import type { Lan } from "./lan";
import { refuseHttp } from "./refusals";
import { type Caller, cookieLine, cookieOf, lookWhoAsks } from "./session";

export interface GuardAsked {
  readonly lan: Lan;
  readonly devices: Devices;
  /** The name of the cookie a device shows. */
  readonly cookie: () => string;
  /** Whether an address is one of the built page's own files, which tell nothing of the studio. */
  readonly isPageFile: (address: string) => boolean;
}

declare module "fastify" {
  interface FastifyContextConfig {
    /** Asked at the studio's own computer only. */
    readonly onlyHere?: boolean;
  }
}

const SAFE = new Set(["GET", "HEAD", "OPTIONS"]);
/** Where a tablet that is not let in yet says its code. */
export const PAIRING_PAGE = "/pair";
const PAIRING_POST = "/api/devices/pair";

/** What every answer carries, pages and refusals alike. Inline styles are what the component library needs. */
export const securityHeaders: Readonly<Record<string, string>> = {
  "content-security-policy":
    "default-src 'self'; script-src 'self'; style-src 'self' 'unsafe-inline'; img-src 'self' data: blob:; font-src 'self'; connect-src 'self'; worker-src 'self' blob:; object-src 'none'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'",
  "cross-origin-opener-policy": "same-origin",
  "cross-origin-resource-policy": "same-origin",
  "referrer-policy": "no-referrer",
  "x-content-type-options": "nosniff",
  "permissions-policy": "camera=(self), microphone=(), geolocation=()",
};

/**
 * Lets in only who the program is for, in this order: the right name (against a foreign page that points its own name
 * here); for everything but plain page loads, the program's own pages or a script; and then whoever sits at this
 * computer or shows the cookie of a device that was let in. A stranger of the studio's network gets the pairing page,
 * the page's own files, and one try at a code.
 */
export function guard(app: FastifyInstance, asked: GuardAsked): void {
  app.addHook("onRequest", async (request, reply) => {
    reply.headers(securityHeaders);
    // A whole address in the request line is for proxies; taken, it would go round what follows.
    if (!request.raw.url?.startsWith("/")) throw refuseHttp("request-wrong", "The address is not right.");
    const hosts = new Set([...asked.lan.ownHosts(), ...asked.lan.deviceHosts()]);
    refuseUnknownHost(request, hosts, asked.lan.ownHosts());
    refuseForeignPages(request, asked.lan.ownHosts());
    const caller = await lookWhoAsks(request, { ...asked, cookie: asked.cookie() });
    if (caller.kind === "stranger") return meetStranger({ request, reply, caller }, asked);
    if (caller.kind === "this-computer") return;
    if (request.routeOptions.config.onlyHere)
      throw refuseHttp("only-at-the-computer", "This can be done at the studio's own computer only.");
    if (asked.devices.saw(caller.device))
      reply.header("set-cookie", cookieLine(asked.cookie(), cookieOf(request, asked.cookie())!));
  });
}

/** Addresses are compared as they came, undecoded: whatever is written otherwise is not on the list. */
function meetStranger(
  met: {
    readonly request: FastifyRequest;
    readonly reply: FastifyReply;
    readonly caller: Caller & { readonly kind: "stranger" };
  },
  { isPageFile }: GuardAsked,
): FastifyReply | undefined {
  const { request, reply, caller } = met;
  const address = request.raw.url!.split("?", 1)[0]!;
  const isReading = request.method === "GET" || request.method === "HEAD";
  if (isReading && (address === PAIRING_PAGE || isPageFile(address))) return undefined;
  if (request.method === "POST" && request.raw.url === PAIRING_POST) return undefined;
  if (isReading && isPageRoute(address))
    return reply
      .code(303)
      .header("location", `${PAIRING_PAGE}?to=${encodeURIComponent(request.raw.url!.slice(0, 500))}`)
      .header("cache-control", "no-store")
      .send();
  reply.header("www-authenticate", 'Pairing realm="Spoolwright"');
  // What it still sends is not read.
  if (!isReading) reply.header("connection", "close");
  throw caller.wasTurnedOut
    ? refuseHttp("device-turned-out", "This tablet is no longer let in.")
    : refuseHttp("device-not-paired", "This device has not been let in.");
}

const isPageRoute = (address: string) =>
  /^(\/[\w~-]+)*\/?$/.test(address) && !/^\/(api|assets)(\/|$)/.test(address);

/** Told are the names of loopback only: a page led here by a name of its own reads what it is answered. */
function refuseUnknownHost(
  request: FastifyRequest,
  hosts: ReadonlySet<string>,
  told: ReadonlySet<string>,
): void {
  const sent = request.raw.rawHeaders.filter(
    (_, index, all) => index % 2 === 0 && all[index]!.toLowerCase() === "host",
  ).length;
  const host = request.headers.host ?? "";
  if (sent > 1 || !hosts.has(host))
    throw refuseHttp("host-unknown", "The request came to a name that is not this program's.", [
      { field: "Host", found: host.slice(0, 100), expected: [...told].join(" or ") },
    ]);
}

function refuseForeignPages(request: FastifyRequest, ownHosts: ReadonlySet<string>): void {
  const foreign = (field: string, found: string) =>
    refuseHttp("from-another-site", "The request was made by a page of another site.", [
      { field, found: found.slice(0, 100), expected: "Spoolwright's own pages" },
    ]);
  const safe = SAFE.has(request.method);
  const api = request.routeOptions.url !== undefined || request.url.startsWith("/api/");
  if (safe && !api) return;
  const site = request.headers["sec-fetch-site"];
  const origin = request.headers.origin;
  if (typeof site === "string") {
    // "none" is an address typed by hand: fine to read, never how a page writes.
    if (site !== "same-origin" && !(safe && site === "none")) throw foreign("Sec-Fetch-Site", site);
    return;
  }
  // A browser without Sec-Fetch-Site (none is sent over plain http to another computer) still names the origin of
  // what it writes; a script names none.
  if (origin !== undefined && !isOwn(origin, request.headers.host ?? "", ownHosts))
    throw foreign("Origin", origin);
}

/** The very name the request came to, or two names of this computer itself. */
function isOwn(origin: string, host: string, ownHosts: ReadonlySet<string>): boolean {
  if (!origin.startsWith("http://")) return false;
  const from = origin.slice("http://".length);
  return from === host || (ownHosts.has(from) && ownHosts.has(host));
}

/** The names this computer has for itself at a port. */
export function loopbackHosts(port: number): ReadonlySet<string> {
  const names = ["127.0.0.1", "localhost", "[::1]"];
  return new Set(names.flatMap((name) => (port === 80 ? [name, `${name}:80`] : [`${name}:${port}`])));
}
