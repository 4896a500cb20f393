import { useEffect, useMemo } from "react";
import type { AskName, Asks, FromPhotoWorker, Gives, PhotoTrouble, ToPhotoWorker } from "./photo-messages";

/** The worker refused or failed, in words. */
export class PhotoError extends Error {
  constructor(readonly trouble: PhotoTrouble) {
    super(trouble.detail);
    this.name = "PhotoError";
  }
}

export interface PhotoDesk {
  ask<N extends AskName>(name: N, given: Asks[N], onDoing?: (doing: string) => void): Promise<Gives[N]>;
  close(): void;
}

interface Waiting {
  readonly done: (gives: never) => void;
  readonly failed: (reason: PhotoError) => void;
  readonly doing: ((words: string) => void) | undefined;
}

/** Opens the worker when it is first asked. */
export function openDesk(): PhotoDesk {
  let worker: Worker | null = null;
  let nextId = 1;
  const waiting = new Map<number, Waiting>();
  const started = (): Worker => {
    const made = new Worker(new URL("./worker.ts", import.meta.url), { type: "module" });
    made.onmessage = ({ data }: MessageEvent<FromPhotoWorker>) => {
      const one = waiting.get(data.id);
      if (!one) return;
      if ("doing" in data) return one.doing?.(data.doing);
      waiting.delete(data.id);
      if ("gives" in data) one.done(data.gives as never);
      else one.failed(new PhotoError(data.failed));
    };
    made.onerror = (event) => {
      const trouble = {
        code: "photo-worker-lost",
        title: "The photo could not be worked on",
        detail: event.message || "This browser stopped working on the photo.",
        advice: "Load the page again; a tape measure does it without a photo.",
      };
      for (const one of waiting.values()) one.failed(new PhotoError(trouble));
      waiting.clear();
      worker = null;
    };
    return made;
  };
  return {
    ask: (name, given, onDoing) =>
      new Promise((done, failed) => {
        worker ??= started();
        const id = nextId++;
        waiting.set(id, { done, failed, doing: onDoing });
        worker.postMessage({ id, name, given } satisfies ToPhotoWorker);
      }),
    close: () => {
      worker?.terminate();
      worker = null;
      waiting.clear();
    },
  };
}

export function usePhotoDesk(): PhotoDesk {
  const desk = useMemo(() => openDesk(), []);
  useEffect(() => () => desk.close(), [desk]);
  return desk;
}
