import { useAll } from "../../parts/all-of";

/** Every placement of the products, by a key of its own and in words. */
export function usePlacements() {
  const products = useAll("products", "no");
  return (products.data ?? []).flatMap((product) =>
    product.placements.map((placement) => ({
      key: `${product.id}/${placement.id}`,
      words: `${product.name}: ${placement.name}`,
      product,
      placement,
    })),
  );
}
