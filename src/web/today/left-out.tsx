import { Link } from "@tanstack/react-router";
import { dateWords, type Day } from "./day";
import "./left-out.css";
import "./card.css";

/** Pieces that are not planned, each with its reason and what can be done. Nothing where all are planned. */
export function LeftOut({ day }: { readonly day: Day }) {
  const { leftOut, plan } = day.view;
  const unplanned = plan.unplanned.map((one) => {
    const job = one.job === undefined ? undefined : day.jobs.get(one.job);
    const chore = one.chore === undefined ? undefined : day.chores.get(one.chore);
    return {
      key: one.job ?? one.chore ?? "",
      pieceId: job?.pieceId ?? null,
      title: job?.title ?? chore?.title ?? one.job ?? one.chore ?? "",
      product: job?.product ?? "",
      code: job?.pieceCode ?? chore?.orderReference ?? "",
      shipBy: job?.shipBy ?? chore?.shipBy ?? null,
      why: one.why,
      advice: "",
    };
  });
  const all = [
    ...unplanned,
    ...leftOut.map((one) => ({
      key: one.pieceId,
      pieceId: one.pieceId as string | null,
      title: one.title,
      product: one.product,
      code: one.pieceCode,
      shipBy: one.shipBy as string | null,
      why: one.why,
      advice: one.advice,
    })),
  ];
  if (all.length === 0) return null;
  return (
    <section className="left-out" aria-labelledby="left-out-title">
      <h2 id="left-out-title">Not in the plan: {all.length === 1 ? "1 piece" : `${all.length} pieces`}</h2>
      <ul className="sheet left-out-list">
        {all.map((one) => (
          <li key={one.key}>
            <span className="left-out-what">
              {one.pieceId ? (
                <Link to="/pieces/$id" params={{ id: one.pieceId }}>
                  <b>{one.title}</b>
                </Link>
              ) : (
                <b>{one.title}</b>
              )}
              <span className="quiet">
                {one.product}
                {one.code && ` · ${one.code}`}
                {one.shipBy && ` · ship by ${dateWords(one.shipBy)}`}
              </span>
            </span>
            <span>{one.why}</span>
            <span className="quiet">{one.advice}</span>
          </li>
        ))}
      </ul>
    </section>
  );
}
