import { type LiveEvent, liveEvent, rows } from "#contract";
import type { QueryClient } from "@tanstack/react-query";

const listeners = new Set<(event: LiveEvent) => void>();

/** Hears what the program tells all open pages; gives back how to stop hearing. */
export function hear(listener: (event: LiveEvent) => void): () => void {
  listeners.add(listener);
  return () => listeners.delete(listener);
}

/**
 * Keeps one stream of events open. What changed is asked for again: query keys begin with a list's name
 * ("orders", "pieces", "plan", "machines" …), so a change of that list makes every such query stale.
 */
export function listen(queries: QueryClient, onConnection: (connected: boolean) => void): () => void {
  const source = new EventSource(rows.live.path);
  let wasLost = false;
  source.onopen = () => {
    onConnection(true);
    if (wasLost) void queries.invalidateQueries();
    wasLost = false;
  };
  source.onerror = () => {
    wasLost = true;
    onConnection(false);
  };
  const take = (message: MessageEvent<string>) => {
    const parsed = liveEvent.safeParse(JSON.parse(message.data));
    if (!parsed.success) return;
    const event = parsed.data;
    if (event.topic === "changed")
      for (const what of event.what) void queries.invalidateQueries({ queryKey: [what] });
    if (event.topic === "status") queries.setQueriesData({ queryKey: ["status"] }, event.status);
    for (const listener of listeners) listener(event);
  };
  // Each note travels under its topic's name, which a plain onmessage would not hear.
  for (const { shape } of liveEvent.options) source.addEventListener(shape.topic.value, take);
  return () => source.close();
}
