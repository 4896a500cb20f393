import type { Answers, Context } from "../context";
import { allOf } from "../records";
import { refuseApp } from "../refusals";
import { figuresOf, SETTINGS_ID, settingsOf } from "./records";
import { refuseCosts } from "./refusals";

/** Entering what things cost: the studio's own figures, and prices of many things at once. */
export function keepingAnswers({
  store,
  nowMs,
}: Context): Pick<Answers, "keepCostSettings" | "keepCostFigures"> {
  return {
    keepCostSettings: async ({ body }, call) => {
      const { result, changeId } = await store.write(
        { who: call.who, what: "Changed what things cost in the studio" },
        async (writing) => {
          const there = await settingsOf(writing.db);
          if (call.ifMatch !== null && call.ifMatch !== there.version)
            throw refuseApp(
              "changed-by-another",
              `What things cost is at version ${there.version} now, and version ${call.ifMatch} was changed.`,
              [{ field: "version", found: `${call.ifMatch}`, expected: `${there.version}` }],
            );
          const set = { body: JSON.stringify(body) };
          if (there.version > 0) return writing.update("cost_settings", SETTINGS_ID, set);
          const row = { id: SETTINGS_ID, version: 1, updated_at_ms: nowMs(), ...set };
          await writing.insert("cost_settings", row);
          return row;
        },
      );
      call.note({ version: result.version, changeId });
      return { version: result.version, settings: body };
    },

    keepCostFigures: async ({ body }, call) => {
      const { changeId } = await store.write(
        {
          who: call.who,
          what:
            body.figures.length === 1
              ? "Changed what one thing costs"
              : `Changed what ${body.figures.length} things cost`,
        },
        async (writing) => {
          const lists = {
            stock: await allOf(writing.db, "stock"),
            thread: await allOf(writing.db, "threads"),
            machine: await allOf(writing.db, "machines"),
            product: await allOf(writing.db, "products"),
          };
          const versions = new Map((await figuresOf(writing.db)).rows.map((row) => [row.id, row.version]));
          for (const one of body.figures) {
            const { subjectId: id, of, figure } = one;
            const thing = lists[of].get(id);
            if (!thing)
              throw refuseCosts("cost-thing-unknown", `There is no ${wordOf[of]} ${id}.`, [
                { field: "subjectId", found: id },
              ]);
            const name = thing.name;
            if (figure !== null && figure.of !== of)
              throw refuseCosts(
                "cost-figure-mixed",
                `${name} is a ${wordOf[of]}; its figure is one of a ${wordOf[figure.of]}.`,
                [{ field: "figure", found: figure.of, expected: of }],
              );
            if (figure?.of === "product")
              for (const { stockId } of figure.takes)
                if (!lists.stock.has(stockId))
                  throw refuseCosts(
                    "cost-thing-unknown",
                    `${name} cannot take ${stockId}: there is no such stock item.`,
                    [{ field: "takes", found: stockId }],
                  );
            const version = versions.get(id) ?? 0;
            if (version !== one.version)
              throw refuseCosts(
                "cost-changed-meanwhile",
                `What ${name} costs was changed while it stood open here.`,
                [{ field: "version", found: `${one.version}`, expected: `${version}` }],
              );
            if (figure === null) {
              if (version > 0) await writing.remove("cost_figures", id);
            } else if (version > 0)
              await writing.update("cost_figures", id, { body: JSON.stringify(figure) });
            else
              await writing.insert("cost_figures", {
                id,
                version: 1,
                updated_at_ms: nowMs(),
                stock_id: of === "stock" ? id : null,
                thread_id: of === "thread" ? id : null,
                machine_id: of === "machine" ? id : null,
                product_id: of === "product" ? id : null,
                body: JSON.stringify(figure),
              });
          }
        },
      );
      call.note({ changeId });
      return { kept: body.figures.length };
    },
  };
}

const wordOf = { stock: "stock item", thread: "thread", machine: "machine", product: "product" } as const;
