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
  "caller-outside": {
    status: 403,
    title: "Not from the studio's network",
    advice: "Spoolwright answers to its own computer and to devices of the studio's own network.",
  },
  "device-not-paired": {
    status: 401,
    title: "This device is not let in",
    advice: "Ask at the studio's computer: Studio, Tablets and phones shows a code for it.",
  },
  "device-turned-out": {
    status: 401,
    title: "This tablet is no longer let in",
    advice:
      "Ask at the computer. What was told here and has not been sent is kept on this tablet, and goes out once it is let in again.",
  },
  "only-at-the-computer": {
    status: 403,
    title: "Only at the studio's own computer",
    advice: "Go to the computer Spoolwright runs on and do it there.",
  },
  "lan-closed": {
    status: 409,
    title: "Tablets and phones are not let in",
    advice: "Start the program with serve --lan.",
  },
  "paired-already": {
    status: 409,
    title: "No code is needed here",
    advice: "Open the page you want.",
  },
  "code-wrong": {
    status: 403,
    title: "The code is not right",
    advice: "Look at the computer's screen again. After five wrong codes a new one has to be shown.",
  },
  "code-over": {
    status: 403,
    title: "The code has run out",
    advice: "A code counts once, for five minutes. Ask at the computer for a new one.",
  },
  "code-tries": {
    status: 429,
    title: "Too many codes were tried",
    advice: "Wait a minute, then try again.",
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
