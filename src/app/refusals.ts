import { refusals } from "#core/base";

/** What the answers of the studio and its lists refuse, and what to do then. */
export const refuseApp = refusals({
  "not-set-up": {
    status: 409,
    title: "The studio is not set up yet",
    advice: "Set up the studio, or look round the demo studio, first.",
  },
  "set-up-already": {
    status: 409,
    title: "There is a studio here already",
    advice: "Open it, or start Spoolwright with --data and an empty folder for another.",
  },
  "not-found": {
    status: 404,
    title: "There is no such record",
    advice: "Load the list again; it may have been taken back meanwhile.",
  },
  "changed-by-another": {
    status: 412,
    title: "It was changed by someone else",
    advice: "Look at both versions, take over what you need, and save again.",
  },
  "code-taken": {
    status: 409,
    title: "The code is taken",
    advice: "Choose another code, or change the record that has it.",
  },
  "reference-wrong": {
    status: 422,
    title: "Something it names does not fit",
    advice: "Choose from the list again.",
  },
  "sort-unknown": {
    status: 400,
    title: "The list cannot be sorted by this",
    advice: "Sort by one of the fields named; a minus before it turns the order round.",
  },
  "archived-already": { status: 409, title: "It is archived already", advice: "Load the list again." },
  "not-archived": { status: 409, title: "It is not archived", advice: "Load the list again." },
});
