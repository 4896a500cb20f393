import { Link } from "@tanstack/react-router";
import { useAnswer } from "../asking";
import { moneyWords, useHabits } from "../parts/quantity";

/** What an order leaves once all it costs is paid, with the way to its lines; a loss is said at once. */
export function OrderLeft({ orderId }: { readonly orderId: string }) {
  const { currency } = useHabits();
  const answer = useAnswer("costs", "orderCost", { params: { id: orderId } });
  // Where costs cannot be counted, or all was cancelled, nothing is shown: the order is an order without it.
  if (answer.isError || answer.data?.pieces === 0) return null;
  if (!answer.data)
    return (
      <div className="sheet">
        <dt>what it leaves</dt>
        <dd className="quiet">…</dd>
      </div>
    );
  const { earned, isWhole } = answer.data;
  const isLoss = isWhole && earned.profitCents < 0;
  const share = earned.margin === null ? "" : `, ${Math.round(100 * earned.margin)} %`;
  return (
    <div className={isLoss ? "sheet order-left is-late" : "sheet order-left"}>
      <dt>{!isWhole ? "what it leaves" : isLoss ? "it loses" : "it leaves"}</dt>
      <dd>
        <Link to="/costs" search={{ leaf: "orders", order: orderId } as never}>
          {isWhole ? `${moneyWords(Math.abs(earned.profitCents), currency)}${share}` : "not known yet"}
        </Link>
      </dd>
    </div>
  );
}
