import { Leaves, PageHead } from "../parts/page-head";
import { useListAddress } from "../parts/list-address";
import { StockList } from "./stock";
import { ThreadList } from "./threads";

const leaves = [
  { word: "", title: "Threads" },
  { word: "stock", title: "Blanks, backing & more" },
] as const;

/** What is in the house: cones of thread, and everything else that is used up. */
export function ThreadsPage() {
  const leaf = useListAddress().word("leaf");
  const at = leaves.some(({ word }) => word === leaf) ? leaf : "";
  return (
    <>
      <PageHead
        title="Threads & stock"
        lead="What is in the house, under your own codes and names, and what runs low."
        leaves={<Leaves label="Kinds of stock" leaves={leaves} />}
      />
      {at === "stock" ? <StockList key="stock" /> : <ThreadList key="threads" />}
    </>
  );
}
