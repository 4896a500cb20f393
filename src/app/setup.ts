import type { shapes } from "#contract";
import type { Context } from "./context";
import { refuseApp } from "./refusals";

/** How far the program is set up, and the making of the demo studio in the background. */
export interface Setup {
  status(): Promise<shapes.Status>;
  startDemo(): Promise<shapes.Status>;
  isMakingDemo(): boolean;
  /** Resolves when no demo is being made any more. */
  idle(): Promise<void>;
}

export type OnProgress = (share: number, doing: string) => void;

const MAKING_KEY = "demo-being-made";
/** From those that point to those pointed at. */
const tablesInOrder = [
  "placing_photos",
  "placings",
  "machine_steps",
  "placement_rules",
  "taught_hoops",
  "phones",
  "change_records",
  "changes",
  "import_bad_rows",
  "imports",
  "import_shapes",
  "plans",
  "floor_runs",
  "floor_standing",
  "floor_registers",
  "floor_events",
  "jobs",
  "pieces",
  "order_lines",
  "orders",
  "design_versions",
  "designs",
  "products",
  "stock",
  "threads",
  "hoops",
  "machines",
  "people",
  "studio",
  "answered_requests",
  "settings",
] as const;

/** A demo that a stop cut short is swept away, so that a half-made studio is never opened as a whole one. */
export async function sweepUnfinishedDemo(store: Context["store"]): Promise<boolean> {
  const mark = await store.db
    .selectFrom("settings")
    .select("key")
    .where("key", "=", MAKING_KEY)
    .executeTakeFirst();
  if (!mark) return false;
  await store.db.transaction().execute(async (trx) => {
    for (const table of tablesInOrder) {
      if (table === "pieces") await trx.updateTable("pieces").set({ remake_of: null }).execute();
      await trx.deleteFrom(table).execute();
    }
  });
  return true;
}

export function setupOf(
  context: Context,
  about: { readonly version: string; readonly makeDemo: (onProgress: OnProgress) => Promise<void> },
): Setup {
  const { store, nowMs, tell, log } = context;
  let making: Promise<void> | null = null;
  let progress: shapes.Status["progress"] = null;

  async function status(): Promise<shapes.Status> {
    const studio = await store.db.selectFrom("studio").select(["body", "demo"]).executeTakeFirst();
    return {
      program: about.version,
      schema: store.schema,
      state: making ? "making-demo" : studio ? "ready" : "empty",
      demo: studio?.demo === 1,
      studioName: studio ? (JSON.parse(studio.body) as { name: string }).name : null,
      nowMs: nowMs(),
      progress,
    };
  }

  async function makeWhole(): Promise<void> {
    let toldAtMs = 0;
    try {
      await about.makeDemo((share, doing) => {
        progress = { share, doing };
        // A page needs no more than a few steps a second.
        if (nowMs() - toldAtMs < 200 && share < 1) return;
        toldAtMs = nowMs();
        void status().then((now) => tell({ topic: "status", status: now }));
      });
      await store.db.updateTable("studio").set({ demo: 1 }).execute();
      await store.db.deleteFrom("settings").where("key", "=", MAKING_KEY).execute();
      progress = null;
    } catch (error) {
      log.error("The demo studio could not be made", { error });
      await sweepUnfinishedDemo(store).catch((sweepError: unknown) =>
        log.error("The half-made demo could not be swept away", { error: sweepError }),
      );
      progress = { share: 0, doing: "The demo studio could not be made; the log says why." };
    }
  }

  return {
    status,
    isMakingDemo: () => making !== null,
    idle: async () => void (await making),
    async startDemo() {
      if (making) return status();
      const there = await store.db.selectFrom("studio").select("id").executeTakeFirst();
      if (there) throw refuseApp("set-up-already", "This data folder has a studio.");
      if (making) return status();
      progress = { share: 0, doing: "Setting up the demo studio" };
      making = (async () => {
        await store.db.insertInto("settings").values({ key: MAKING_KEY, value: "1" }).execute();
        await makeWhole();
      })().finally(() => {
        making = null;
        void status()
          .then((now) => tell({ topic: "status", status: now }))
          .catch(() => undefined);
      });
      making.catch((error: unknown) => log.error("The demo studio could not be started", { error }));
      return status();
    },
  };
}
