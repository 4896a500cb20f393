import type { FastifyRequest } from "fastify";
import type { Row } from "#contract";
import { refuseHttp } from "./refusals";

/** The record's version of If-Match (RFC 9110, 13.1.1); refuses rows that need one and come without. */
export function versionAsked(row: Row, request: FastifyRequest): number | null {
  const sent = request.headers["if-match"];
  if (sent === undefined) {
    if (row.needsMatch)
      throw refuseHttp("version-needed", "The request says nothing of the version it changes.", [
        { field: "If-Match", found: "nothing", expected: 'the record\'s ETag, such as "3"' },
      ]);
    return null;
  }
  const found = /^(?:W\/)?"(\d{1,15})"$/.exec(sent.trim());
  // "*" would mean "whatever stands there", which is what the version is asked for to prevent.
  if (!found)
    throw refuseHttp("request-wrong", "If-Match is not a record's version.", [
      { field: "If-Match", found: sent.slice(0, 80), expected: 'the record\'s ETag, such as "3"' },
    ]);
  return Number(found[1]);
}
