import type { shapes } from "#contract";
import { useSyncExternalStore } from "react";

/**
 * Whether the program lets this device in, by its last answer. Every answer passes here; a page that stands open shows
 * at once when its device is turned out, and that it is in again.
 */
let refused: shapes.ProblemDocument | null = null;
const watchers = new Set<() => void>();

/** Takes note of an answer: its problem document, or null for one that was given. */
export function noteAnswer(problem: shapes.ProblemDocument | null): void {
  const next = problem?.status === 401 ? problem : null;
  if (next?.code === refused?.code) return;
  refused = next;
  for (const watcher of watchers) watcher();
}

/** Why this device is not let in just now; null while it is. */
export const useNotLetIn = (): shapes.ProblemDocument | null =>
  useSyncExternalStore(
    (watcher) => {
      watchers.add(watcher);
      return () => watchers.delete(watcher);
    },
    () => refused,
  );
