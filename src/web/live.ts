import { type LiveEvent, liveEvent, rows } from "#contract";
import type { QueryClient } from "@tanstack/react-query";
import { ask } from "./client";

/** A stream the program refused (a device that was turned out) is tried again so much later: ms. */
const AGAIN_MS = 15_000;

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
  let source: EventSource;
  let timer: number | undefined;
  let wasLost = false;
  const open = () => {
    source = new EventSource(rows.live.path);
    source.onopen = () => {
      onConnection(true);
      if (wasLost) void queries.invalidateQueries();
      wasLost = false;
    };
    source.onerror = () => {
      wasLost = true;
      onConnection(false);
      // A lost connection the browser takes up again by itself; after a refusal it gives up without saying why.
      if (source.readyState !== EventSource.CLOSED) return;
      void ask("thisDevice", {}).catch(() => undefined);
      timer = window.setTimeout(open, AGAIN_MS);
    };
    // Each note travels under its topic's name, which a plain onmessage would not hear.
    for (const { shape } of liveEvent.options) source.addEventListener(shape.topic.value, take);
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
  open();
  return () => {
    window.clearTimeout(timer);
    source.close();
  };
}
