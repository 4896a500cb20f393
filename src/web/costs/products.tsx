import { Button } from "@mantine/core";
import { Link } from "@tanstack/react-router";
import { useState } from "react";
import { useAnswer } from "../asking";
import { FilterChoice, TextField } from "../parts/form";
import { useListAddress } from "../parts/list-address";
import { moneyWords, useHabits } from "../parts/quantity";
import { Empty, TroubleSheet, Waiting } from "../parts/states";
import { CostLines, Missing } from "./lines";
import { Pricing } from "./pricing";
import { minutesWords, percentWords, type Product } from "./words";

const orders = [
  { value: "", words: "What loses first" },
  { value: "machine", words: "Least left a machine hour first" },
  { value: "hands", words: "Least left a hand hour first" },
  { value: "name", words: "By name" },
] as const;

const whole = (product: Product) => product.missing.length === 0;

function sorted(products: readonly Product[], by: string): Product[] {
  const value = (one: Product): number | null =>
    !whole(one)
      ? null
      : by === "machine"
        ? one.profitPerMachineHour
        : by === "hands"
          ? one.profitPerHandHour
          : one.earned.margin;
  return [...products].sort((a, b) =>
    by === "name"
      ? a.name.localeCompare(b.name)
      : (value(a) ?? Infinity) - (value(b) ?? Infinity) || a.name.localeCompare(b.name),
  );
}

/** So many products are shown at first. */
const PORTION = 100;

/** Price, cost and what is left of every product. */
export function ProductCosts() {
  const address = useListAddress();
  const channel = address.word("channel");
  const costs = useAnswer("costs", "readCosts", {});
  const table = useAnswer("costs", "productCosts", { query: { channel } }, { keep: true });
  const { currency } = useHabits();
  const [found, setFound] = useState("");
  const [most, setMost] = useState(PORTION);
  if (table.isError) return <TroubleSheet trouble={table.error} onAgain={() => void table.refetch()} />;
  if (!table.data || !costs.data) return <Waiting words="Counting what pieces cost" />;
  const { products } = table.data;
  if (products.length === 0)
    return (
      <Empty
        title="No product yet"
        action={
          <Button component={Link} to="/products" size="md">
            Add a product
          </Button>
        }
      >
        Here stands what each product costs to make, what is left of its price, and what an hour of a machine
        or of hands earns with it.
      </Empty>
    );
  const chosen = products.find((one) => one.productId === address.word("product"));
  if (chosen)
    return (
      <OneProduct
        product={chosen}
        selling={table.data.selling}
        parcelCents={table.data.parcelCents}
        settings={costs.data.settings}
        currency={currency}
      />
    );
  const channels = [
    { value: "", words: "Sold without a channel’s fee" },
    ...costs.data.settings.channels.map((one) => ({ value: one.id, words: `Sold by ${one.name}` })),
  ];
  const words = found.trim().toLowerCase();
  const shown = sorted(
    products.filter((one) => `${one.code} ${one.name}`.toLowerCase().includes(words)),
    address.word("by"),
  );
  const missing = [
    ...new Map(
      products.flatMap((one) => one.missing).map((one) => [`${one.of}${one.subjectId}${one.what}`, one]),
    ).values(),
  ];
  return (
    <div className="costs">
      <Verdict products={products} />
      <Missing missing={missing} />
      <div className="costs-tools">
        <div className="costs-find">
          <TextField label="Search products" value={found} onChange={setFound} />
        </div>
        <FilterChoice
          label="Sold by"
          value={channel}
          choices={channels}
          onChange={(value) => address.set({ channel: value || undefined })}
        />
        <FilterChoice
          label="Order of the products"
          value={address.word("by")}
          choices={orders}
          onChange={(value) => address.set({ by: value || undefined })}
        />
      </div>
      <section className="sheet costs-sheet" aria-label="Products">
        <table className="costs-table">
          <thead>
            <tr>
              <th scope="col">Product</th>
              <th scope="col">Price</th>
              <th scope="col">Cost</th>
              <th scope="col">Left</th>
              <th scope="col">Margin</th>
              <th scope="col">Machine</th>
              <th scope="col">Hands</th>
              <th scope="col">Left a machine hour</th>
              <th scope="col">Left a hand hour</th>
            </tr>
          </thead>
          <tbody>
            {shown.slice(0, most).map((one) => (
              <ProductRow
                key={one.productId}
                product={one}
                currency={currency}
                onOpen={() => address.set({ product: one.productId }, "push")}
              />
            ))}
          </tbody>
        </table>
        {shown.length === 0 && <p className="costs-pad">No product has “{found}” in its name or code.</p>}
        {shown.length > most && (
          <div className="costs-pad">
            <Button size="md" variant="default" onClick={() => setMost(most + PORTION)}>
              Show more of {shown.length}
            </Button>
          </div>
        )}
      </section>
      <p className="quiet">
        One piece of each, sent alone: its parcel and the channel’s fixed fee fall on it whole. Stitches are
        the mean of the last pieces ordered.
      </p>
    </div>
  );
}

/** The table in one sentence. */
function Verdict({ products }: { readonly products: readonly Product[] }) {
  const known = products.filter(whole);
  const losing = known.filter((one) => one.earned.profitCents < 0);
  const bare = products.length - known.length;
  return (
    <p className="costs-verdict">
      {losing.length > 0 ? (
        <>
          <b className="costs-loss">
            {losing.length} of {products.length} products {losing.length === 1 ? "loses" : "lose"} money
          </b>
          :{" "}
          {losing
            .slice(0, 4)
            .map((one) => one.name)
            .join(", ")}
          {losing.length > 4 && " and others"}.
        </>
      ) : known.length > 0 ? (
        <b>None of the {known.length} products whose cost is whole loses money.</b>
      ) : (
        <b>No product’s cost is whole yet.</b>
      )}{" "}
      {known.length > 0 &&
        bare > 0 &&
        `Of ${bare} ${bare === 1 ? "product" : "products"} figures are missing.`}
    </p>
  );
}

function ProductRow({
  product,
  currency,
  onOpen,
}: {
  readonly product: Product;
  readonly currency: string;
  readonly onOpen: () => void;
}) {
  const isWhole = whole(product);
  const { profitCents, margin } = product.earned;
  const loses = isWhole && profitCents < 0;
  const hour = (cents: number | null) => (cents === null ? "–" : moneyWords(cents, currency));
  const cells: readonly (readonly [label: string, words: string])[] = [
    ["price", moneyWords(product.earned.priceCents, currency)],
    [
      "cost",
      isWhole ? moneyWords(product.totalCents, currency) : `over ${moneyWords(product.totalCents, currency)}`,
    ],
    ["left", isWhole ? moneyWords(profitCents, currency) : "–"],
    ["margin", isWhole && margin !== null ? percentWords(margin) : "–"],
    ["machine", minutesWords(product.machineS)],
    ["hands", minutesWords(product.handS)],
    ["left a machine hour", hour(product.profitPerMachineHour)],
    ["left a hand hour", hour(product.profitPerHandHour)],
  ];
  return (
    <tr data-loss={loses || undefined}>
      <th scope="row">
        <button type="button" className="costs-open" onClick={onOpen}>
          <span>{product.name}</span>
          <span className="quiet">
            {product.code}
            {loses && <span className="costs-tag">loses money</span>}
            {!isWhole && <span className="costs-tag costs-tag-asked">figures missing</span>}
          </span>
        </button>
      </th>
      {cells.map(([label, words]) => (
        <td key={label} data-label={label}>
          {words}
        </td>
      ))}
    </tr>
  );
}

function OneProduct({
  product,
  currency,
  ...pricing
}: { readonly product: Product; readonly currency: string } & Omit<
  Parameters<typeof Pricing>[0],
  "product" | "currency"
>) {
  const address = useListAddress();
  const isWhole = whole(product);
  return (
    <div className="costs">
      <p className="costs-back">
        <button
          type="button"
          className="costs-way"
          onClick={() => address.set({ product: undefined }, "push")}
        >
          ← All products
        </button>
      </p>
      <h2 className="costs-title">
        {product.name} <span className="quiet">{product.code}</span>
      </h2>
      <Missing missing={product.missing} />
      <div className="costs-two">
        <section className="sheet costs-sheet" aria-label="What it costs">
          <h3>What one piece costs</h3>
          <CostLines
            lines={product.lines}
            totalCents={product.totalCents}
            currency={currency}
            isWhole={isWhole}
          />
          <p className="quiet costs-pad">
            {minutesWords(product.machineS)} of a machine, {minutesWords(product.handS)} of hands
            {product.ofPieces > 1 && `; stitches are the mean of ${product.ofPieces} ordered pieces`}.
          </p>
        </section>
        <Pricing product={product} currency={currency} {...pricing} />
      </div>
    </div>
  );
}
