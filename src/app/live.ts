import type { LiveEvent } from "#contract";

export type Listener = (event: LiveEvent) => void;

/** Passes events on to whoever listens. A listener that throws is dropped; the others still hear. */
export function liveHub(onFailure: (error: unknown) => void) {
  const listeners = new Set<Listener>();
  return {
    tell(event: LiveEvent): void {
      for (const listener of [...listeners]) {
        try {
          listener(event);
        } catch (error) {
          listeners.delete(listener);
          onFailure(error);
        }
      }
    },
    listen(listener: Listener): () => void {
      listeners.add(listener);
      return () => void listeners.delete(listener);
    },
  };
}
