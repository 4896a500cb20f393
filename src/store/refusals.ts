import { refusals } from "#core/base";

/** What the store refuses, and what to do then. */
export const refuseStore = refusals({
  "data-folder-in-use": {
    status: 409,
    title: "The data folder is in use",
    advice:
      "Spoolwright is running on this folder already: use that one, stop it first, or name another folder with --data.",
  },
  "data-folder-unusable": {
    status: 507,
    title: "The data folder cannot be used",
    advice:
      "Check that the folder may be written to and that the disk has room, or name another folder with --data.",
  },
  "schema-newer": {
    status: 409,
    title: "The data was written by a newer Spoolwright",
    advice:
      "Start the newer version again; nothing has been changed. The copy made before its upgrade is in the folder backups.",
  },
  "database-damaged": {
    status: 503,
    title: "The database is damaged",
    advice:
      "Nothing has been overwritten. Bring back the newest good backup: spoolwright restore FILE. The damaged file is kept aside.",
  },
  "database-unsafe": {
    status: 503,
    title: "The database would not keep what it is given",
    advice: "Set the named setting back to its safe value; Spoolwright does not take orders it might lose.",
  },
  "database-unreachable": {
    status: 503,
    title: "The database cannot be reached",
    advice: "Check DATABASE_URL and that the database server runs; then start again.",
  },
  "change-unknown": {
    status: 404,
    title: "There is no such change",
    advice: "Load the list of changes again.",
  },
  "change-undone-already": {
    status: 409,
    title: "The change has been taken back already",
    advice: "Load the list of changes again.",
  },
  "changed-since": {
    status: 409,
    title: "It was changed again since",
    advice: "Take the later change back first, or change the record by hand.",
  },
  "still-used": {
    status: 409,
    title: "Something else points to it",
    advice: "Take back or change what points to it first, or archive it instead.",
  },
  "already-there": {
    status: 409,
    title: "It is there already",
    advice: "Use the one that is there, or give this one another name or number.",
  },
  "reference-unknown": {
    status: 422,
    title: "It points to something that is not there",
    advice: "Choose from the list again; it may have been taken away meanwhile.",
  },
  "record-unknown": { status: 404, title: "There is no such record", advice: "Load the list again." },
  "file-unknown": {
    status: 404,
    title: "The file is not in the data folder",
    advice: "Run spoolwright check; bring the file in again or restore a backup.",
  },
  "disk-full": {
    status: 507,
    title: "The disk is full",
    advice: "Nothing of this was kept and nothing older is lost. Make room on the disk and try again.",
  },
  "backup-unreadable": {
    status: 422,
    title: "This backup cannot be used",
    advice: "Choose another backup file; nothing has been changed.",
  },
});
