import { refusals } from "#core/base";

/** What the answers about placing refuse, and what to do then. */
export const placingRefusals = refusals({
  "placing-phone-unknown": {
    status: 404,
    title: "There is no such phone",
    advice: "Choose one of the list, or add this phone and measure its lens first.",
  },
  "placing-hoop-unknown": {
    status: 404,
    title: "There is no such taught hoop",
    advice: "Choose one of the list, or teach the hoop first.",
  },
  "placing-hoop-not-taught": {
    status: 409,
    title: "The hoop has not been taught yet",
    advice: "Take a photo of it on the grid sheet first, or place by the hoop's edges or by tape measure.",
  },
  "placing-hoop-not-fitting": {
    status: 422,
    title: "The hoop is not the one this run is sewn in",
    advice: "Hoop the piece in a hoop of the kind the run asks for, or change the run's hoop.",
  },
  "placing-unknown": {
    status: 404,
    title: "There is no such placing",
    advice: "Load the piece again; it may have been taken back meanwhile.",
  },
  "placing-run-not-placeable": {
    status: 409,
    title: "The run cannot be placed as it stands",
    advice: "Mend what the message names; the piece says what it is.",
  },
  "placing-leaves-field": {
    status: 422,
    title: "The design would leave the field",
    advice: "Hoop the piece again nearer to the middle, choose a larger hoop, or take a smaller design.",
  },
  "placing-touch-missing": {
    status: 422,
    title: "A mark is missing",
    advice: "Touch what the message names and ask again.",
  },
  "placing-marks-invalid": {
    status: 422,
    title: "A mark cannot stand where it is said to",
    advice: "Touch the mark again inside the photo.",
  },
  "placing-photo-unusable": {
    status: 415,
    title: "The photo cannot be kept",
    advice:
      "Send a JPEG of at most 1280 px a side; the page makes one. The placing itself is kept without it.",
  },
  "placing-photos-left-out": {
    status: 409,
    title: "This studio keeps no photos of placings",
    advice:
      "Nothing is lost: the placing is kept without one. The studio's settings for placing change that.",
  },
  "placing-photo-unknown": {
    status: 404,
    title: "There is no photo of this placing",
    advice: "It was left out or has been deleted.",
  },
  "placing-markers-taken": {
    status: 409,
    title: "Markers of this number stick to another hoop",
    advice: "Choose other numbers, or archive the hoop that has them.",
  },
  "placing-markers-used-up": {
    status: 409,
    title: "All marker numbers are on hoops",
    advice:
      "Put away a hoop that is not used any more, and its numbers are free again. A hoop without markers is placed by lines over its inner edges, or by tape measure.",
  },
  "placing-machine-not-able": {
    status: 422,
    title: "The machine cannot take it that way",
    advice: "Have the machine file made anew instead, which every machine takes.",
  },
});
