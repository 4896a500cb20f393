import { useEffect } from "react";

/** Keeps the screen awake where the browser allows (W3C Screen Wake Lock); a page that was hidden asks again. */
export function useWake(): void {
  useEffect(() => {
    let held: WakeLockSentinel | null = null;
    let over = false;
    const ask = async () => {
      if (document.visibilityState !== "visible" || !("wakeLock" in navigator)) return;
      try {
        held = await navigator.wakeLock.request("screen");
        if (over) await held.release();
      } catch {
        // Refused on a low battery or by the browser's settings: the tablet's own settings decide then.
      }
    };
    const again = () => void ask();
    void ask();
    document.addEventListener("visibilitychange", again);
    return () => {
      over = true;
      document.removeEventListener("visibilitychange", again);
      void held?.release();
    };
  }, []);
}
