import { refusals } from "#core/base";

/** What paper, machine files and tables refuse. */
export const refusePaper = refusals({
  "no-plan": {
    status: 409,
    title: "There is no plan yet",
    advice: "Make a plan on Today; tickets, threading list, pick list and machine files are made from it.",
  },
  "nothing-planned": {
    status: 409,
    title: "Nothing is planned there",
    advice: "Choose another day or machine, or plan again.",
  },
  "machine-unknown": {
    status: 404,
    title: "There is no such machine in the plan",
    advice: "Choose one of the plan's machines, or leave the machine out to take them all.",
  },
  "piece-not-planned": {
    status: 409,
    title: "The piece is not in the plan",
    advice: "See Today for the reason, mend it and plan again.",
  },
  "table-unknown": {
    status: 404,
    title: "There is no such table",
    advice: "Choose one of the tables the message names.",
  },
});
