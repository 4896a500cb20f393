import { Button } from "@mantine/core";
import { Link, useParams } from "@tanstack/react-router";
import { useState } from "react";
import type { shapes } from "#contract";
import { isClosed } from "#core/shop";
import { useAnswer, useChange } from "../asking";
import { addressOf } from "../client";
import { useThreads } from "../designs/threads";
import { number } from "../designs/words";
import { useAll } from "../parts/all-of";
import { Hem } from "../parts/hem";
import { PageHead } from "../parts/page-head";
import { moneyWords, useHabits } from "../parts/quantity";
import { TroubleSheet, Waiting } from "../parts/states";
import { ThreadChip } from "../parts/thread-chip";
import "../parts/table.css";
import { OrderForm } from "./form";
import { StateCounts, StateMark } from "./marks";
import { OrderLeft } from "./left";
import { MoveMany, MoveOne } from "./move";
import { useLineHem, useProducts, useToday } from "./studio-facts";
import { dayWords, dueWords, isOpen, piecesWords, pieceTotal } from "./words";
import "../designs/back-link.css";
import "./orders.css";

/** Many pieces are shown a portion at a time. */
const PORTION = 40;

/** One order: what was asked for, its pieces and where each stands. */
export function OrderPage() {
  const { id } = useParams({ strict: false }) as { id: string };
  const answer = useAnswer("orders", "readOrder", { params: { id } });
  const [editing, setEditing] = useState(false);
  if (answer.isPending) return <Waiting words="Fetching the order" />;
  if (answer.isError && !answer.data)
    return <TroubleSheet trouble={answer.error} onAgain={() => void answer.refetch()} />;
  const { order, pieces } = answer.data;
  return (
    <>
      <Link to="/orders" className="back-link">
        ← Orders
      </Link>
      <OrderHead order={order} pieces={pieces} editing={editing} onEdit={() => setEditing(!editing)} />
      {editing ? (
        <OrderForm key={order.id} order={order} onDone={() => setEditing(false)} />
      ) : (
        <>
          <Facts order={order} />
          {order.note && (
            <p className="sheet" style={{ padding: "10px 16px" }}>
              {order.note}
            </p>
          )}
          <Lines order={order} />
          <Pieces order={order} pieces={pieces} />
        </>
      )}
    </>
  );
}

function OrderHead({
  order,
  pieces,
  editing,
  onEdit,
}: {
  readonly order: shapes.OrderRecord;
  readonly pieces: readonly shapes.PieceRecord[];
  readonly editing: boolean;
  readonly onEdit: () => void;
}) {
  const cancel = useChange("cancelOrder", {
    lists: ["orders", "pieces", "plan"],
    done: `Order ${order.reference} cancelled.`,
  });
  const today = useToday();
  const lead = [
    order.customer,
    order.channel && `by ${order.channel}`,
    `placed ${dayWords(order.placedOn, today)}`,
  ]
    .filter(Boolean)
    .join(" · ");
  return (
    <PageHead
      title={`Order ${order.reference}`}
      lead={lead}
      acts={
        !editing && (
          <>
            {pieces.some((piece) => !isClosed(piece.state)) && (
              <Button
                size="md"
                variant="default"
                loading={cancel.isPending}
                onClick={() => cancel.mutate({ params: { id: order.id }, version: order.version })}
              >
                Cancel the order
              </Button>
            )}
            <Button size="md" onClick={onEdit}>
              Change it
            </Button>
          </>
        )
      }
    />
  );
}

function Facts({ order }: { readonly order: shapes.OrderRecord }) {
  const today = useToday();
  const products = useProducts().byId;
  const { currency } = useHabits();
  const due = dueWords(order.shipBy, today, isOpen(order));
  const priceCents = order.lines.reduce(
    (sum, line) => sum + line.quantity * (line.priceCents ?? products.get(line.productId)?.priceCents ?? 0),
    0,
  );
  return (
    <dl className="order-facts">
      <div className={`sheet${due.level === "late" ? " is-late" : ""}`}>
        <dt>ship by{due.level === "closed" ? "" : `: ${due.words}`}</dt>
        <dd>{dayWords(order.shipBy, today)}</dd>
      </div>
      <div className="sheet">
        <dt>promised for</dt>
        <dd>{dayWords(order.promiseDate, today)}</dd>
      </div>
      <div className="sheet">
        <dt>
          <StateCounts counts={order.pieceCounts} />
        </dt>
        <dd>{piecesWords(pieceTotal(order))}</dd>
      </div>
      <div className="sheet">
        <dt>price of the lines</dt>
        <dd>{moneyWords(priceCents, currency)}</dd>
      </div>
      <OrderLeft orderId={order.id} />
    </dl>
  );
}

function Lines({ order }: { readonly order: shapes.OrderRecord }) {
  const products = useProducts().byId;
  const hemOf = useLineHem();
  const { currency } = useHabits();
  return (
    <section className="order-section" aria-labelledby="lines-head">
      <h2 id="lines-head">{order.lines.length === 1 ? "One line" : `${order.lines.length} lines`}</h2>
      <ul className="order-lines">
        {order.lines.map((line) => {
          const product = products.get(line.productId);
          const parts = hemOf(line);
          return (
            <li key={line.id} className="order-line sheet">
              <span>
                <span className="order-line-quantity">{line.quantity} ×</span> {product?.name ?? "…"}{" "}
                <span className="quiet">{product?.code}</span>
              </span>
              <span>
                {line.personalText ? (
                  `“${line.personalText}”`
                ) : (
                  <span className="quiet">no personal text</span>
                )}
              </span>
              <span>
                {parts.length > 0 ? (
                  <Hem parts={parts} />
                ) : (
                  <span className="quiet">nothing embroidered</span>
                )}
              </span>
              <span>
                {moneyWords(line.quantity * (line.priceCents ?? product?.priceCents ?? 0), currency)}
              </span>
              {line.note && <span className="quiet">{line.note}</span>}
            </li>
          );
        })}
      </ul>
    </section>
  );
}

function Pieces({
  order,
  pieces,
}: {
  readonly order: shapes.OrderRecord;
  readonly pieces: readonly shapes.PieceRecord[];
}) {
  const [shown, setShown] = useState(PORTION);
  const [moving, setMoving] = useState<{
    readonly pieces: readonly shapes.PieceRecord[];
    readonly title: string;
  } | null>(null);
  return (
    <section className="order-section" aria-labelledby="pieces-head">
      <div className="order-section-head">
        <h2 id="pieces-head">{piecesWords(pieces.length)}</h2>
        {pieces.length > 1 && (
          <Button
            size="md"
            variant="default"
            onClick={() => setMoving({ pieces, title: `Move the pieces of order ${order.reference}` })}
          >
            Move several …
          </Button>
        )}
      </div>
      <ul className="order-pieces">
        {pieces.slice(0, shown).map((piece) => (
          <Piece
            key={piece.id}
            piece={piece}
            onSpoil={() => setMoving({ pieces: [piece], title: `Piece ${piece.code} is spoiled` })}
          />
        ))}
      </ul>
      {pieces.length > shown && (
        <Button mt="md" size="md" variant="default" onClick={() => setShown(shown + PORTION)}>
          Show {Math.min(PORTION, pieces.length - shown)} more of {pieces.length}
        </Button>
      )}
      {moving && <MoveMany {...moving} onClose={() => setMoving(null)} />}
    </section>
  );
}

const waits = {
  stock: "waits for stock",
  artwork: "waits for artwork",
  approval: "waits for the customer’s yes",
};

function Piece({ piece, onSpoil }: { readonly piece: shapes.PieceRecord; readonly onSpoil: () => void }) {
  return (
    <li className="order-piece sheet">
      <div className="order-piece-head">
        <Link to="/pieces/$id" params={{ id: piece.id }} className="order-piece-code">
          {piece.code}
        </Link>
        <StateMark state={piece.state} />
        {piece.personalText && <span>“{piece.personalText}”</span>}
        {piece.waitingFor && <span className="quiet">{waits[piece.waitingFor]}</span>}
        {piece.urgency === "first" && <b>pulled first</b>}
        {piece.urgency === "held" && (
          <span className="quiet">held back{piece.heldWhy && `: ${piece.heldWhy}`}</span>
        )}
        {piece.remakeOf && <span className="quiet">made anew</span>}
        <Button
          component="a"
          size="md"
          variant="subtle"
          href={addressOf("tickets", {}, { piece: piece.id })}
          target="_blank"
          aria-label={`Ticket of piece ${piece.code} (PDF)`}
        >
          Ticket
        </Button>
        <MoveOne piece={piece} onSpoil={onSpoil} />
      </div>
      {piece.jobs.length > 0 && (
        <ul className="piece-jobs">
          {piece.jobs.map((job) => (
            <Job key={job.id} job={job} />
          ))}
        </ul>
      )}
    </li>
  );
}

function Job({ job }: { readonly job: shapes.JobRecord }) {
  const threads = useThreads();
  const hoops = useAll("hoops").data;
  const hoop = hoops?.find((one) => one.id === job.hoopId);
  const used = [...new Set(job.threadIds)];
  return (
    <li className="piece-job">
      <span className="piece-job-picture">
        {job.designVersionId ? (
          <img
            loading="lazy"
            alt={`${job.placementName} as thread`}
            src={addressOf(
              "designPicture",
              { id: job.designVersionId },
              { threads: job.threadIds.every((one) => one !== null) ? job.threadIds.join(",") : undefined },
            )}
          />
        ) : (
          "no design"
        )}
      </span>
      <div>
        <b>{job.placementName}</b>
        {job.sewn && <span className="quiet"> · sewn</span>}
        <br />
        <span className="quiet">
          {job.stitches > 0 && `${number.format(job.stitches)} stitches`}
          {hoop && ` · hoop ${hoop.name}`}
        </span>
        {used.length > 0 && (
          <ul className="piece-job-threads" aria-label="Threads">
            {used.map((id, index) => (
              <li key={id ?? `none-${index}`}>
                <ThreadChip thread={id === null ? null : threads.get(id)} />
              </li>
            ))}
          </ul>
        )}
        {job.trouble && (
          <p className="piece-trouble">
            <b>Cannot be sewn yet.</b> {job.trouble}
          </p>
        )}
      </div>
    </li>
  );
}
