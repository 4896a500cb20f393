import { AsyncLocalStorage } from "node:async_hooks";
import type { Kysely, Transaction } from "kysely";
import type { KeyedRequests } from "./store";
import type { Tables } from "./tables";

const KEPT_MS = 30 * 86_400_000;
/** The status of a request that has acted but whose answer is not known yet. */
const ACTED = 0;

/** Keyed requests (RELIABILITY F8): the key goes into the transaction of the request's first write. */
export function keyedRequests(
  db: Kysely<Tables>,
  nowMs: () => number,
): KeyedRequests & { onWriting(trx: Transaction<Tables>): Promise<void> } {
  const pending = new AsyncLocalStorage<{ key: string; requestHash: string }>();
  return {
    async find(key) {
      const row = await db
        .selectFrom("answered_requests")
        .selectAll()
        .where("key", "=", key)
        .executeTakeFirst();
      if (!row) return null;
      if (row.status === ACTED) return { state: "done", requestHash: row.request_hash };
      return { state: "answered", requestHash: row.request_hash, status: row.status, answer: row.answer };
    },
    during: (asked, work) => pending.run({ ...asked }, work),
    async onWriting(trx) {
      const asked = pending.getStore();
      if (!asked) return;
      await trx
        .insertInto("answered_requests")
        .values({
          key: asked.key,
          request_hash: asked.requestHash,
          status: ACTED,
          answer: "",
          at_ms: nowMs(),
        })
        .onConflict((conflict) => conflict.column("key").doNothing())
        .execute();
    },
    async keep({ key, requestHash, status, answer }) {
      const row = { key, request_hash: requestHash, status, answer, at_ms: nowMs() };
      await db
        .insertInto("answered_requests")
        .values(row)
        .onConflict((conflict) => conflict.column("key").doUpdateSet({ status, answer }))
        .execute();
    },
    async sweep() {
      await db
        .deleteFrom("answered_requests")
        .where("at_ms", "<", nowMs() - KEPT_MS)
        .execute();
    },
  };
}
