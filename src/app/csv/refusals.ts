import { refusals } from "#core/base";

/** What the import refuses as a whole; a bad row is not a refusal but kept with its reasons. */
export const refuseCsv = refusals({
  "import-not-csv": {
    status: 415,
    title: "This is not a CSV file",
    advice: "Save or export the orders as CSV (comma-separated text) and bring in that file.",
  },
  "import-empty": {
    status: 422,
    title: "There are no orders in the file",
    advice: "Export the orders again: the file needs a line of headings and a line for each order line.",
  },
  "import-too-large": {
    status: 413,
    title: "The file is too large",
    advice: "Split the export by date into smaller files; orders that are in already are not added twice.",
  },
  "import-unreadable": {
    status: 422,
    title: "The quotes in the file cannot be followed",
    advice: "Export the file again with text in double quotes and quotes inside text doubled (RFC 4180).",
  },
  "import-unknown": {
    status: 404,
    title: "There is no such import",
    advice: "Go back to the list of imports.",
  },
  "import-running": {
    status: 409,
    title: "The import is running",
    advice: "Wait until it is done, or stop it first.",
  },
  "import-not-running": {
    status: 409,
    title: "The import is not running",
    advice: "Look at the import again: it may be done.",
  },
  "import-reading": {
    status: 422,
    title: "The file cannot be read like this",
    advice:
      "Say which column is what; at least the reference, the product and a promise date or days are needed.",
  },
  "bad-row-unknown": {
    status: 404,
    title: "There is no such bad row",
    advice: "It may have been brought in meanwhile; look at the list again.",
  },
});
