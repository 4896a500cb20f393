import { PostgresDialect, type Dialect } from "kysely";
import pg from "pg";
import { refuseStore } from "./refusals";
import { insideWrite } from "./sqlite";

const INT8 = 20;
const NUMERIC = 1700;

/** A pool of its own whose whole numbers arrive as numbers (all of ours are in the safe range), as from SQLite. */
export function postgresPool(url: string, onError: (error: Error) => void): pg.Pool {
  const pool = new pg.Pool({
    connectionString: url,
    max: 8,
    connectionTimeoutMillis: 10_000,
    types: {
      getTypeParser: ((oid: number, format?: "text" | "binary") =>
        oid === INT8 || oid === NUMERIC
          ? Number
          : pg.types.getTypeParser(oid, format as "text")) as typeof pg.types.getTypeParser,
    },
  });
  // Without a listener a server that restarts would end the program.
  pool.on("error", onError);
  return pool;
}

export function postgresDialect(pool: pg.Pool): Dialect {
  const dialect = new PostgresDialect({ pool });
  return {
    createAdapter: () => dialect.createAdapter(),
    createIntrospector: (db) => dialect.createIntrospector(db),
    createQueryCompiler: () => dialect.createQueryCompiler(),
    createDriver: () => {
      const driver = dialect.createDriver();
      const acquire = driver.acquireConnection.bind(driver);
      driver.acquireConnection = async () => {
        // SQLite would wait for ever here; both databases must find the same bug.
        if (insideWrite.getStore())
          throw new Error(
            "Broken invariant: inside a write the database is reached through the write itself (writing.db)",
          );
        return acquire();
      };
      return driver;
    },
  };
}

/** Refuses a server that answers before the disk has it. */
export async function assertDurableServer(pool: pg.Pool): Promise<void> {
  let settings: { name: string; setting: string }[];
  try {
    settings = (
      await pool.query(
        "select name, setting from pg_settings where name in ('fsync', 'synchronous_commit', 'full_page_writes', 'server_encoding')",
      )
    ).rows;
  } catch (error) {
    throw refuseStore(
      "database-unreachable",
      `The database server does not answer: ${(error as Error).message}.`,
    );
  }
  const wanted: Record<string, readonly string[]> = {
    fsync: ["on"],
    full_page_writes: ["on"],
    synchronous_commit: ["on", "remote_write", "remote_apply", "local"],
    server_encoding: ["UTF8"],
  };
  for (const { name, setting } of settings) {
    if (!wanted[name]!.includes(setting))
      throw refuseStore(
        "database-unsafe",
        `The server's ${name} is ${setting}; ${wanted[name]![0]!} is needed.`,
        [{ field: name, found: setting, expected: wanted[name]![0]! }],
      );
  }
}
