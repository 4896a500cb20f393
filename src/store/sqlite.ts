import { AsyncLocalStorage } from "node:async_hooks";
import Database from "better-sqlite3";
import {
  CompiledQuery,
  type DatabaseConnection,
  type Dialect,
  type Driver,
  type QueryResult,
  SqliteAdapter,
  SqliteIntrospector,
  SqliteQueryCompiler,
} from "kysely";
import { refuseStore } from "./refusals";

/** Older ones lack what the tables use, or carry write-ahead-log defects mended since. */
const OLDEST_SQLITE = [3, 51, 0] as const;
const STATEMENTS_KEPT = 400;

/** Set while a write runs, so that a second use of the one connection is a loud bug instead of a wait without end. */
export const insideWrite = new AsyncLocalStorage<true>();

/** Opens a database file (or ":memory:") with everything durability needs, and looks that it took. */
export function openSqliteFile(file: string): Database.Database {
  const db = new Database(file);
  try {
    db.pragma("busy_timeout = 5000");
    if (file !== ":memory:") db.pragma("journal_mode = WAL");
    // This build's own default for WAL is NORMAL, which may lose acknowledged writes when the power fails.
    db.pragma("synchronous = FULL");
    db.pragma("foreign_keys = ON");
    db.pragma("trusted_schema = OFF");
    db.pragma("journal_size_limit = 67108864");
    // Pages kept in memory (kB), and a log of 16 MB before it is folded into the database: an import syncs far less often.
    db.pragma("cache_size = -32000");
    db.pragma("wal_autocheckpoint = 4000");
    db.pragma("temp_store = MEMORY");
    assertDurable(db, file);
    return db;
  } catch (error) {
    db.close();
    throw error;
  }
}

/** Refuses a connection whose settings or library would not keep an acknowledged write. */
export function assertDurable(db: Database.Database, file: string): void {
  const unsafe = (what: string, found: unknown, expected: string) =>
    refuseStore("database-unsafe", `SQLite's ${what} is ${String(found)}; ${expected} is needed.`, [
      { field: what, found: String(found), expected },
    ]);
  const synchronous = db.pragma("synchronous", { simple: true });
  if (synchronous !== 2) throw unsafe("synchronous", synchronous, "2 (FULL)");
  const foreignKeys = db.pragma("foreign_keys", { simple: true });
  if (foreignKeys !== 1) throw unsafe("foreign_keys", foreignKeys, "1");
  const journal = db.pragma("journal_mode", { simple: true });
  const wanted = file === ":memory:" ? "memory" : "wal";
  if (journal !== wanted) throw unsafe("journal_mode", journal, wanted);
  const version = db.prepare("select sqlite_version()").pluck().get() as string;
  if (isOlder(version.split(".").map(Number), OLDEST_SQLITE))
    throw unsafe("version", version, `${OLDEST_SQLITE.join(".")} or newer`);
}

function isOlder(found: readonly number[], wanted: readonly number[]): boolean {
  for (let i = 0; i < wanted.length; i++)
    if ((found[i] ?? 0) !== wanted[i]!) return (found[i] ?? 0) < wanted[i]!;
  return false;
}

/**
 * Kysely on one better-sqlite3 connection. Whoever wants the connection waits in line; a transaction has it alone
 * from begin to commit, so no statement of another request ever falls into it.
 */
export function sqliteDialect(db: Database.Database): Dialect {
  return {
    createAdapter: () => new SqliteAdapter(),
    createDriver: () => new OneConnectionDriver(db),
    createIntrospector: (kysely) => new SqliteIntrospector(kysely),
    createQueryCompiler: () => new SqliteQueryCompiler(),
  };
}

class OneConnectionDriver implements Driver {
  readonly #connection: OneConnection;
  readonly #db: Database.Database;
  #taken = false;
  readonly #line: (() => void)[] = [];

  constructor(db: Database.Database) {
    this.#db = db;
    this.#connection = new OneConnection(db);
  }
  async init(): Promise<void> {}
  async acquireConnection(): Promise<DatabaseConnection> {
    if (insideWrite.getStore())
      throw new Error(
        "Broken invariant: inside a write the database is reached through the write itself (writing.db)",
      );
    if (this.#taken) await new Promise<void>((go) => this.#line.push(go));
    this.#taken = true;
    return this.#connection;
  }
  async releaseConnection(): Promise<void> {
    // Handed on directly: `taken` stays true, so nobody slips in between.
    const next = this.#line.shift();
    if (next) next();
    else this.#taken = false;
  }
  async beginTransaction(connection: DatabaseConnection): Promise<void> {
    await connection.executeQuery(CompiledQuery.raw("begin immediate"));
  }
  async commitTransaction(connection: DatabaseConnection): Promise<void> {
    await connection.executeQuery(CompiledQuery.raw("commit"));
  }
  async rollbackTransaction(connection: DatabaseConnection): Promise<void> {
    // A full disk makes SQLite roll back by itself; a second rollback would hide the real error.
    if (this.#db.inTransaction) await connection.executeQuery(CompiledQuery.raw("rollback"));
  }
  async destroy(): Promise<void> {
    this.#connection.forget();
    this.#db.close();
  }
}

class OneConnection implements DatabaseConnection {
  readonly #statements = new Map<string, Database.Statement>();
  constructor(readonly db: Database.Database) {}

  async executeQuery<R>(query: CompiledQuery): Promise<QueryResult<R>> {
    const statement = this.#statement(query.sql);
    if (statement.reader) return { rows: statement.all(...query.parameters) as R[] };
    const { changes, lastInsertRowid } = statement.run(...query.parameters);
    return { numAffectedRows: BigInt(changes), insertId: BigInt(lastInsertRowid), rows: [] };
  }
  async *streamQuery<R>(query: CompiledQuery): AsyncIterableIterator<QueryResult<R>> {
    // Not from the kept statements: an open cursor would make its statement busy for others.
    for (const row of this.db.prepare(query.sql).iterate(...query.parameters)) yield { rows: [row as R] };
  }
  forget(): void {
    this.#statements.clear();
  }
  #statement(sql: string): Database.Statement {
    let statement = this.#statements.get(sql);
    if (statement) this.#statements.delete(sql);
    else statement = this.db.prepare(sql);
    this.#statements.set(sql, statement);
    if (this.#statements.size > STATEMENTS_KEPT)
      this.#statements.delete(this.#statements.keys().next().value!);
    return statement;
  }
}
