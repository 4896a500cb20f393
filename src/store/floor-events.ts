import { createHash } from "node:crypto";
import type { Kysely } from "kysely";
import type { Tables } from "./tables";

/** What is told of an event; the store adds its number and its link in the chain. */
export type FloorEvent = Omit<Tables["floor_events"], "seq" | "prev_hash" | "hash">;

const FIRST_LINK = "0".repeat(64);

/** SHA-256 over the link before and the event's own values, in a fixed order. */
function linkOf(previous: string, event: FloorEvent): string {
  const values = [
    event.id,
    event.at_ms,
    event.recorded_at_ms,
    event.person_id,
    event.who,
    event.kind,
    event.piece_id,
    event.job_id,
    event.machine_id,
    event.data,
  ];
  return createHash("sha256")
    .update(JSON.stringify([previous, ...values]))
    .digest("hex");
}

/** Adds events to the end of the record. Only inside a write (`writing.db`), where nobody else can add between. */
export async function appendFloorEvents(db: Kysely<Tables>, events: readonly FloorEvent[]): Promise<void> {
  if (events.length === 0) return;
  const last = await db
    .selectFrom("floor_events")
    .select("hash")
    .orderBy("seq", "desc")
    .limit(1)
    .executeTakeFirst();
  let previous = last?.hash ?? FIRST_LINK;
  const rows = events.map((event) => {
    const hash = linkOf(previous, event);
    const row = { ...event, prev_hash: previous, hash };
    previous = hash;
    return row;
  });
  for (let at = 0; at < rows.length; at += 200)
    await db
      .insertInto("floor_events")
      .values(rows.slice(at, at + 200))
      .execute();
}

/** Walks the record from its start; the number of the first event that is not what was written, or null. */
export async function firstBrokenLink(
  db: Kysely<Tables>,
): Promise<{ checked: number; brokenSeq: number | null }> {
  let previous = FIRST_LINK;
  let checked = 0;
  let after = 0;
  for (;;) {
    const events = await db
      .selectFrom("floor_events")
      .selectAll()
      .where("seq", ">", after)
      .orderBy("seq")
      .limit(2000)
      .execute();
    if (events.length === 0) return { checked, brokenSeq: null };
    for (const event of events) {
      if (event.prev_hash !== previous || event.hash !== linkOf(previous, event))
        return { checked, brokenSeq: event.seq };
      previous = event.hash;
      checked++;
    }
    after = events.at(-1)!.seq;
  }
}
