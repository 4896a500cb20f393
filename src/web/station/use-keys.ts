import { useEffect, useRef } from "react";
import { hearKey, noKeys, pieceOfCode, TOGETHER_MS } from "./scan";

interface KeysAsked {
  /** Off while a sheet lies over the page: the sheet has the keys then. */
  readonly on: boolean;
  readonly onEnter: () => void;
  /** By lower-case letter. */
  readonly letters: Readonly<Record<string, () => void>>;
  readonly onCode: (piece: { readonly id: string } | { readonly code: string }) => void;
}

const isTyping = (target: EventTarget | null): boolean =>
  target instanceof HTMLElement && target.closest("input, textarea, select, [contenteditable]") !== null;

/** A station's keys: Enter for the green button, letters for the others, and whatever a code reader types. */
export function useKeys(asked: KeysAsked): void {
  const now = useRef(asked);
  useEffect(() => void (now.current = asked));
  useEffect(() => {
    let keys = noKeys;
    let timer: number | undefined;
    const hear = (event: KeyboardEvent) => {
      if (isTyping(event.target) || event.ctrlKey || event.metaKey || event.altKey || event.repeat) return;
      if (event.key !== "Enter" && event.key.length !== 1) return;
      const heard = hearKey(keys, event.key, event.timeStamp);
      window.clearTimeout(timer);
      if (heard.heard === "reading") {
        keys = heard.keys;
        // A letter alone is a person's; it waits a moment for what a reader would type after it.
        if (keys.text.length === 1 && now.current.on)
          timer = window.setTimeout(() => now.current.letters[keys.text.toLowerCase()]?.(), TOGETHER_MS + 20);
        return;
      }
      keys = noKeys;
      if (heard.heard === "code") {
        event.preventDefault();
        const piece = pieceOfCode(heard.text);
        if (piece) now.current.onCode(piece);
        return;
      }
      // Enter on a button in focus presses that button.
      if (!now.current.on || (event.target instanceof HTMLElement && event.target.closest("button, a")))
        return;
      event.preventDefault();
      now.current.onEnter();
    };
    window.addEventListener("keydown", hear);
    return () => {
      window.removeEventListener("keydown", hear);
      window.clearTimeout(timer);
    };
  }, []);
}
