import { createHash } from "node:crypto";
import { readdirSync, readFileSync, statSync } from "node:fs";
import path from "node:path";
import { promisify } from "node:util";
import { brotliCompress, constants, gzip } from "node:zlib";
import type { FastifyInstance, FastifyReply, FastifyRequest } from "fastify";
import { refuseHttp } from "./refusals";

const types: Readonly<Record<string, string>> = {
  ".html": "text/html; charset=utf-8",
  ".js": "text/javascript; charset=utf-8",
  ".css": "text/css; charset=utf-8",
  ".svg": "image/svg+xml",
  ".png": "image/png",
  ".ico": "image/x-icon",
  ".webp": "image/webp",
  ".woff2": "font/woff2",
  ".json": "application/json; charset=utf-8",
  ".webmanifest": "application/manifest+json",
  ".txt": "text/plain; charset=utf-8",
  ".map": "application/json; charset=utf-8",
};
const squeezed = new Set([".html", ".js", ".css", ".svg", ".json", ".webmanifest", ".txt"]);

export interface Page {
  readonly bytes: Buffer;
  readonly type: string;
  readonly etag: string;
  readonly hashed: boolean;
  readonly squeezes: boolean;
  readonly packed: { br?: Promise<Buffer>; gzip?: Promise<Buffer> };
}

/**
 * Serves the built page out of memory: only names found at the start are known, so no address reaches another
 * file. Addresses without a dot are the page's own routes and get index.html.
 */
export function pages(app: FastifyInstance, known: ReadonlyMap<string, Page>): void {
  app.setNotFoundHandler(async (request, reply) => {
    const address = decodedPath(request.url);
    if (address.startsWith("/api/") || address === "/api" || !["GET", "HEAD"].includes(request.method))
      throw refuseHttp("page-unknown", "There is nothing at this address.");
    const page = known.get(address);
    if (page) return sendPage(request, reply, page);
    const last = address.slice(address.lastIndexOf("/") + 1);
    if (last.includes(".") || address.startsWith("/assets/"))
      throw refuseHttp("page-unknown", "There is no such file.");
    const index = known.get("/index.html");
    if (!index) throw refuseHttp("not-built", "The program runs, but its page has not been built.");
    return sendPage(request, reply, index);
  });
}

function decodedPath(url: string): string {
  try {
    return decodeURIComponent(url.split("?", 1)[0]!);
  } catch {
    throw refuseHttp("request-wrong", "The address is not right.");
  }
}

/** The files of the built page by their address; none where it was not built. */
export function readPages(folder: string): ReadonlyMap<string, Page> {
  const known = new Map<string, Page>();
  const visit = (relative: string) => {
    for (const name of readdirSync(path.join(folder, relative))) {
      const at = `${relative}/${name}`;
      const full = path.join(folder, at);
      if (statSync(full).isDirectory()) visit(at);
      else known.set(at, pageOf(full, at));
    }
  };
  try {
    visit("");
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== "ENOENT") throw error;
  }
  return known;
}

function pageOf(full: string, at: string): Page {
  const bytes = readFileSync(full);
  const kind = path.extname(at).toLowerCase();
  return {
    bytes,
    type: types[kind] ?? "application/octet-stream",
    etag: `"${createHash("sha256").update(bytes).digest("base64url").slice(0, 22)}"`,
    hashed: at.startsWith("/assets/"),
    squeezes: squeezed.has(kind) && bytes.length > 1000,
    packed: {},
  };
}

const packBr = promisify(brotliCompress);
const packGzip = promisify(gzip);

async function sendPage(request: FastifyRequest, reply: FastifyReply, page: Page): Promise<FastifyReply> {
  reply
    .header("etag", page.etag)
    .header("cache-control", page.hashed ? "public, max-age=31536000, immutable" : "no-cache")
    .type(page.type);
  if (page.squeezes) reply.header("vary", "accept-encoding");
  if (request.headers["if-none-match"] === page.etag) return reply.code(304).send();
  const taken = String(request.headers["accept-encoding"] ?? "");
  // Packed once and kept: the first asker waits some milliseconds, nobody after.
  if (page.squeezes && /\bbr\b/.test(taken)) {
    page.packed.br ??= packBr(page.bytes, { params: { [constants.BROTLI_PARAM_QUALITY]: 5 } });
    return reply.header("content-encoding", "br").send(await page.packed.br);
  }
  if (page.squeezes && /\bgzip\b/.test(taken)) {
    page.packed.gzip ??= packGzip(page.bytes, { level: 6 });
    return reply.header("content-encoding", "gzip").send(await page.packed.gzip);
  }
  return reply.send(page.bytes);
}
