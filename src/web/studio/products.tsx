import { saysAll } from "../parts/all-of";
import type { ListAddress } from "../parts/list-address";
import { PageHead } from "../parts/page-head";
import { durationWords, moneyWords, useHabits } from "../parts/quantity";
import type { BodyOf, RecordOf } from "../parts/record-form";
import { Named, RecordList, useListedHere } from "../parts/record-list";
import type { Column } from "../parts/table";
import { ProductFields, productFieldLabel, productLabels } from "./product-fields";

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

/** "left chest; name on the back": where it is sewn. */
function placementWords(product: Product): string {
  if (product.kind === "sewn") return product.sewS > 0 ? `sewn in ${durationWords(product.sewS)}` : "sewn";
  return product.placements.map((placement) => placement.name).join("; ") || "no placement yet";
}

const filters = [
  {
    word: "kind",
    label: "Kind",
    choices: [
      { value: "", words: "Embroidered and sewn" },
      { value: "embroidered", words: "Embroidered" },
      { value: "sewn", words: "Sewn" },
    ],
  },
];

function findProducts(products: readonly Product[], address: ListAddress): Product[] {
  const kind = address.word("kind");
  return products.filter(
    (product) =>
      (kind === "" || product.kind === kind) &&
      saysAll(
        address.q,
        `${product.code} ${product.name} ${product.cloth} ${placementWords(product)} ${product.note}`,
      ),
  );
}

/** What is sold: a blank with its placements, or a sewn good. */
export function ProductsPage() {
  const { currency } = useHabits();
  const columns: readonly Column<Product>[] = [
    {
      id: "code",
      title: "Product",
      sortable: true,
      cell: (product) => <Named {...product} />,
    },
    { id: "kind", title: "Kind", sortable: true, cell: (product) => product.kind },
    { id: "placements", title: "Where", onCard: "alone", cell: placementWords },
    {
      id: "cloth",
      title: "Cloth",
      sortable: true,
      from: "tablet",
      cell: (product) => product.cloth,
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
        lead="What you sell: the blank, where it is embroidered, in which hoop, at what price."
      />
      <RecordList
        {...useListedHere("products", "code", findProducts)}
        noun="products"
        label="Products"
        one="product"
        wide
        columns={columns}
        recordOf={(product) => product}
        rowWords={(product) => `${product.code} ${product.name}`}
        searchWords="Code, name, placement"
        filters={filters}
        blank={blank}
        words={(body) => `Product ${body.code} ${body.name}`}
        labels={productLabels}
        fieldWords={{ label: productFieldLabel }}
        empty={{
          title: "No product yet",
          words:
            "A product says what an order line becomes: which blank, which design or lettering, where it goes, in which hoop, on what backing. Then no order needs it typed again.",
        }}
      >
        {(given) => <ProductFields {...given} />}
      </RecordList>
    </>
  );
}
