import { rows } from "#contract";
import type { Context } from "./context";
import type { Program } from "./program";
import { refuseApp } from "./refusals";
import type { OnProgress } from "./setup";

type Loose = Record<string, unknown>;

/** The answers of the groups beside the studio and its lists, and what must end with the program. */
export function joinedAnswers(context: Context): {
  readonly answers: Loose;
  makeDemo(program: Program, onProgress: OnProgress): Promise<void>;
  close(): Promise<void>;
} {
  void context;
  const answers: Loose = {};
  for (const name of Object.keys(rows)) answers[name] = () => Promise.reject(refuseApp("not-joined", `This version has no answer for “${name}”.`));
  return {
    answers,
    makeDemo: () => Promise.reject(refuseApp("not-joined", "This version has no demo studio.")),
    close: () => Promise.resolve(),
  };
}
