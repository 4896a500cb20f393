/**
 * The two databases behind one set of tables, and the folder of files. It knows tables and transactions; it
 * refuses to know what an order means. Invariants: synchronous=FULL on every SQLite connection; every write is in
 * a transaction; a newer schema than the program's is refused.
 */
export { appendFloorEvents, firstBrokenLink, type FloorEvent } from "./floor-events";
export { dataFolder, usualDataFolder } from "./folder";
export { migrations } from "./migrations";
export { openStore, type StoreAsked } from "./open";
export { refuseStore } from "./refusals";
export { backUp, checkData, restore } from "./safety";
export type { KeyedRequests, KnownRequest, Store, TrackedTable, WriteAsked, Writing } from "./store";
export type * from "./tables";
