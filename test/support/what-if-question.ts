import type { Store } from "#store";
import { firstCandidates, type MeantQuestion } from "../../src/app/what-if/candidates";
import type { KeptQuestion } from "../../src/app/what-if/kept";
import { addCandidates } from "../../src/app/what-if/queue";
import type { Basis } from "../../src/app/what-if/season";

/** Lays a question into the store as asking does, without a studio's records behind it; gives the number of plays. */
export async function layQuestion(
  store: Store,
  id: string,
  basis: Basis,
  { most, seasons }: { readonly most: number; readonly seasons: number },
): Promise<number> {
  const meant: MeantQuestion = { kind: "how-many-hoops", hoopId: "side", most };
  const kept: KeptQuestion = {
    form: 2,
    asked: { kind: "how-many-hoops", hoopId: "side", most, seasons, days: basis.days, orders: basis.orders },
    meant,
    worth: { handHourCents: null, latePieceCents: null, pieceCents: null },
    currency: "EUR",
    names: { hoops: [["side", "Side"]], machines: [] },
  };
  const candidates = firstCandidates(meant, basis, { hoops: new Map(), machines: new Map() });
  await store.write({ who: "Mara", what: "Asked" }, async ({ db }) => {
    await db
      .insertInto("what_if_runs")
      .values({
        id,
        asked_at_ms: 1,
        finished_at_ms: null,
        state: "running",
        title: "How many of hoop Side?",
        sentence: "",
        failure: null,
        question: JSON.stringify(kept),
        basis: JSON.stringify(basis),
        assumptions: "[]",
      })
      .execute();
    await addCandidates(db, id, candidates, { seasons, state: "open" });
  });
  return candidates.length * seasons;
}
