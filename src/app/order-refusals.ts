import { refusals } from "#core/base";

/** What orders and pieces refuse, and what to do then. */
export const refuseOrders = refusals({
  "order-unknown": {
    status: 404,
    title: "There is no such order",
    advice: "Look it up on Orders by its reference.",
  },
  "piece-unknown": {
    status: 404,
    title: "There is no such piece",
    advice: "Look it up on Orders by its code.",
  },
  "job-unknown": { status: 404, title: "There is no such run of a piece", advice: "Load the piece again." },
  "reference-taken": {
    status: 409,
    title: "The reference is taken",
    advice: "Open the order that has it, or give this one another reference.",
  },
  "line-names-unknown": {
    status: 422,
    title: "The order names something that is not there",
    advice: "Choose the product, design or thread from the list again.",
  },
  "order-dates": {
    status: 422,
    title: "The dates do not fit together",
    advice: "An order is placed first, then shipped, then due.",
  },
  "pieces-begun": {
    status: 409,
    title: "Pieces are begun",
    advice: "Leave the begun pieces in the order, or mark them spoiled first.",
  },
  "move-not-allowed": {
    status: 409,
    title: "A piece cannot go there from where it stands",
    advice: "Load the pieces again; they may have moved meanwhile.",
  },
  "too-many-pieces": { status: 422, title: "Too many pieces for one order", advice: "Split the order." },
  "job-begun": {
    status: 409,
    title: "The run is begun",
    advice: "Move the piece back to ready first, or mark it spoiled and remake it.",
  },
});
