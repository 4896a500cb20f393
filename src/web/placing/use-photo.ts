import { useState } from "react";
import { PhotoError, type PhotoDesk } from "./photo-desk";
import type { AskName, Asks, Gives, PhotoTrouble } from "./photo-messages";

/** The photo on the desk: what is being done with it, in words, and what went wrong. */
export function useDeskWork(desk: PhotoDesk) {
  const [doing, setDoing] = useState<string | null>(null);
  const [trouble, setTrouble] = useState<PhotoTrouble | null>(null);
  const work = async <N extends AskName>(
    name: N,
    given: Asks[N],
    first: string,
  ): Promise<Gives[N] | null> => {
    setDoing(first);
    setTrouble(null);
    try {
      return await desk.ask(name, given, setDoing);
    } catch (reason) {
      setTrouble(
        reason instanceof PhotoError
          ? reason.trouble
          : {
              code: "photo",
              title: "The photo could not be worked on",
              detail: String(reason),
              advice: "Take it again.",
            },
      );
      return null;
    } finally {
      setDoing(null);
    }
  };
  return { doing, trouble, setTrouble, work };
}

export type DeskWork = ReturnType<typeof useDeskWork>;
