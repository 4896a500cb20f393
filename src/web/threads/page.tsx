import { Link } from "@tanstack/react-router";
import { useAll } from "../parts/all-of";
import { useListAddress } from "../parts/list-address";
import { Leaves, PageHead } from "../parts/page-head";
import { isLow } from "./left";
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
        lead={
          <>
            What is in the house. <RunsLow />
          </>
        }
        leaves={<Leaves label="Kinds of stock" leaves={leaves} />}
      />
      {at === "stock" ? <StockList key="stock" /> : <ThreadList key="threads" />}
    </>
  );
}

/** What is to be ordered next, each kind a way to its list. */
function RunsLow() {
  const threads = useAll("threads", "all").data ?? [];
  const stock = useAll("stock", "all").data ?? [];
  const lowThreads = threads.filter(
    (one) => !one.archived && isLow(one.metresLeft, one.reorderMetres),
  ).length;
  const lowItems = stock.filter((one) => !one.archived && isLow(one.onHand, one.reorderPoint)).length;
  const words = [
    { leaf: undefined, count: lowThreads, one: "1 thread runs low", several: "threads run low" },
    { leaf: "stock", count: lowItems, one: "1 item runs low", several: "items run low" },
  ];
  return words
    .filter(({ count }) => count > 0)
    .map(({ leaf, count, one, several }) => (
      <Link key={one} to="." search={{ leaf, low: "yes" } as never} className="runs-low">
        {count === 1 ? one : `${count} ${several}`}
      </Link>
    ));
}
