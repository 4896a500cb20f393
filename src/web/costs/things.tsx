import { useAnswer } from "../asking";
import { FilterChoice } from "../parts/form";
import { useListAddress } from "../parts/list-address";
import { TroubleSheet, Waiting } from "../parts/states";
import { Missing } from "./lines";
import { MachineFigures } from "./things-machines";
import { OrderingAgain } from "./things-ordering";
import { StockPrices, ThreadPrices } from "./things-prices";
import { ProductTakes } from "./things-products";
import { SettingsForm } from "./things-settings";

const parts = [
  { value: "", words: "The studio’s figures" },
  { value: "stock", words: "Goods, backing, bobbins, cloth" },
  { value: "threads", words: "Thread" },
  { value: "machines", words: "Machines" },
  { value: "products", words: "What products take" },
  { value: "ordering", words: "Ordering again" },
] as const;

/** What things cost: every figure with where it comes from, and what is still asked for. */
export function Things() {
  const address = useListAddress();
  const costs = useAnswer("costs", "readCosts", {});
  if (costs.isError) return <TroubleSheet trouble={costs.error} onAgain={() => void costs.refetch()} />;
  if (!costs.data) return <Waiting words="Fetching what things cost" />;
  const part = address.word("part");
  const all = costs.data;
  return (
    <div className="costs">
      {part !== "ordering" && <Missing missing={all.missing} />}
      <div className="costs-tools">
        <FilterChoice
          label="Figures of"
          value={part}
          choices={parts}
          onChange={(value) => address.set({ part: value || undefined })}
        />
      </div>
      {part === "stock" ? (
        <StockPrices figures={all.figures} />
      ) : part === "threads" ? (
        <ThreadPrices figures={all.figures} />
      ) : part === "machines" ? (
        <MachineFigures figures={all.figures} machines={all.machines} />
      ) : part === "products" ? (
        <ProductTakes figures={all.figures} />
      ) : part === "ordering" ? (
        <OrderingAgain key={all.version} version={all.version} settings={all.settings} />
      ) : (
        <SettingsForm
          key={all.version}
          version={all.version}
          settings={all.settings}
          measured={all.measured}
        />
      )}
    </div>
  );
}
