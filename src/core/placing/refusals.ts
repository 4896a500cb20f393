import { refusals } from "#core/base";

/** What this half of placing refuses, and what to do then. */
export const refusePlacing = refusals({
  "placing-lens-range": {
    status: 422,
    title: "A place in the photo lies beyond what the lens model reaches",
    advice:
      "Take the photo so that hoop and marks stay away from the photo's corners, or measure the phone's lens again.",
  },
  "placing-too-few-marks": {
    status: 422,
    title: "There are too few marks",
    advice: "Uncover more markers, or add the points or lines that the message asks for.",
  },
  "placing-marks-in-line": {
    status: 422,
    title: "The marks lie in one line or at one place",
    advice: "Use marks that spread over the hoop in both directions.",
  },
  "placing-no-such-view": {
    status: 422,
    title: "No camera can see the marks like this",
    advice: "Check that each mark is where it was taught and that no two were taken for one another.",
  },
  "placing-marks-disagree": {
    status: 422,
    title: "The marks disagree and none can be named as the wrong one",
    advice: "Check the markers on this hoop, teach it again if one was moved, and take another photo.",
  },
  "placing-rule-needs-mark": {
    status: 422,
    title: "The placement needs a mark that was not touched",
    advice: "Touch the seam, line, hem or edge that the message names.",
  },
  "placing-line-unclear": {
    status: 422,
    title: "A touched line runs so that the place or the way up cannot be told from it",
    advice:
      "Check which way the cloth's upper end lies and that the right line was touched; where two lines run nearly alike, touch one that crosses the other plainly.",
  },
  "placing-value-invalid": {
    status: 422,
    title: "A measure of the placing is not possible",
    advice: "Give the measure that the message names as a finite number in its range.",
  },
  "placing-not-sure-enough": {
    status: 422,
    title: "The place is not known well enough for this product",
    advice: "Do what the message proposes, or allow this product a wider tolerance.",
  },
  "placing-stitch-unknown": {
    status: 422,
    title: "There is no stitch to start again from",
    advice: "Touch a place on the sewn part, or give a stitch number inside the design.",
  },
});
