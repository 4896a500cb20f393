import { useMemo } from "react";
import { useAll } from "../parts/all-of";

/** The shop's threads by id, archived ones too, so that what points to one still shows it. */
export function useThreads() {
  const items = useAll("threads").data;
  return useMemo(() => new Map((items ?? []).map((thread) => [thread.id, thread])), [items]);
}
