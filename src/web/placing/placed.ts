import type { Answer } from "#contract";
import { useAnswer } from "../asking";

export type PlacedRun = Answer<"placedRuns">["items"][number];

/** What is said of a placed run at a machine, as long as its placing counts. */
export const placedWords = (placed: PlacedRun, machineId: string | null): string =>
  machineId !== null && placed.machineId !== machineId && placed.give !== "file"
    ? "placed for another machine: place it again for this one"
    : placed.words.replace(/^placed: /, "");

/** What is placed: the file in the bundle, or only numbers that are entered at the machine. */
export const placedSign = (placed: PlacedRun): string =>
  placed.give === "enter" ? "Placed, by hand" : "Placed file";

/** The placing of a run that counts now; undefined where there is none. */
export const usePlacedRun = (jobId: string | null): PlacedRun | undefined =>
  useAnswer("placing", "placedRuns", {}, { enabled: jobId !== null }).data?.items.find(
    (one) => one.jobId === jobId,
  );
