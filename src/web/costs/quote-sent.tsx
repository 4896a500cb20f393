import { Button } from "@mantine/core";
import { Link } from "@tanstack/react-router";
import { useState } from "react";
import type { Answer } from "#contract";
import { addDays } from "#core/shop";
import { useChange } from "../asking";
import { dayWords } from "../orders/words";
import { DateField, TextField } from "../parts/form";
import { useListAddress } from "../parts/list-address";
import { moneyWords, useHabits } from "../parts/quantity";
import { saveFile } from "../parts/save-file";
import { PdfButton, PutAway } from "./quote-acts";
import { QuoteFigures } from "./quote-figures";
import { quoteStateWords } from "./words";

type KeptQuote = Answer<"readQuote">;

/** A quote as it went out: its prices stay; what is left is the customer's word and the order. */
export function SentQuote({ quote, today }: { readonly quote: KeptQuote; readonly today: string }) {
  const { currency } = useHabits();
  const address = useListAddress();
  const worked = quote.worked!;
  return (
    <div className="costs costs-two">
      <section className="sheet costs-sheet costs-body" aria-label="The quote">
        <h3>
          Quote {quote.number}
          {quote.customer && `, ${quote.customer}`}
        </h3>
        <p>
          <span className="costs-state" data-state={quote.isOver ? "over" : quote.state}>
            {quoteStateWords(quote)}
          </span>{" "}
          Sent {dayWords(quote.sentOn!, today)}, holds until {dayWords(quote.validUntil, today)}.
          {quote.asked.isRush && " Pulled forward."}
        </p>
        <table className="costs-lines">
          <caption className="visually-hidden">Lines of the quote</caption>
          <tbody>
            {worked.lines.map((line, at) => (
              <tr key={at}>
                <th scope="row">
                  {line.quantity} × {line.name}
                  <span className="quiet costs-means">
                    {[line.what, `${moneyWords(line.eachCents, currency)} each`].filter(Boolean).join(" · ")}
                  </span>
                </th>
                <td className="costs-amount">{moneyWords(line.sumCents, currency)}</td>
              </tr>
            ))}
          </tbody>
          <tfoot>
            <tr>
              <th scope="row">Together</th>
              <td className="costs-amount">{moneyWords(worked.totalCents, currency)}</td>
            </tr>
          </tfoot>
        </table>
        {quote.asked.note && <p>{quote.asked.note}</p>}
        <div className="costs-acts">
          <PdfButton print={() => saveFile("keptQuoteSheet", { id: quote.id })} />
          <Button
            size="md"
            variant="default"
            onClick={() => address.set({ quote: undefined, like: quote.id }, "push")}
          >
            A new quote like it
          </Button>
          <PutAway kept={quote} />
        </div>
      </section>
      <div className="costs">
        <Answered quote={quote} today={today} />
        <QuoteFigures worked={worked} acts={null} />
      </div>
    </div>
  );
}

/** Yes, no, and the order that follows. */
function Answered({ quote, today }: { readonly quote: KeptQuote; readonly today: string }) {
  const answer = useChange("answerQuote", {
    lists: ["costs"],
    done: (one) => `Quote ${one.number}: ${quoteStateWords(one)}.`,
  });
  const say = (state: "sent" | "agreed" | "declined", words: string) => (
    <Button
      size="md"
      variant="default"
      loading={answer.isPending}
      onClick={() => answer.mutate({ params: { id: quote.id }, version: quote.version, body: { state } })}
    >
      {words}
    </Button>
  );
  if (quote.orderId !== null)
    return (
      <section className="sheet costs-body" aria-label="The order">
        <h3>It is an order</h3>
        <div className="costs-acts">
          <Button component={Link} to="/orders/$id" params={{ id: quote.orderId } as never} size="md">
            Open the order
          </Button>
        </div>
      </section>
    );
  return (
    <section className="sheet costs-body" aria-label="What the customer said">
      <h3>{quote.state === "sent" ? "What the customer said" : quoteStateWords(quote)}</h3>
      {quote.state !== "declined" && <MakeOrder quote={quote} today={today} />}
      <div className="costs-acts">
        {quote.state === "sent" ? (
          <>
            {say("agreed", "They agreed, no order yet")}
            {say("declined", "They declined")}
          </>
        ) : (
          say("sent", "Take the answer back")
        )}
      </div>
    </section>
  );
}

/** Until this many days ahead a promise is proposed. */
const USUAL_DAYS = 14;

function MakeOrder({ quote, today }: { readonly quote: KeptQuote; readonly today: string }) {
  const [reference, setReference] = useState(quote.reference || `Q-${quote.number}`);
  const [promiseDate, setPromise] = useState(addDays(today, USUAL_DAYS));
  const make = useChange("orderOfQuote", {
    lists: ["costs", "orders", "pieces", "plan"],
    done: (one) => `An order was made of quote ${one.number}.`,
  });
  return (
    <>
      <div className="costs-fields">
        <TextField label="The order’s reference" value={reference} onChange={setReference} />
        <DateField label="Promised for" value={promiseDate} onChange={setPromise} />
      </div>
      <div className="costs-acts">
        <Button
          size="md"
          disabled={reference.trim() === "" || promiseDate < today}
          loading={make.isPending}
          onClick={() =>
            make.mutate({
              params: { id: quote.id },
              version: quote.version,
              body: { reference: reference.trim().slice(0, 80), promiseDate },
            })
          }
        >
          They agreed: make the order
        </Button>
      </div>
    </>
  );
}
