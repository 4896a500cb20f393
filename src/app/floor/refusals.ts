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
  "trip-backwards": {
    status: 422,
    title: "A machine cannot be back before it left",
    advice: "Give the day it leaves, and a later one on which it stands in its place again.",
  },
  "machine-unknown": {
    status: 404,
    title: "There is no such machine",
    advice: "Choose one from the list of machines.",
  },
});
