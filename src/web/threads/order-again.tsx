import { useAnswer } from "../asking";
import { AddRow } from "../parts/form";
import { useListAddress } from "../parts/list-address";
import { orderWords, wordsOf } from "./order-words";

/** Beside the field where it is decided: what the weeks' orders took of this, and the point that follows from it. */
export function OrderAgain({ onTake }: { readonly onTake: (point: number) => void }) {
  const id = useListAddress().word("edit");
  const answer = useAnswer("costs", "orderAgain", {}, { enabled: id !== "" && id !== "new" });
  const item = answer.data?.items.find((one) => one.subjectId === id);
  if (!item) return null;
  const words = wordsOf(item);
  return (
    <div className="order-again">
      <p>
        Your orders took {words.week} a week; what is there lasts {words.lasts}.
        {item.point === null ? (
          " Enter what ordering costs under Costs, What things cost, and the point is proposed here."
        ) : (
          <>
            {" "}
            <b>Order {orderWords(item)}.</b>
          </>
        )}
      </p>
      {item.point !== null && item.point !== item.setPoint && (
        <AddRow onClick={() => onTake(item.point!)}>Take that as the point</AddRow>
      )}
    </div>
  );
}
