/** What this device was last told: which phone it is. Held in memory alone where the browser keeps nothing. */
const PHONE = "spoolwright-placing-phone";

/** The phone's id that was chosen last; "" for "none of these"; null where nothing was chosen yet. */
export function rememberedPhone(): string | null {
  try {
    return window.localStorage.getItem(PHONE);
  } catch {
    return null;
  }
}

export function rememberPhone(id: string | null): void {
  try {
    window.localStorage.setItem(PHONE, id ?? "");
  } catch {
    // Asked again next time, then.
  }
}
