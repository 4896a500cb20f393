import { Button, NativeSelect } from "@mantine/core";
import type { UseQueryResult } from "@tanstack/react-query";
import { useMemo } from "react";
import type { Trouble } from "../client";
import { sortedBy, useAll } from "../parts/all-of";
import { useListAddress } from "../parts/list-address";
import { PageHead } from "../parts/page-head";
import { durationWords, moneyWords, useHabits } from "../parts/quantity";
import { RecordDrawer } from "../parts/record-drawer";
import type { BodyOf, RecordOf } from "../parts/record-form";
import { Empty } from "../parts/states";
import { type Column, RecordTable } from "../parts/table";
import { ProductFields, productFieldLabel } from "./product-fields";

type Product = RecordOf<"products">;
type Body = BodyOf<"products">;

const blank: Body = {
  code: "",
  name: "",
  kind: "embroidered",
  cloth: "woven",
  blankId: null,
  placements: [],
  sewS: 0,
  priceCents: 0,
  caution: "",
  note: "",
};

const clothWords: Readonly<Record<Body["cloth"], string>> = { woven: "woven", knit: "knit", pile: "pile" };

/** "left chest; name on the back": where it is sewn. */
function placementWords(product: Product): string {
  if (product.kind === "sewn") return product.sewS > 0 ? `sewn in ${durationWords(product.sewS)}` : "sewn";
  return product.placements.map((placement) => placement.name).join("; ") || "no placement yet";
}

function useProducts(address: ReturnType<typeof useListAddress>) {
  const all = useAll("products", "all");
  const { q, sort, archived, offset, limit } = address;
  const kind = address.word("kind");
  const data = useMemo(() => {
    if (!all.data) return undefined;
    const words = q.toLowerCase().split(/\s+/).filter(Boolean);
    const items = sortedBy(all.data, sort)
      .filter((product) => (archived !== "no" || !product.archived) && (kind === "" || product.kind === kind))
      .filter((product) =>
        words.every((word) =>
          `${product.code} ${product.name} ${product.cloth} ${placementWords(product)} ${product.note}`
            .toLowerCase()
            .includes(word),
        ),
      );
    return { items: items.slice(offset, offset + limit), total: items.length };
  }, [all.data, q, sort, archived, offset, limit, kind]);
  return { ...all, data } as UseQueryResult<
    { readonly items: readonly Product[]; readonly total: number },
    Trouble
  >;
}

/** What is sold: a blank with its placements, or a sewn good. */
export function ProductsPage() {
  const address = useListAddress({ sort: "code" });
  const { currency } = useHabits();
  const answer = useProducts(address);
  const open = (id: string | undefined) => address.set({ edit: id }, "push");
  const columns: readonly Column<Product>[] = [
    {
      id: "code",
      title: "Product",
      sortable: true,
      cell: (product) => (
        <span>
          <b>{product.code}</b> {product.name}
          {product.archived && <span className="tag">archived</span>}
        </span>
      ),
    },
    { id: "kind", title: "Kind", sortable: true, cell: (product) => product.kind },
    { id: "placements", title: "Where", onCard: "alone", cell: placementWords },
    {
      id: "cloth",
      title: "Cloth",
      sortable: true,
      from: "tablet",
      cell: (product) => clothWords[product.cloth],
    },
    {
      id: "caution",
      title: "Caution",
      from: "desktop",
      onCard: "hidden",
      cell: (product) => (product.caution ? "yes" : "–"),
    },
    {
      id: "priceCents",
      title: "Price",
      sortable: true,
      numeric: true,
      cell: (product) => moneyWords(product.priceCents, currency),
    },
  ];
  return (
    <>
      <PageHead
        title="Products"
        lead="What you sell: the blank, where it is embroidered, in which hoop, at what price. Orders name these codes."
      />
      <RecordTable
        label="Products"
        columns={columns}
        answer={answer}
        address={address}
        rowId={(product) => product.id}
        rowWords={(product) => `${product.code} ${product.name}`}
        isQuiet={(product) => product.archived}
        onOpen={(product) => open(product.id)}
        canArchive
        searchWords="Code, name, placement"
        filterWords={["kind"]}
        filters={
          <NativeSelect
            size="md"
            aria-label="Kind"
            value={address.word("kind")}
            data={[
              { value: "", label: "Embroidered and sewn" },
              { value: "embroidered", label: "Embroidered" },
              { value: "sewn", label: "Sewn" },
            ]}
            onChange={(event) => address.set({ kind: event.currentTarget.value })}
          />
        }
        acts={
          <Button size="md" onClick={() => open("new")}>
            Add a product
          </Button>
        }
        empty={
          <Empty
            title="No product yet"
            action={
              <Button size="md" onClick={() => open("new")}>
                Add the first product
              </Button>
            }
          >
            <p>
              A product says what an order line becomes: which blank, which design or lettering, where it
              goes, in which hoop, on what backing. Then no order needs it typed again.
            </p>
          </Empty>
        }
      />
      <RecordDrawer
        noun="products"
        id={address.word("edit")}
        onClose={() => address.set({ edit: undefined })}
        one="product"
        blank={blank}
        wide
        words={(body) => `Product ${body.code} ${body.name}`}
        fieldWords={{ label: productFieldLabel }}
      >
        {(form) => <ProductFields form={form} />}
      </RecordDrawer>
    </>
  );
}
