import type { Answers, Context } from "../context";
import { allOf } from "../records";
import { refuseApp } from "../refusals";
import { ruleFor, ruleId } from "./records";

/** How products want their designs to sit. */
export function ruleAnswers(context: Context): Pick<Answers, "readPlacementRule" | "setPlacementRule"> {
  const { store, nowMs } = context;
  const nameOf = async (productId: string, placementId: string): Promise<string> => {
    const product = (await allOf(store.db, "products")).get(productId);
    const placement = product?.placements.find((one) => one.id === placementId);
    if (!product || !placement)
      throw refuseApp("not-found", `There is no placement ${placementId} of product ${productId}.`, [
        { field: "placement", found: placementId },
      ]);
    return `${placement.name} of ${product.name}`;
  };
  return {
    readPlacementRule: async ({ params }, call) => {
      await nameOf(params.id, params.placement);
      const rule = await ruleFor(store.db, params.id, params.placement);
      call.note({ version: rule.version });
      return rule;
    },
    setPlacementRule: async ({ params, body }, call) => {
      const name = await nameOf(params.id, params.placement);
      const id = ruleId(params.id, params.placement);
      const { changeId } = await store.write(
        { who: call.who, what: `Changed how ${name} is placed` },
        async (writing) => {
          const there = await writing.db
            .selectFrom("placement_rules")
            .select("id")
            .where("id", "=", id)
            .executeTakeFirst();
          const set = { body: JSON.stringify(body.own) };
          if (body.own === null) {
            if (there) await writing.remove("placement_rules", id);
          } else if (there) await writing.update("placement_rules", id, set);
          else
            await writing.insert("placement_rules", {
              id,
              version: 1,
              updated_at_ms: nowMs(),
              product_id: params.id,
              placement_id: params.placement,
              ...set,
            });
        },
      );
      const rule = await ruleFor(store.db, params.id, params.placement);
      call.note({ version: rule.version, changeId });
      return rule;
    },
  };
}
