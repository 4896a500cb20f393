import { refusals } from "#core/base";

/** What the answers about costs refuse. */
export const refuseCosts = refusals({
  "cost-thing-unknown": {
    status: 422,
    title: "There is nothing this price belongs to",
    advice: "Load the page again and choose from its lists.",
  },
  "cost-figure-mixed": {
    status: 422,
    title: "The figure is of another sort than the thing",
    advice: "Give a stock item a price for an amount, a thread a price for metres, a machine its life.",
  },
  "cost-changed-meanwhile": {
    status: 409,
    title: "A figure was changed by someone else",
    advice: "Load the page again; what you typed can then be entered once more.",
  },
  "quote-incomplete": {
    status: 422,
    title: "The quote has a line without a price",
    advice: "Enter what is missing under What things cost, or type a price in the line.",
  },
  "quote-over": {
    status: 422,
    title: "The quote would be over already",
    advice: "Choose a day from today on until which it holds.",
  },
  "quote-unknown": {
    status: 404,
    title: "There is no such quote",
    advice: "Look for it in the list of quotes.",
  },
  "quote-went-out": {
    status: 409,
    title: "The quote was sent and stays as it went out",
    advice: "Make a new quote of it and change that.",
  },
  "quote-not-sent": {
    status: 409,
    title: "The quote has not been sent",
    advice: "Say that it was sent first: from then on its prices stay.",
  },
  "quote-declined": {
    status: 409,
    title: "The customer declined this quote",
    advice: "Take the answer back first, or make a new quote of it.",
  },
  "quote-ordered": {
    status: 409,
    title: "The quote is an order already",
    advice: "Open its order; take the making of the order back to begin again.",
  },
  "purchase-unknown": {
    status: 404,
    title: "There is no such purchase",
    advice: "Look for it in the list of purchases.",
  },
  "cost-span-too-long": {
    status: 422,
    title: "The days are too many or turned round",
    advice: "Ask for 800 days at most, the first day before the last.",
  },
});
