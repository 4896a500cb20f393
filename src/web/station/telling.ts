import type { FloorEventBody } from "#contract";
import { useSyncExternalStore } from "react";
import { ask, Trouble } from "../client";
import { dropTold, keepTold, keptTold } from "./kept";
import {
  joined,
  nextToSend,
  type Outcome,
  type Told,
  waitS,
  withOutcomes,
  withoutOld,
  withTold,
} from "./outbox";

/**
 * The outbox at work: an event is kept in the browser before it is sent, sent in its order until the program answers,
 * and told apart by its id, so that however often it is sent it counts once.
 */
interface Outbox {
  readonly told: readonly Told[];
  /** Whether the last try reached the program. */
  readonly reached: boolean;
}

let outbox: Outbox = { told: [], reached: true };
const watchers = new Set<() => void>();

function put(next: Outbox): void {
  outbox = next;
  for (const watcher of watchers) watcher();
}

export const useOutbox = (): Outbox =>
  useSyncExternalStore(
    (watcher) => {
      watchers.add(watcher);
      return () => watchers.delete(watcher);
    },
    () => outbox,
  );

/** Random letters and digits for an id; works on plain http, where the browser offers no ready-made ids. */
export function freshId(): string {
  const letters = "0123456789abcdefghjkmnpqrstvwxyz";
  return `ev-${[...crypto.getRandomValues(new Uint8Array(20))].map((byte) => letters[byte % 32]).join("")}`;
}

let failures = 0;
let timer: number | undefined;
let isSending = false;

/** Tells an event: it stands at once, and goes to the program as soon as that answers. */
export async function tell(told: Told): Promise<void> {
  put({ ...outbox, told: withTold(withoutOld(outbox.told, Date.now()), told) });
  await keepTold(told);
  failures = 0;
  await sendWaiting();
}

/** Puts a refused event away. */
export function putAway(id: string): void {
  put({ ...outbox, told: outbox.told.filter((one) => one.event.id !== id) });
  void dropTold(id);
}

/** Sends what waits, in order; tries again later where the program does not answer. */
export async function sendWaiting(): Promise<void> {
  if (isSending) return;
  isSending = true;
  window.clearTimeout(timer);
  try {
    for (let events = nextToSend(outbox.told); events.length > 0; events = nextToSend(outbox.told)) {
      const outcomes = await outcomesOf(events);
      put({ told: withOutcomes(outbox.told, outcomes, Date.now()), reached: true });
      failures = 0;
      for (const one of outcomes)
        if (one.outcome === "refused") {
          const told = outbox.told.find(({ event }) => event.id === one.id);
          if (told) await keepTold(told);
        } else await dropTold(one.id);
    }
  } catch {
    failures += 1;
    put({ ...outbox, reached: false });
    timer = window.setTimeout(() => void sendWaiting(), waitS(failures) * 1000);
  } finally {
    isSending = false;
  }
}

/** Throws while the program cannot be reached; an event it cannot read is refused alone, the others go on. */
async function outcomesOf(events: readonly FloorEventBody[]): Promise<readonly Outcome[]> {
  try {
    return (await ask("tellFloor", { body: { events: [...events] } })).value.outcomes;
  } catch (reason) {
    const problem = reason instanceof Trouble ? reason.problem : null;
    // 401: this tablet is not let in just now. What it told is kept until it is.
    if (!problem || problem.status >= 500 || [401, 408, 429].includes(problem.status)) throw reason;
    if (events.length === 1) return [{ id: events[0]!.id, outcome: "refused", why: problem.detail }];
    const outcomes: Outcome[] = [];
    for (const event of events) outcomes.push(...(await outcomesOf([event])));
    return outcomes;
  }
}

let started = false;

/** Takes up what an earlier visit left, and tries at once when the network is back. */
export function startTelling(): void {
  if (started) return;
  started = true;
  void keptTold().then((stored) => {
    put({ ...outbox, told: joined(stored, outbox.told) });
    return sendWaiting();
  });
  window.addEventListener("online", () => void sendWaiting());
}
