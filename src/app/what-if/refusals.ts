import { refusals } from "#core/base";

/** What questions to the shop are refused for, and what to do then. */
export const whatIfRefusals = refusals({
  "nothing-to-play": {
    status: 409,
    title: "The shop cannot be played through yet",
    advice: "Enter machines, people and some orders first; then ask again.",
  },
  "change-unfitting": {
    status: 422,
    title: "A change names what is not there",
    advice: "Load the page again and choose from its lists.",
  },
  "question-unknown": {
    status: 404,
    title: "There is no such question",
    advice: "Choose one from the list of questions asked.",
  },
  "question-too-large": {
    status: 422,
    title: "The question is too large to answer in a sensible time",
    advice: "Ask for fewer seasons, fewer days, or fewer cards.",
  },
  "worker-needs-server": {
    status: 422,
    title: "A worker needs the studio's PostgreSQL server",
    advice: "Give its address in DATABASE_URL. With SQLite the program itself plays all questions.",
  },
});
