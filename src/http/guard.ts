import type { FastifyInstance, FastifyRequest } from "fastify";
import { refuseHttp } from "./refusals";

export interface GuardAsked {
  /** The exact Host values that are let in, such as 127.0.0.1:4700. */
  readonly hosts: () => ReadonlySet<string>;
}

const SAFE = new Set(["GET", "HEAD", "OPTIONS"]);

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
 * Lets in only who the program is for: the right name (against a foreign page that points its own name here), and,
 * for everything but plain page loads, the program's own pages or a script on this computer.
 */
export function guard(app: FastifyInstance, { hosts }: GuardAsked): void {
  app.addHook("onRequest", async (request, reply) => {
    reply.headers(securityHeaders);
    refuseUnknownHost(request, hosts());
    refuseForeignPages(request, hosts());
  });
}

function refuseUnknownHost(request: FastifyRequest, hosts: ReadonlySet<string>): void {
  const sent = request.raw.rawHeaders.filter(
    (_, index, all) => index % 2 === 0 && all[index]!.toLowerCase() === "host",
  ).length;
  const host = request.headers.host ?? "";
  if (sent > 1 || !hosts.has(host))
    throw refuseHttp("host-unknown", "The request came to a name that is not this program's.", [
      { field: "Host", found: host.slice(0, 100), expected: [...hosts].join(" or ") },
    ]);
}

function refuseForeignPages(request: FastifyRequest, hosts: ReadonlySet<string>): void {
  const foreign = (field: string, found: string) =>
    refuseHttp("from-another-site", "The request was made by a page of another site.", [
      { field, found: found.slice(0, 100), expected: "Spoolwright's own pages" },
    ]);
  const safe = SAFE.has(request.method);
  const api = request.url.startsWith("/api/");
  if (safe && !api) return;
  const site = request.headers["sec-fetch-site"];
  const origin = request.headers.origin;
  if (typeof site === "string") {
    // "none" is an address typed by hand: fine to read, never how a page writes.
    if (site !== "same-origin" && !(safe && site === "none")) throw foreign("Sec-Fetch-Site", site);
    return;
  }
  // A browser without Sec-Fetch-Site still names the origin of what it writes; a script names none.
  if (origin !== undefined && !isOwn(origin, hosts)) throw foreign("Origin", origin);
}

const isOwn = (origin: string, hosts: ReadonlySet<string>) =>
  origin.startsWith("http://") && hosts.has(origin.slice("http://".length));

/** The names this computer has for itself at a port. */
export function loopbackHosts(port: number): ReadonlySet<string> {
  const names = ["127.0.0.1", "localhost", "[::1]"];
  return new Set(names.flatMap((name) => (port === 80 ? [name, `${name}:80`] : [`${name}:${port}`])));
}
