import { refusals } from "#core/base";

/** What this module refuses, and what to do then. */
export const refuseStitches = refusals({
  "machine-file-too-large": {
    status: 413,
    title: "The machine file is too large",
    advice:
      "Check that this is the right file; a design of this size cannot be sewn. Split it before bringing it in.",
  },
  "not-a-machine-file": {
    status: 415,
    title: "This is not a machine file",
    advice: "Choose the .dst file of the design; pictures, archives and documents are brought in elsewhere.",
  },
  "machine-file-damaged": {
    status: 422,
    title: "The machine file is damaged",
    advice:
      "Get the file again from where it came from: from the damaged place on, every stitch would lie wrong.",
  },
  "machine-file-overflow": {
    status: 422,
    title: "The design does not fit the machine file",
    advice: "Split the design into several files, or make it smaller.",
  },
  "lettering-too-small": {
    status: 422,
    title: "The lettering is too small to sew",
    advice: "Make the letters higher, or leave this text out.",
  },
  "lettering-not-possible": {
    status: 422,
    title: "The lettering cannot be made",
    advice: "Change the text or its measures as the message says.",
  },
  "not-a-drawing": {
    status: 415,
    title: "This is not a drawing",
    advice: "Choose an SVG drawing, or a PNG or JPEG picture with few colours.",
  },
  "drawing-too-large": {
    status: 413,
    title: "The drawing is too large",
    advice: "Simplify it where it was drawn; embroidery cannot show so much detail.",
  },
  "artwork-not-possible": {
    status: 422,
    title: "The artwork cannot be made",
    advice: "Change the artwork or its measures as the message says.",
  },
  "motif-unknown": {
    status: 404,
    title: "There is no such picture",
    advice: "Choose one of the pictures in the list.",
  },
  "design-transform-invalid": {
    status: 422,
    title: "The design cannot be moved like this",
    advice: "Give a stitch number inside the design and finite measures.",
  },
});
