import { Button } from "@mantine/core";
import { Link } from "@tanstack/react-router";
import type { Answer } from "#contract";
import { addDays } from "#core/shop";
import { useAnswer } from "../asking";
import { FilterChoice } from "../parts/form";
import { useListAddress } from "../parts/list-address";
import { moneyWords, useHabits } from "../parts/quantity";
import { Empty, TroubleSheet, Waiting } from "../parts/states";
import { useNowMs } from "../today/clock";
import { CostLines, Missing, PriceParts } from "./lines";
import { kindWords, minutesWords, percentWords } from "./words";

const spans = [
  { value: "30", words: "Placed in the last 30 days" },
  { value: "90", words: "Placed in the last 90 days" },
  { value: "365", words: "Placed in the last year" },
] as const;
const LIMIT = 50;

type Ledger = Answer<"costLedger">;

/** What the orders of some time cost and left, and each of them opened. */
export function OrderCosts() {
  const address = useListAddress();
  const id = address.word("order");
  return id ? <OneOrder id={id} /> : <LedgerOf />;
}

function LedgerOf() {
  const address = useListAddress();
  const { currency, timeZone } = useHabits();
  const to = new Intl.DateTimeFormat("en-CA", { timeZone, dateStyle: "short" }).format(useNowMs());
  const days = spans.some((one) => one.value === address.word("days")) ? address.word("days") : "90";
  const offset = Math.max(0, Number.parseInt(address.word("offset") || "0", 10) || 0);
  const ledger = useAnswer(
    "costs",
    "costLedger",
    { query: { from: addDays(to, 1 - Number(days)), to, offset, limit: LIMIT } },
    { keep: true },
  );
  if (ledger.isError) return <TroubleSheet trouble={ledger.error} onAgain={() => void ledger.refetch()} />;
  if (!ledger.data) return <Waiting words="Adding up the orders" />;
  const all = ledger.data;
  const choice = (
    <FilterChoice
      label="Days"
      value={days}
      choices={spans}
      onChange={(value) => address.set({ days: value === "90" ? undefined : value, offset: undefined })}
    />
  );
  if (all.total === 0)
    return (
      <>
        <div className="costs-tools">{choice}</div>
        <Empty
          title="No order was placed in these days"
          action={
            <Button component={Link} to="/orders" size="md">
              Look at the orders
            </Button>
          }
        >
          Here stands what orders cost, piece by piece with their parcels and fees, and what they left.
        </Empty>
      </>
    );
  return (
    <div className="costs">
      <div className="costs-tools">{choice}</div>
      <Missing missing={all.missing} />
      <section className="sheet costs-sheet costs-body" aria-label="Together">
        <h3>
          {all.total} {all.total === 1 ? "order" : "orders"}, {all.pieces}{" "}
          {all.pieces === 1 ? "piece" : "pieces"}
        </h3>
        {all.missing.length > 0 && <p className="quiet">The cost is what is known so far.</p>}
        <PriceParts earned={all.earned} currency={currency} />
        <div className="costs-two">
          <Kinds ledger={all} currency={currency} />
          <ByProduct ledger={all} currency={currency} />
        </div>
        <p className="quiet">
          What was really bought stands in your books; this is what the pieces cost by the figures entered.
          Spoiled pieces are in each piece’s share and not counted again.
        </p>
      </section>
      <section className="sheet costs-sheet" aria-label="Orders">
        <table className="costs-table">
          <thead>
            <tr>
              <th scope="col">Order</th>
              <th scope="col">Pieces</th>
              <th scope="col">Price</th>
              <th scope="col">Fees</th>
              <th scope="col">Cost</th>
              <th scope="col">Left</th>
              <th scope="col">Margin</th>
            </tr>
          </thead>
          <tbody>
            {all.orders.map((one) => {
              const loses = one.isWhole && one.earned.profitCents < 0;
              const cells: readonly (readonly [string, string])[] = [
                ["pieces", `${one.pieces}`],
                ["price", moneyWords(one.earned.priceCents, currency)],
                ["fees", moneyWords(one.earned.feesCents, currency)],
                ["cost", `${one.isWhole ? "" : "over "}${moneyWords(one.earned.costCents, currency)}`],
                ["left", one.isWhole ? moneyWords(one.earned.profitCents, currency) : "–"],
                ["margin", one.isWhole && one.earned.margin !== null ? percentWords(one.earned.margin) : "–"],
              ];
              return (
                <tr key={one.orderId} data-loss={loses || undefined}>
                  <th scope="row">
                    <button
                      type="button"
                      className="costs-open"
                      onClick={() => address.set({ order: one.orderId }, "push")}
                    >
                      <span>{one.reference}</span>
                      <span className="quiet">
                        {[one.customer, one.channel].filter(Boolean).join(" · ")}
                        {loses && <span className="costs-tag">loses money</span>}
                      </span>
                    </button>
                  </th>
                  {cells.map(([label, words]) => (
                    <td key={label} data-label={label}>
                      {words}
                    </td>
                  ))}
                </tr>
              );
            })}
          </tbody>
        </table>
      </section>
      {all.total > LIMIT && (
        <div className="costs-acts">
          <Button
            size="md"
            variant="default"
            disabled={offset === 0}
            onClick={() =>
              address.set({ offset: offset > LIMIT ? String(offset - LIMIT) : undefined }, "push")
            }
          >
            Later orders
          </Button>
          <Button
            size="md"
            variant="default"
            disabled={offset + LIMIT >= all.total}
            onClick={() => address.set({ offset: String(offset + LIMIT) }, "push")}
          >
            Earlier orders
          </Button>
        </div>
      )}
    </div>
  );
}

function Kinds({
  ledger,
  currency,
}: {
  readonly ledger: Pick<Ledger, "byKind" | "earned">;
  readonly currency: string;
}) {
  const most = Math.max(1, ...ledger.byKind.map((one) => one.cents));
  return (
    <table className="costs-lines">
      <caption>Cost by kind</caption>
      <tbody>
        {ledger.byKind.map(({ kind, cents }) => (
          <tr key={kind}>
            <th scope="row">{kindWords[kind]}</th>
            <td className="costs-length" aria-hidden>
              <span style={{ width: `${(100 * Math.max(0, cents)) / most}%` }} />
            </td>
            <td className="costs-amount">{moneyWords(cents, currency)}</td>
          </tr>
        ))}
      </tbody>
      <tfoot>
        <tr>
          <th scope="row" colSpan={2}>
            Together
          </th>
          <td className="costs-amount">{moneyWords(ledger.earned.costCents, currency)}</td>
        </tr>
      </tfoot>
    </table>
  );
}

function ByProduct({ ledger, currency }: { readonly ledger: Ledger; readonly currency: string }) {
  return (
    <table className="costs-lines">
      <caption>Cost by product</caption>
      <tbody>
        {ledger.byProduct.map((one) => (
          <tr key={one.productId}>
            <th scope="row">
              {one.name} <span className="quiet">{one.pieces} ×</span>
            </th>
            <td className="costs-amount">{moneyWords(one.costCents, currency)}</td>
          </tr>
        ))}
        <tr>
          <th scope="row">Parcels</th>
          <td className="costs-amount">{moneyWords(ledger.parcelCents, currency)}</td>
        </tr>
      </tbody>
      <tfoot>
        <tr>
          <th scope="row">Together</th>
          <td className="costs-amount">{moneyWords(ledger.earned.costCents, currency)}</td>
        </tr>
      </tfoot>
    </table>
  );
}

function OneOrder({ id }: { readonly id: string }) {
  const address = useListAddress();
  const { currency } = useHabits();
  const order = useAnswer("costs", "orderCost", { params: { id } });
  const pieceId = address.word("piece");
  const back = (
    <p className="costs-back">
      <button
        type="button"
        className="costs-way"
        onClick={() => address.set(pieceId ? { piece: undefined } : { order: undefined }, "push")}
      >
        {pieceId ? "← The whole order" : "← All orders"}
      </button>
    </p>
  );
  if (order.isError)
    return (
      <>
        {back}
        <TroubleSheet trouble={order.error} onAgain={() => void order.refetch()} />
      </>
    );
  if (!order.data) return <Waiting words="Counting what the order costs" />;
  const one = order.data;
  return (
    <div className="costs">
      {back}
      <h2 className="costs-title">
        <Link to="/orders/$id" params={{ id }}>
          Order {one.reference}
        </Link>{" "}
        <span className="quiet">{[one.customer, one.channel].filter(Boolean).join(" · ")}</span>
      </h2>
      <Missing missing={one.missing} />
      {pieceId ? (
        <OnePiece id={pieceId} currency={currency} />
      ) : (
        <div className="costs-two">
          <section className="sheet costs-sheet costs-body" aria-label="Price and pieces">
            <h3>What it leaves</h3>
            <PriceParts earned={one.earned} currency={currency} />
            <Link to="/costs" search={{ leaf: "quote", order: id } as never} className="costs-way">
              Make a quote of it
            </Link>
            <h3>{one.pieces === 1 ? "One piece" : `${one.pieces} pieces`}</h3>
            <table className="costs-lines">
              <tbody>
                {one.byPiece.map((piece) => (
                  <tr key={piece.pieceId}>
                    <th scope="row">
                      <button
                        type="button"
                        className="costs-open"
                        onClick={() => address.set({ piece: piece.pieceId }, "push")}
                      >
                        <span>
                          {piece.code} {piece.personalText && `“${piece.personalText}”`}
                        </span>
                        <span className="quiet">{piece.productName}</span>
                      </button>
                    </th>
                    <td className="costs-amount">{moneyWords(piece.totalCents, currency)}</td>
                  </tr>
                ))}
                {one.parcel.map((line) => (
                  <tr key={line.what}>
                    <th scope="row">{line.what}</th>
                    <td className="costs-amount">{moneyWords(line.cents, currency)}</td>
                  </tr>
                ))}
              </tbody>
            </table>
          </section>
          <section className="sheet costs-sheet" aria-label="What it costs">
            <h3>What it costs</h3>
            <CostLines
              lines={one.lines}
              totalCents={one.totalCents}
              currency={currency}
              isWhole={one.missing.length === 0}
            />
            <p className="quiet costs-pad">
              {minutesWords(one.machineS)} of machines, {minutesWords(one.handS)} of hands.
            </p>
          </section>
        </div>
      )}
    </div>
  );
}

function OnePiece({ id, currency }: { readonly id: string; readonly currency: string }) {
  const piece = useAnswer("costs", "pieceCost", { params: { id } });
  if (piece.isError) return <TroubleSheet trouble={piece.error} onAgain={() => void piece.refetch()} />;
  if (!piece.data) return <Waiting words="Counting what the piece costs" />;
  return (
    <section className="sheet costs-sheet" aria-label="What the piece costs">
      <h3>
        <Link to="/pieces/$id" params={{ id }}>
          {piece.data.code}
        </Link>{" "}
        {piece.data.productName}
      </h3>
      <CostLines
        lines={piece.data.lines}
        totalCents={piece.data.totalCents}
        currency={currency}
        isWhole={piece.data.missing.length === 0}
      />
      <p className="quiet costs-pad">
        {minutesWords(piece.data.machineS)} of a machine, {minutesWords(piece.data.handS)} of hands.
      </p>
    </section>
  );
}
