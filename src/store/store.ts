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
  | "orders"
  | "order_lines"
  | "pieces"
  | "jobs";

/**
 * A write in progress: one transaction, every row it touches noted with what stood there before, so that the whole
 * can be undone. `db` is for reading inside the transaction and for rows that need no undo.
 */
export interface Writing {
  readonly db: Transaction<Tables>;
  insert<T extends TrackedTable>(table: T, row: Tables[T]): Promise<void>;
  /** Changes columns of one row and raises its `version` where it has one; returns the row as it now stands. */
  update<T extends TrackedTable>(table: T, id: string, set: Partial<Tables[T]>): Promise<Tables[T]>;
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
  write<T>(asked: WriteAsked, work: (writing: Writing) => Promise<T>): Promise<{ result: T; changeId: string | null; seq: number }>;
  /** Takes a change back; refuses when a row has been changed again since. */
  undo(who: string, changeId: string): Promise<{ changeId: string }>;
  /** The number of the newest tracked change. */
  lastChange(): Promise<number>;
  /** Bytes under their SHA-256 in the data folder: written whole (temporary name, fsync, rename) or not at all. */
  readonly files: {
    put(bytes: Uint8Array): Promise<string>;
    get(hash: string): Promise<Uint8Array>;
  };
  close(): Promise<void>;
}
