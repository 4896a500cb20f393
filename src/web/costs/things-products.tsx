import { Button } from "@mantine/core";
import { Link } from "@tanstack/react-router";
import type { costs } from "#contract";
import { useAll } from "../parts/all-of";
import { ChoiceField, NumberField } from "../parts/form";
import { Empty, TroubleSheet, Waiting } from "../parts/states";
import { FromChoice } from "./figure-field";
import { type Kept, useFigures } from "./keep-figures";
import { SaveBar } from "./save-bar";

type Figure = Extract<costs.CostFigure, { of: "product" }>;

/** Cloth and whatever else a product takes beside its blank. */
export function ProductTakes({ figures }: { readonly figures: Kept }) {
  const products = useAll("products");
  const stock = useAll("stock");
  const kept = useFigures("product", figures, "of products kept");
  const trouble = products.error ?? stock.error;
  if (trouble) return <TroubleSheet trouble={trouble} onAgain={() => void products.refetch()} />;
  if (!products.data || !stock.data) return <Waiting words="Fetching the products" />;
  const open = products.data.filter((one) => !one.archived);
  const goods = stock.data.filter((one) => !one.archived && one.kind !== "needle");
  if (open.length === 0)
    return (
      <Empty
        title="No product yet"
        action={
          <Button component={Link} to="/products" size="md">
            Add a product
          </Button>
        }
      >
        Here you say how much cloth a sewn product takes, and what else goes into it.
      </Empty>
    );
  return (
    <div className="costs">
      <p className="quiet">
        The blank stands on the product already. Here: cloth, cord, labels. A product without a blank is asked
        for until it says what it takes, or that nothing is bought for it.
      </p>
      {open.map((product) => {
        const figure = kept.of(product.id);
        const set = (own: Partial<Figure>) =>
          kept.set(product.id, { of: "product", takes: [], from: "entered", ...figure, ...own });
        const setTake = (at: number, own: Partial<Figure["takes"][number]>) =>
          set({ takes: figure!.takes.map((one, index) => (index === at ? { ...one, ...own } : one)) });
        return (
          <section key={product.id} className="sheet costs-sheet costs-body" aria-label={product.name}>
            <h3>
              {product.name}{" "}
              <span className="quiet">{product.blankId === null ? "no blank" : "on its blank"}</span>
              {figure === null && product.blankId === null && (
                <span className="costs-tag costs-tag-asked">not entered</span>
              )}
            </h3>
            {figure?.takes.map((take, at) => (
              <div key={at} className="costs-fields">
                <ChoiceField
                  label="Takes"
                  value={take.stockId}
                  choices={goods.map((one) => ({ value: one.id, words: `${one.name} ${one.colour}`.trim() }))}
                  onChange={(stockId) => setTake(at, { stockId })}
                />
                <NumberField
                  label="So much a piece"
                  unit={goods.find((one) => one.id === take.stockId)?.unit ?? ""}
                  decimals={3}
                  value={take.amount}
                  onChange={(amount) => amount !== null && amount > 0 && setTake(at, { amount })}
                />
                <Button
                  size="md"
                  variant="subtle"
                  color="gray"
                  onClick={() => set({ takes: figure.takes.filter((_, index) => index !== at) })}
                >
                  Take it away
                </Button>
              </div>
            ))}
            {figure?.takes.length === 0 && <p>Nothing is bought for it.</p>}
            <div className="costs-acts">
              <Button
                size="md"
                variant="default"
                disabled={goods.length === 0}
                onClick={() =>
                  set({ takes: [...(figure?.takes ?? []), { stockId: goods[0]!.id, amount: 1 }] })
                }
              >
                It takes something
              </Button>
              {figure === null && product.blankId === null && (
                <Button size="md" variant="default" onClick={() => set({ takes: [] })}>
                  Nothing is bought for it
                </Button>
              )}
              {figure && (
                <FromChoice label={product.name} value={figure.from} onChange={(from) => set({ from })} />
              )}
            </div>
          </section>
        );
      })}
      <SaveBar changed={kept.changed > 0} isSaving={kept.isSaving} onSave={kept.save} onDrop={kept.drop} />
    </div>
  );
}
