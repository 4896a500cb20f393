import { refusals } from "#core/base";

/** What is refused before or round an answer, and what to do then. */
export const refuseHttp = refusals({
  "host-unknown": {
    status: 421,
    title: "Spoolwright is not reached by this name",
    advice: "Open it under the address it printed at its start, such as http://127.0.0.1:4700.",
  },
  "from-another-site": {
    status: 403,
    title: "Another page asked for this",
    advice: "Open Spoolwright itself and do it there.",
  },
  "content-type-wrong": {
    status: 415,
    title: "The body is of the wrong kind",
    advice: "Send JSON as application/json, and files as application/octet-stream.",
  },
  "body-too-large": {
    status: 413,
    title: "The body is too large",
    advice: "Send less at a time, or split the file.",
  },
  "body-not-json": {
    status: 400,
    title: "The body is not JSON that can be taken",
    advice: "Send one JSON document in UTF-8, not deeper than 64 levels.",
  },
  "request-wrong": {
    status: 400,
    title: "The request is not right",
    advice: "Check the fields named below against /api/openapi.json.",
  },
  "fields-wrong": {
    status: 422,
    title: "Some fields are not right",
    advice: "Mend the fields named below and send it again; nothing was changed.",
  },
  "version-needed": {
    status: 428,
    title: "The record's version is needed",
    advice: "Read the record first and send its ETag as If-Match, so that nobody's change is lost.",
  },
  "key-used-otherwise": {
    status: 422,
    title: "The key was used for another request",
    advice: "Use a new Idempotency-Key for each new request.",
  },
  "key-wrong": {
    status: 400,
    title: "The key is not right",
    advice: "Send an Idempotency-Key of 8 to 128 letters, digits, dots, dashes or underscores.",
  },
  "done-already": {
    status: 409,
    title: "This was done already",
    advice:
      "The request acted, but its answer was lost when the program stopped. Load the list to see it; do not send it again under a new key.",
  },
  "page-unknown": {
    status: 404,
    title: "There is nothing at this address",
    advice: "Check the address; /api/openapi.json lists what can be asked.",
  },
  "not-built": {
    status: 503,
    title: "The page is not built",
    advice: "Run npm run build, then start again.",
  },
  "shutting-down": { status: 503, title: "The program is stopping", advice: "Try again in a moment." },
});
