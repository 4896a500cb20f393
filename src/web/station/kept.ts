import type { Told } from "./outbox";

/**
 * What a tablet keeps for itself in its browser (IndexedDB, W3C): events not yet answered, and the last plan and floor
 * it saw. Every function gives up quietly where the browser keeps nothing (a private window): the page then holds
 * them in memory alone.
 */
const NAME = "spoolwright-station";
const STORES = ["told", "seen"] as const;
type StoreName = (typeof STORES)[number];

let opened: Promise<IDBDatabase | null> | null = null;

function open(): Promise<IDBDatabase | null> {
  opened ??= new Promise((resolve) => {
    try {
      const asked = indexedDB.open(NAME, 1);
      asked.onupgradeneeded = () => STORES.forEach((store) => asked.result.createObjectStore(store));
      asked.onsuccess = () => resolve(asked.result);
      asked.onerror = () => resolve(null);
      asked.onblocked = () => resolve(null);
    } catch {
      resolve(null);
    }
  });
  return opened;
}

async function within<T>(
  store: StoreName,
  mode: IDBTransactionMode,
  act: (objects: IDBObjectStore) => IDBRequest<T>,
): Promise<T | null> {
  const database = await open();
  if (!database) return null;
  return new Promise((resolve) => {
    try {
      const transaction = database.transaction(store, mode);
      const asked = act(transaction.objectStore(store));
      transaction.oncomplete = () => resolve(asked.result);
      transaction.onabort = transaction.onerror = () => resolve(null);
    } catch {
      resolve(null);
    }
  });
}

/** Keeps one event of the outbox under its id. False where the browser did not keep it. */
export const keepTold = async (told: Told): Promise<boolean> =>
  (await within("told", "readwrite", (objects) => objects.put(told, told.event.id))) !== null;

export const dropTold = (id: string): Promise<unknown> =>
  within("told", "readwrite", (objects) => objects.delete(id));

/** The outbox as it was left, in the order it was told. */
export async function keptTold(): Promise<readonly Told[]> {
  const all = (await within<unknown[]>("told", "readonly", (objects) => objects.getAll())) as Told[] | null;
  return (all ?? []).sort((a, b) => a.event.atMs - b.event.atMs);
}

/** Keeps what was last seen under a name: "floor", "plan". */
export const keepSeen = (name: string, value: unknown): Promise<unknown> =>
  within("seen", "readwrite", (objects) => objects.put(value, name));

export const keptSeen = <T>(name: string): Promise<T | null> =>
  within<unknown>("seen", "readonly", (objects) => objects.get(name)).then((value) => (value ?? null) as T);
