import { Refusal } from "#core/base";
import { startThread } from "../threads";
import type { LensAsked, MeasuredOnce, TaughtAsked } from "./measure-once";

/**
 * Measuring a lens or a hoop takes seconds, one least-squares fit over all photos: it is done in a thread of its own,
 * so that nobody else waits.
 */
export type OnceAsked =
  | {
      readonly of: "lens";
      readonly body: LensAsked;
      readonly paper: TaughtAsked["paper"];
      readonly nowMs: number;
    }
  | ({ readonly of: "hoop" } & TaughtAsked);

/** What the thread answers with: an error's class does not travel. */
export type OnceAnswer =
  | { readonly measured: MeasuredOnce["lens"] | MeasuredOnce["hoop"] }
  | { readonly refused: Pick<Refusal, "code" | "kind" | "message" | "details"> };

/** @throws what lensFromGrids and taughtFromGrids refuse. */
export function measuredAside<O extends OnceAsked["of"]>(
  asked: Extract<OnceAsked, { of: O }>,
): Promise<MeasuredOnce[O]> {
  return new Promise((resolve, reject) => {
    const thread = startThread("placing-worker", asked);
    thread.once("message", (answer: OnceAnswer) => {
      void thread.terminate();
      if ("measured" in answer) resolve(answer.measured as MeasuredOnce[O]);
      else {
        const { code, kind, message, details } = answer.refused;
        reject(new Refusal(code, kind, message, details));
      }
    });
    thread.once("error", reject);
    thread.once("exit", (code) => reject(new Error(`The thread that measures ended with ${code}`)));
  });
}
