import type { Page, Request } from "playwright-core";
import type { FloorEventBody } from "#contract";
import type { Sheet } from "./support";

/**
 * People who do what a page of the floor says: they read its large sentence, press its large button, and look again.
 * What the pages sent is written down as it went out, to be held against what the program keeps.
 */
export interface FloorPage extends Sheet {
  readonly name: string;
  readonly kind: "station" | "hands";
  isOnline: boolean;
  /** Ids of events in the program's last word that reached the page. */
  readonly heard: Set<string>;
}

/** Every event a page sent, under its id; how often it was sent beside it. */
export type Sent = Map<string, { readonly event: FloorEventBody; times: number }>;

const isTelling = (request: Request) =>
  request.method() === "POST" && request.url().endsWith("/api/floor/events");

/** Listens to what the page tells and hears of the floor. */
export function floorPage(sheet: Sheet, name: string, kind: FloorPage["kind"], sent: Sent): FloorPage {
  const heard = new Set<string>();
  sheet.page.on("request", (request) => {
    if (!isTelling(request)) return;
    for (const event of (request.postDataJSON() as { events: FloorEventBody[] }).events)
      sent.set(event.id, { event, times: (sent.get(event.id)?.times ?? 0) + 1 });
  });
  sheet.page.on("response", (response) => {
    if (!response.url().endsWith("/api/floor") || !response.ok()) return;
    void response.json().then(
      (answer: { lately: { id: string }[] }) => answer.lately.forEach((one) => heard.add(one.id)),
      () => undefined,
    );
  });
  return { ...sheet, name, kind, isOnline: true, heard };
}

/** The large sentence, what stands under it, and the large button's words; null where there is no such button. */
export interface Read {
  readonly sentence: string;
  readonly more: string;
  readonly button: string | null;
}

export const read = (page: Page): Promise<Read> =>
  page.evaluate(() => {
    const words = (one: Element | null) => one?.textContent?.trim() ?? "";
    const say = document.querySelector("h1")?.parentElement ?? null;
    const button = document.querySelector<HTMLElement>(".act-main");
    return {
      sentence: words(document.querySelector("h1")),
      more: words(say?.querySelector("p") ?? null),
      button: button ? (button.firstChild?.textContent?.trim() ?? "") : null,
    };
  });

/** What a person makes of a page: press the button, wait, or wait unless there is nothing else to do. */
function wish({ sentence, button }: Read): "press" | "wait" | "early" {
  if (button === null) return "wait";
  if (button === "Begin it now") return "early";
  // A machine sews on until its time is over; who is away or what is down comes back by itself.
  if (/^Sewing .* (left|to its stop)$| is (down|away)/.test(sentence)) return "wait";
  return "press";
}

const main = (page: Page) => page.getByRole("button").and(page.locator(".act-main"));

/** Presses the large button and waits until all pages that have a network know of it. */
export async function press(at: FloorPage, everybody: readonly FloorPage[], sent: Sent): Promise<void> {
  const before = new Set(sent.keys());
  await main(at.page).click();
  await known(at, everybody, sent, before);
}

/** Waits until there is none of something more; throws what is left after so many ms, which only a page that hangs needs. */
export async function untilNone(
  what: string,
  left: () => readonly string[] | Promise<readonly string[]>,
  patienceMs = 20_000,
): Promise<void> {
  const began = performance.now();
  for (let found = await left(); found.length > 0; found = await left()) {
    if (performance.now() - began > patienceMs) throw new Error(`${what}: ${found.join("\n")}`);
    await new Promise((resolve) => setTimeout(resolve, 5));
  }
}

/** Waits until what was told since is on its way, kept, and known on all pages that have a network. */
export async function known(
  at: FloorPage,
  everybody: readonly FloorPage[],
  sent: Sent,
  before: ReadonlySet<string>,
): Promise<void> {
  if (!at.isOnline) return;
  const fresh = () => [...sent.keys()].filter((id) => !before.has(id));
  await untilNone("still not told", () => (fresh().length > 0 ? [] : [at.name]));
  const listening = everybody.filter((one) => one.isOnline);
  await untilNone("still to hear of it", () =>
    listening.filter((one) => !fresh().every((id) => one.heard.has(id))).map((one) => one.name),
  );
  await Promise.all(listening.map(({ page }) => drawn(page)));
}

/** Waits until the page has drawn what it knows. */
const drawn = (page: Page) =>
  page.evaluate(() => new Promise((resolve) => requestAnimationFrame(() => requestAnimationFrame(resolve))));

/** One look at a page; says what was pressed, or null. With `early`, work of later is begun too. */
export async function look(
  at: FloorPage,
  everybody: readonly FloorPage[],
  sent: Sent,
  patience: "in time" | "early",
): Promise<string | null> {
  const now = await read(at.page);
  const wished = wish(now);
  if (wished === "press") {
    await press(at, everybody, sent);
    return `${now.sentence}: ${now.button}`;
  }
  const packed = at.page.getByRole("button", { name: /: Packed$/ });
  if (at.kind === "hands" && (await packed.count()) > 0) {
    const words = (await packed.first().getAttribute("aria-label")) ?? "";
    const before = new Set(sent.keys());
    await packed.first().click();
    await known(at, everybody, sent, before);
    return words;
  }
  if (wished === "early" && patience === "early") {
    await main(at.page).click();
    await drawn(at.page);
    return `${now.more}: begun early`;
  }
  return null;
}
