import type { Kysely, Transaction } from "kysely";
import type { Tables } from "./tables";

/** A table whose rows have an id and may be written through a tracked write and undone. */
export type TrackedTable =
  | "studio"
  | "people"
  | "machines"
  | "hoops"
  | "threads"
  | "stock"
  | "products"
  | "designs"
  | "design_versions"
  | "fonts"
  | "orders"
  | "order_lines"
  | "pieces"
  | "jobs"
  | "phones"
  | "taught_hoops"
  | "placement_rules"
  | "machine_steps"
  | "placings"
  | "cost_settings"
  | "cost_figures"
  | "quotes"
  | "purchases";

/**
 * A write in progress: one transaction, every row it touches noted with what stood there before, so that the whole
 * can be undone. `db` is for reading inside the transaction and for rows that need no undo.
 */
export interface Writing {
  readonly db: Transaction<Tables>;
  insert<T extends TrackedTable>(table: T, row: Tables[T]): Promise<void>;
  /** Adds many rows of one table in few statements; every column must be given. */
  insertAll<T extends TrackedTable>(table: T, rows: readonly Tables[T][]): Promise<void>;
  /** Changes columns of one row and raises its `version` where it has one; returns the row as it now stands. */
  update<T extends TrackedTable>(table: T, id: string, set: Partial<Tables[T]>): Promise<Tables[T]>;
  /** Sets the same columns on many rows in few statements, each row with its version; the rows as they now stand, in the order of the ids. */
  updateAll<T extends TrackedTable>(
    table: T,
    ids: readonly string[],
    set: Partial<Tables[T]>,
  ): Promise<Tables[T][]>;
  /** Takes a row away; only for rows that nothing points to. */
  remove(table: TrackedTable, id: string): Promise<void>;
  /** Lists changed, for pages that are open: "orders", "machines" … with ids. Told after the commit. */
  touch(list: string, ...ids: string[]): void;
}

export interface WriteAsked {
  readonly who: string;
  /** In words, for the list of changes: "Changed machine Heron". */
  readonly what: string;
}

export interface Store {
  readonly kind: "sqlite" | "postgres";
  readonly db: Kysely<Tables>;
  /** Runs `work` in one transaction and keeps the change; a throw leaves nothing behind. */
  write<T>(
    asked: WriteAsked,
    work: (writing: Writing) => Promise<T>,
  ): Promise<{ result: T; changeId: string | null; seq: number }>;
  /**
   * Runs `work` with a store whose writes, each a change of its own, all go into one transaction: they stand or fall
   * together, and the disk is waited for once. Others wait until it ends, so it gives way often and is short.
   */
  together<T>(work: (store: Store) => Promise<T>): Promise<T>;
  /** Takes a change back; refuses when a row has been changed again since. */
  undo(who: string, changeId: string): Promise<{ changeId: string }>;
  /** The number of the newest tracked change. */
  lastChange(): Promise<number>;
  /** Bytes under their SHA-256 in the data folder: written whole (temporary name, fsync, rename) or not at all. */
  readonly files: {
    put(bytes: Uint8Array): Promise<string>;
    get(hash: string): Promise<Uint8Array>;
    /** Takes a file away for good, for what a person wants deleted; the caller sees to it that no record names it. */
    remove(hash: string): Promise<void>;
  };
  /** Requests that carry a key of their own act once, however often they are sent. */
  readonly requests: KeyedRequests;
  /** How many steps the schema has had. */
  readonly schema: number;
  close(): Promise<void>;
}

/** What is known of a keyed request: its answer, or "done" where it acted and the program ended before it answered. */
export type KnownRequest = { readonly requestHash: string } & (
  | { readonly state: "answered"; readonly status: number; readonly answer: string }
  | { readonly state: "done" }
);

export interface KeyedRequests {
  find(key: string): Promise<KnownRequest | null>;
  /** Runs `work`; its first write carries the key in its own transaction, so the act and the knowledge of it stand or fall together. */
  during<T>(
    asked: { readonly key: string; readonly requestHash: string },
    work: () => Promise<T>,
  ): Promise<T>;
  keep(asked: {
    readonly key: string;
    readonly requestHash: string;
    readonly status: number;
    readonly answer: string;
  }): Promise<void>;
  /** Forgets answers older than 30 days. */
  sweep(): Promise<void>;
}
