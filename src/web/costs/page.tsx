import { useQueryClient } from "@tanstack/react-query";
import { useEffect } from "react";
import { hear } from "../live";
import { useListAddress } from "../parts/list-address";
import { Leaves, PageHead } from "../parts/page-head";
import { OrderCosts } from "./orders";
import { ProductCosts } from "./products";
import { Purchases } from "./purchases";
import { QuoteLeaf } from "./quotes";
import { Things } from "./things";
import "./costs.css";

const leaves = [
  { word: "", title: "Products" },
  { word: "orders", title: "Orders" },
  { word: "quote", title: "Quotes" },
  { word: "purchase", title: "Purchases" },
  { word: "things", title: "What things cost" },
] as const;

/** Costs rest on these lists: when one changes, what is shown is asked for again. */
const restsOn = [
  "products",
  "orders",
  "pieces",
  "designs",
  "stock",
  "threads",
  "machines",
  "hoops",
  "studio",
  "floor",
  "costs",
];

function useFollowing(): void {
  const queries = useQueryClient();
  useEffect(
    () =>
      hear((event) => {
        if (event.topic === "changed" && event.what.some((list) => restsOn.includes(list)))
          void queries.invalidateQueries({ queryKey: ["costs"] });
      }),
    [queries],
  );
}

/** What pieces and orders cost, what they leave, and whether a purchase pays. */
export function CostsPage() {
  useFollowing();
  const leaf = useListAddress().word("leaf");
  return (
    <>
      <PageHead
        title="Costs"
        lead="What a piece costs, whether its price is right, and whether a purchase pays."
        leaves={<Leaves label="Parts of costs" leaves={leaves} />}
      />
      {leaf === "orders" ? (
        <OrderCosts />
      ) : leaf === "quote" ? (
        <QuoteLeaf />
      ) : leaf === "purchase" ? (
        <Purchases />
      ) : leaf === "things" ? (
        <Things />
      ) : (
        <ProductCosts />
      )}
    </>
  );
}
