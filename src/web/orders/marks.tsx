import type { shapes } from "#contract";
import { type PieceState, pieceStates } from "#core/shop";
import { dayWords, dueWords, isOpen, stateWords } from "./words";
import "./marks.css";

export function StateMark({ state, count }: { readonly state: PieceState; readonly count?: number }) {
  return (
    <span className={`state-mark is-${state}`}>
      {count !== undefined && <b>{count}</b>} {stateWords[state]}
    </span>
  );
}

/** How many pieces stand where, in the order they pass. */
export function StateCounts({ counts }: { readonly counts: shapes.OrderRecord["pieceCounts"] }) {
  const present = pieceStates.filter((state) => (counts[state] ?? 0) > 0);
  if (present.length === 0) return <span className="quiet">no pieces</span>;
  return (
    <span className="state-counts">
      {present.map((state) => (
        <StateMark key={state} state={state} count={counts[state] ?? 0} />
      ))}
    </span>
  );
}

/** The ship-by date and how it stands; late is said in words and weight, not by colour alone. */
export function Due({ order, today }: { readonly order: shapes.OrderRecord; readonly today: string }) {
  const due = dueWords(order.shipBy, today, isOpen(order));
  return (
    <span className={`due is-${due.level}`}>
      <span>{dayWords(order.shipBy, today)}</span>
      {due.level !== "closed" && <b>{due.words}</b>}
    </span>
  );
}
