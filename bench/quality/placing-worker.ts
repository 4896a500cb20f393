/** A thread of the bench: finds markers in a shared photo, or rectifies some rows of it; answers with how much it made. */
import { parentPort } from "node:worker_threads";
import type { Lens } from "#core/placing";
import { findMarkers } from "../../src/core/placing/picture/find-markers";
import { greyOf, type RgbaPicture } from "../../src/core/placing/picture/pixels";
import { rectify, type RectifyAsk } from "../../src/core/placing/picture/rectify";

type Ask =
  | { readonly what: "find"; readonly photo: RgbaPicture; readonly lens: Lens }
  | { readonly what: "rectify"; readonly photo: RgbaPicture; readonly ask: RectifyAsk };

parentPort!.on("message", (message: Ask) => {
  const made =
    message.what === "find"
      ? findMarkers(greyOf(message.photo), { lens: message.lens }).length
      : rectify(message.photo, message.ask).data.length;
  parentPort!.postMessage(made);
});
