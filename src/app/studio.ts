import type { shapes } from "#contract";
import { defaultCostWeights, defaultOpenHours, defaultStepTimes } from "#core/shop";
import type { Tables } from "#store";
import type { Answers, Context } from "./context";
import { settleAfterUndo } from "./piece-trail";
import { refuseApp } from "./refusals";
import type { Setup } from "./setup";

type StudioAnswers = Pick<
  Answers,
  "status" | "setUpStudio" | "setUpDemo" | "readStudio" | "changeStudio" | "listChanges" | "undoChange"
>;
const STUDIO_ID = "studio";

export function recordOfStudio(row: Tables["studio"]): shapes.StudioRecord {
  return {
    ...(JSON.parse(row.body) as shapes.StudioBody),
    version: row.version,
    updatedAtMs: row.updated_at_ms,
  };
}

/** What the program is, the studio itself, and the changes that can be taken back. */
export function studioAnswers(context: Context, setup: Setup): StudioAnswers {
  const { store, nowMs } = context;
  const studioRow = async (db = store.db) => {
    const row = await db.selectFrom("studio").selectAll().where("id", "=", STUDIO_ID).executeTakeFirst();
    if (!row) throw refuseApp("not-set-up", "This data folder has no studio yet.");
    return row;
  };
  return {
    status: () => setup.status(),
    async setUpStudio({ body }, call) {
      if (setup.isMakingDemo()) throw refuseApp("set-up-already", "The demo studio is being made here.");
      const studio: shapes.StudioBody = {
        ...body,
        openHours: defaultOpenHours.map((day) => day.map((span) => ({ ...span }))),
        closedDays: [],
        dealerTurnaroundDays: 10,
        shipLeadDays: 2,
        costWeights: { ...defaultCostWeights },
        stepTimes: { ...defaultStepTimes },
      };
      const written = await store.write(
        { who: call.who, what: `Set up the studio ${body.name}` },
        async (writing) => {
          const there = await writing.db.selectFrom("studio").select("id").executeTakeFirst();
          if (there) throw refuseApp("set-up-already", "This data folder has a studio.");
          const row = {
            id: STUDIO_ID,
            version: 1,
            updated_at_ms: nowMs(),
            body: JSON.stringify(studio),
            demo: 0,
          };
          await writing.insert("studio", row);
          return row;
        },
      );
      // Not offered for undo: taking the studio itself away would leave its lists without one.
      call.note({ version: written.result.version });
      context.tell({ topic: "status", status: await setup.status() });
      return recordOfStudio(written.result);
    },
    setUpDemo: () => setup.startDemo(),
    async readStudio(_asked, call) {
      const row = await studioRow();
      call.note({ version: row.version });
      return recordOfStudio(row);
    },
    async changeStudio({ body }, call) {
      const written = await store.write({ who: call.who, what: "Changed the studio" }, async (writing) => {
        const row = await studioRow(writing.db);
        if (call.ifMatch !== row.version)
          throw changedByAnother(call.ifMatch, row.version, recordOfStudio(row));
        return writing.update("studio", STUDIO_ID, { body: JSON.stringify(body) });
      });
      call.note({ version: written.result.version, changeId: written.changeId });
      return recordOfStudio(written.result);
    },
    async listChanges({ query }) {
      const base = store.db
        .selectFrom("changes")
        .select(["changes.id", "at_ms", "who", "what", "undone_by"])
        .orderBy("changes.seq", "desc")
        .limit(query.limit);
      const rows = await (
        query.record === ""
          ? base
          : base.where(
              "changes.seq",
              "in",
              store.db
                .selectFrom("change_records")
                .select("change_seq")
                .where("record_id", "=", query.record),
            )
      ).execute();
      return { items: rows.map(changeOf) };
    },
    async undoChange({ params }, call) {
      const change = await store.db
        .selectFrom("changes")
        .select(["id", "entries"])
        .where("id", "=", params.id)
        .executeTakeFirst();
      if (
        change &&
        (JSON.parse(change.entries) as { table: string; before: unknown }[]).some(
          (entry) => entry.table === "studio" && entry.before === null,
        )
      )
        throw refuseApp(
          "set-up-already",
          "Setting up the studio cannot be taken back; change its fields instead.",
        );
      const { changeId } = await store.undo(call.who, params.id);
      await settleAfterUndo(context, call.who, changeId);
      call.note({ changeId });
      const row = await store.db
        .selectFrom("changes")
        .select(["id", "at_ms", "who", "what", "undone_by"])
        .where("id", "=", changeId)
        .executeTakeFirstOrThrow();
      return changeOf(row);
    },
  };
}

const changeOf = (row: {
  id: string;
  at_ms: number;
  who: string;
  what: string;
  undone_by: string | null;
}): shapes.Change => ({
  id: row.id,
  atMs: row.at_ms,
  who: row.who,
  what: row.what,
  undone: row.undone_by !== null,
});

/** A lost race: both version numbers, and the record as it stands. */
export function changedByAnother(found: number | null, now: number, current: unknown) {
  return refuseApp(
    "changed-by-another",
    `You changed version ${found ?? "?"}; it stands at version ${now} now.`,
    [{ field: "If-Match", found: String(found), expected: String(now) }],
    { current },
  );
}
