import type { Store, Tables, Writing } from "#store";
import type { Context } from "./context";
import { refuseDevices } from "./devices-refusals";

/** A tablet or phone that was let in. */
export interface Device {
  readonly id: string;
  readonly name: string;
  readonly pairedAtMs: number;
  /** At most SEEN_EVERY_MS behind. */
  readonly lastSeenAtMs: number;
  /** Null while it is let in. */
  readonly turnedOutAtMs: number | null;
}

/**
 * Who is let in beside this computer. Held in memory, so that looking who asks waits for no write; the table is
 * written first and last. Nothing here is a tracked change: taking a change back must never let a device in again.
 */
export interface Devices {
  /** Those that are let in, newest first. */
  list(): Promise<readonly Device[]>;
  /** Whose token has this hash, also when it was turned out since; null where nobody's. */
  ofToken(tokenHash: string): Promise<Device | null>;
  /** Lets one in; where the name is taken a number is added. Throws `devices-many`. */
  letIn(asked: { readonly name: string; readonly tokenHash: string }): Promise<Device>;
  /** Throws `device-unknown`, `device-name-taken`. */
  rename(id: string, name: string): Promise<void>;
  /** Throws `device-unknown`. Whoever listens hears of it when no request of the device is answered any more. */
  turnOut(id: string): Promise<void>;
  /** Notes that it asked for something; true when that was long enough ago to be written down. */
  saw(device: Device): boolean;
  hearTurnedOut(listener: (id: string) => void): void;
  /** The origin chosen for QR codes, whether or not this computer still has it. */
  phoneOrigin(): Promise<string | null>;
  choosePhoneOrigin(origin: string): Promise<void>;
  /** Waits for what is being written. */
  settle(): Promise<void>;
}

const SEEN_EVERY_MS = 10 * 60_000;
/** Far more than a studio has; a list nobody looks over lets strangers stay. */
const MOST_DEVICES = 50;
const ORIGIN_KEY = "phone-origin";

type Known = Map<string, Device>;

export function openDevices({ store, nowMs, newId, log }: Context): Devices {
  let known: Promise<Known> | null = null;
  let origin: Promise<string | null> | null = null;
  let seeing: Promise<unknown> = Promise.resolve();
  const listeners: ((id: string) => void)[] = [];
  const all = () =>
    (known ??= readAll(store).catch((reason: unknown) => {
      known = null;
      throw reason;
    }));
  const forget = () => {
    known = null;
    origin = null;
  };

  async function letInNow(): Promise<readonly Device[]> {
    return [...(await all()).values()]
      .filter((one) => one.turnedOutAtMs === null)
      .sort((a, b) => b.pairedAtMs - a.pairedAtMs || (a.id < b.id ? 1 : -1));
  }

  /** One write of the table, told to open pages; memory is read anew afterwards, whether it came about or not. */
  async function change(what: string, id: string, work: (db: Writing["db"]) => Promise<unknown>) {
    try {
      await store.write({ who: "This computer", what }, async (writing) => {
        await work(writing.db);
        writing.touch("devices", id);
      });
    } finally {
      forget();
    }
  }

  async function oneLetIn(id: string): Promise<Device> {
    const found = (await letInNow()).find((one) => one.id === id);
    if (!found) throw refuseDevices("device-unknown", `No device ${id} is let in.`);
    return found;
  }

  return {
    list: letInNow,
    ofToken: async (tokenHash) => (await all()).get(tokenHash) ?? null,
    async letIn({ name, tokenHash }) {
      const there = await letInNow();
      if (there.length >= MOST_DEVICES)
        throw refuseDevices("devices-many", `${there.length} devices are let in; more than that are not.`);
      const atMs = nowMs();
      const device = { id: newId("dv"), name: freeName(name, there), pairedAtMs: atMs, lastSeenAtMs: atMs };
      await change("Let a device in", device.id, (db) =>
        db
          .insertInto("devices")
          .values({
            id: device.id,
            name: device.name,
            token_hash: tokenHash,
            paired_at_ms: atMs,
            last_seen_at_ms: atMs,
            turned_out_at_ms: null,
          })
          .execute(),
      );
      return { ...device, turnedOutAtMs: null };
    },
    async rename(id, name) {
      await oneLetIn(id);
      const others = (await letInNow()).filter((one) => one.id !== id);
      if (isTaken(name, others))
        throw refuseDevices("device-name-taken", `Another device is called ${name}.`);
      await change("Renamed a device", id, (db) =>
        db.updateTable("devices").set({ name }).where("id", "=", id).execute(),
      );
    },
    async turnOut(id) {
      const device = await oneLetIn(id);
      const turnedOutAtMs = nowMs();
      // Shut before it is written: nothing is answered meanwhile, and a write that fails opens it again.
      const inMemory = await all();
      for (const [hash, one] of inMemory) if (one.id === id) inMemory.set(hash, { ...device, turnedOutAtMs });
      await change("Turned a device out", id, (db) =>
        db.updateTable("devices").set({ turned_out_at_ms: turnedOutAtMs }).where("id", "=", id).execute(),
      );
      for (const listener of listeners) listener(id);
    },
    saw(device) {
      const atMs = nowMs();
      if (atMs - device.lastSeenAtMs < SEEN_EVERY_MS) return false;
      seeing = seeing
        .then(() => note(device.id, atMs))
        .catch((error: unknown) => log.warn("When a device was last seen could not be written", { error }));
      return true;
    },
    hearTurnedOut: (listener) => void listeners.push(listener),
    phoneOrigin: () =>
      (origin ??= readOrigin(store).catch((reason: unknown) => {
        origin = null;
        throw reason;
      })),
    async choosePhoneOrigin(origin) {
      await change("Chose the address for phones", ORIGIN_KEY, (db) =>
        db
          .insertInto("settings")
          .values({ key: ORIGIN_KEY, value: origin })
          .onConflict((conflict) => conflict.column("key").doUpdateSet({ value: origin }))
          .execute(),
      );
    },
    settle: async () => void (await seeing),
  };

  async function note(id: string, atMs: number): Promise<void> {
    const inMemory = await all();
    for (const [hash, one] of inMemory) {
      if (one.id !== id || atMs - one.lastSeenAtMs < SEEN_EVERY_MS) continue;
      inMemory.set(hash, { ...one, lastSeenAtMs: atMs });
      await store.write({ who: "The program", what: "Saw a device" }, (writing) =>
        writing.db.updateTable("devices").set({ last_seen_at_ms: atMs }).where("id", "=", id).execute(),
      );
    }
  }
}

async function readOrigin(store: Store): Promise<string | null> {
  const kept = store.db.selectFrom("settings").select("value").where("key", "=", ORIGIN_KEY);
  return (await kept.executeTakeFirst())?.value ?? null;
}

async function readAll(store: Store): Promise<Known> {
  const rows = await store.db.selectFrom("devices").selectAll().execute();
  return new Map(rows.map((row) => [row.token_hash, deviceOf(row)]));
}

const deviceOf = (row: Tables["devices"]): Device => ({
  id: row.id,
  name: row.name,
  pairedAtMs: row.paired_at_ms,
  lastSeenAtMs: row.last_seen_at_ms,
  turnedOutAtMs: row.turned_out_at_ms,
});

const sameName = (a: string, b: string) => a.toLowerCase() === b.toLowerCase();

/** The name, with a number where another device has it: changes name who made them, and must not mix two up. */
function freeName(name: string, there: readonly Device[]): string {
  let free = name;
  for (let number = 2; isTaken(free, there); number++) free = `${name} ${number}`;
  return free;
}

const isTaken = (name: string, there: readonly Device[]) =>
  ["This computer", "The program", ...there.map((device) => device.name)].some((one) => sameName(one, name));
