import { type CareRule, defaultCareRules } from "#core/care";
import type { Store } from "#store";

const KEY = "care-rules";

/** The studio's care rules: its own, or the ones every studio begins with. */
export async function careRules(db: Store["db"]): Promise<{ rules: readonly CareRule[]; areOwn: boolean }> {
  const row = await db.selectFrom("settings").select("value").where("key", "=", KEY).executeTakeFirst();
  return row
    ? { rules: JSON.parse(row.value) as CareRule[], areOwn: true }
    : { rules: defaultCareRules, areOwn: false };
}

/** Sets the studio's rules, or takes the first ones again with null. */
export async function keepCareRules(
  store: Store,
  who: string,
  rules: readonly CareRule[] | null,
): Promise<void> {
  await store.write({ who, what: "Changed the care rules" }, async (writing) => {
    await writing.db.deleteFrom("settings").where("key", "=", KEY).execute();
    if (rules)
      await writing.db
        .insertInto("settings")
        .values({ key: KEY, value: JSON.stringify(rules) })
        .execute();
    writing.touch("care");
  });
}
