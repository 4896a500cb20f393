import { refusals } from "#core/base";

/** What the floor refuses, and what to do then. */
export const floorRefusals = refusals({
  "nothing-to-fix": {
    status: 404,
    title: "There is no such time",
    advice: "Take one of the list at /api/floor/learned.",
  },
  "history-too-long": {
    status: 422,
    title: "So many days at once are too many",
    advice: "Ask for at most 92 days.",
  },
  "machine-unknown": {
    status: 404,
    title: "There is no such machine",
    advice: "Choose one from the list of machines.",
  },
});
