/**
 * The two databases behind one set of tables, and the folder of files. It knows tables and transactions; it
 * refuses to know what an order means. Invariants: synchronous=FULL on every SQLite connection; every write is in
 * a transaction; a newer schema than the program's is refused.
 */
export type { Store, TrackedTable, WriteAsked, Writing } from "./store";
export type * from "./tables";
