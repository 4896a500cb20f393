/**
 * Where to go once the device is in: a page of this program, as the whole address; null where `to` is none. Read by the
 * browser's own rules, so that nothing that looks like a path leads to another site.
 */
export function wayOn(to: string | null, origin: string): string | null {
  if (to === null || !to.startsWith("/")) return null;
  let url: URL;
  try {
    url = new URL(to, origin);
  } catch {
    return null;
  }
  const isPage = url.origin === origin && !/^\/(pair|api|assets)(\/|$)/.test(url.pathname);
  return isPage ? url.href : null;
}

/** A code as the address's fragment carries it; fragments are never sent, so it stands in no list of requests. */
export const codeOfFragment = (fragment: string): string => /^#(\d{8})$/.exec(fragment)?.[1] ?? "";

/** "1234 5678": read out more easily in two halves. */
export const codeWords = (code: string): string => `${code.slice(0, 4)} ${code.slice(4)}`;
