/** The photo's worker: opens photos, finds markers, lays the cloth flat, snaps lines, away from the page's own thread. */
import { Refusal } from "#core/base";
import { Unreadable } from "./open-photo";
import type { AskName, FromPhotoWorker, Gives, PhotoTrouble, ToPhotoWorker } from "./photo-messages";
import { photoWork } from "./photo-work";

const scope = self as unknown as {
  postMessage(message: FromPhotoWorker, moved: Transferable[]): void;
  onmessage: ((event: MessageEvent<ToPhotoWorker>) => void) | null;
};
const work = photoWork() as Record<
  AskName,
  (given: never, tell: (doing: string) => void) => Gives[AskName] | Promise<Gives[AskName]>
>;

function troubleOf(reason: unknown): PhotoTrouble {
  if (reason instanceof Unreadable) return reason.trouble;
  if (reason instanceof Refusal)
    return {
      code: reason.code,
      title: reason.kind.title,
      detail: reason.message,
      advice: reason.kind.advice,
    };
  return {
    code: "photo-work-failed",
    title: "The photo could not be worked on",
    detail: reason instanceof Error ? reason.message : String(reason),
    advice: "Take another photo, or use a tape measure.",
  };
}

/** Pictures are handed over, not copied. */
const movedOf = (gives: Gives[AskName]): Transferable[] =>
  gives !== null && typeof gives === "object"
    ? Object.values(gives).filter((one): one is ImageBitmap => one instanceof ImageBitmap)
    : [];

// One thing after the other: a photo is not laid flat while the next one is being opened.
let before: Promise<unknown> = Promise.resolve();

scope.onmessage = ({ data: { id, name, given } }) => {
  before = before.then(async () => {
    try {
      const gives = await work[name](given as never, (doing) => scope.postMessage({ id, doing }, []));
      scope.postMessage({ id, gives }, movedOf(gives));
    } catch (reason) {
      scope.postMessage({ id, failed: troubleOf(reason) }, []);
    }
  });
};
