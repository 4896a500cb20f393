import { useSyncExternalStore } from "react";

/**
 * How many CSS pixels of this screen make a millimetre. CSS takes 96 to the inch (CSS Values 4, 5.2), which is
 * seldom true; a person checks it once against a bank card, 85.60 mm × 53.98 mm (ISO/IEC 7810, ID-1).
 */
export const CARD_WIDTH_MM = 85.6;
export const CARD_HEIGHT_MM = 53.98;
const USUAL = 96 / 25.4;
const KEY = "spoolwright.screen-px-per-mm";
const watchers = new Set<() => void>();

function stored(): number | null {
  const value = Number(localStorage.getItem(KEY));
  return 1 <= value && value <= 30 ? value : null;
}

export function useTrueSize(): { readonly pxPerMm: number; readonly checked: boolean } {
  const value = useSyncExternalStore((watcher) => {
    watchers.add(watcher);
    return () => watchers.delete(watcher);
  }, stored);
  return { pxPerMm: value ?? USUAL, checked: value !== null };
}

/** Remembers the measured scale on this screen; null forgets it. */
export function setTrueSize(pxPerMm: number | null): void {
  if (pxPerMm === null) localStorage.removeItem(KEY);
  else localStorage.setItem(KEY, String(pxPerMm));
  for (const watcher of watchers) watcher();
}
