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
  "cost-span-too-long": {
    status: 422,
    title: "The days are too many or turned round",
    advice: "Ask for 800 days at most, the first day before the last.",
  },
});
