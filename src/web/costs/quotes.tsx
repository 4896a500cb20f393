import { Button } from "@mantine/core";
import { Link } from "@tanstack/react-router";
import type { Answer, costs, shapes } from "#contract";
import { addDays } from "#core/shop";
import { useAnswer } from "../asking";
import { addressOf } from "../client";
import { useAll } from "../parts/all-of";
import { FilterChoice } from "../parts/form";
import { useListAddress } from "../parts/list-address";
import { moneyWords, useHabits } from "../parts/quantity";
import { Empty, TroubleSheet, Waiting } from "../parts/states";
import { type Column, RecordTable } from "../parts/table";
import { useToday } from "../orders/studio-facts";
import { dayWords } from "../orders/words";
import { QuoteForm } from "./quote-form";
import { SentQuote } from "./quote-sent";
import { quoteStateWords } from "./words";

/** Quotes that are kept; a new one is written from products, from an order, or like one that was sent. */
export function QuoteLeaf() {
  const address = useListAddress();
  const id = address.word("quote");
  const isNew = ["new", "order", "product", "like"].some((word) => address.word(word) !== "");
  return id === "" && !isNew ? <QuoteList /> : <OneQuote id={id} />;
}

type Brief = Answer<"listQuotes">["items"][number];

const shows = [
  { value: "", words: "All quotes" },
  { value: "open", words: "Not answered yet" },
  { value: "agreed", words: "Agreed" },
  { value: "declined", words: "Declined" },
] as const;

function useColumns(): readonly Column<Brief>[] {
  const { currency } = useHabits();
  const today = useToday();
  return [
    {
      id: "number",
      title: "Quote",
      cell: (one) => (
        <span className="costs-quote-name">
          <b>{one.number}</b> {one.customer || "no name"} <span className="quiet">{one.reference}</span>
        </span>
      ),
    },
    {
      id: "state",
      title: "Stands",
      cell: (one) => (
        <span className="costs-state" data-state={one.isOver ? "over" : one.state}>
          {quoteStateWords(one)}
        </span>
      ),
    },
    {
      id: "validUntil",
      title: "Holds until",
      from: "tablet",
      cell: (one) => dayWords(one.validUntil, today),
    },
    {
      id: "totalCents",
      title: "Together",
      numeric: true,
      cell: (one) => moneyWords(one.totalCents, currency),
    },
  ];
}

function QuoteList() {
  const address = useListAddress({ limit: 50 });
  const columns = useColumns();
  const show = shows.find((one) => one.value === address.word("show"))?.value ?? "";
  const answer = useAnswer(
    "costs",
    "listQuotes",
    { query: { q: address.q, show: show || "all", offset: address.offset, limit: 50 } },
    { keep: true },
  );
  const begin = (
    <Button size="md" onClick={() => address.set({ new: "yes" }, "push")}>
      New quote
    </Button>
  );
  return (
    <div className="costs">
      <RecordTable
        label="Quotes"
        columns={columns}
        answer={answer}
        address={address}
        rowId={(one) => one.id}
        rowWords={(one) => `Quote ${one.number}${one.customer ? ` for ${one.customer}` : ""}`}
        onOpen={(one) => address.set({ quote: one.id }, "push")}
        searchWords="Customer, product, words on it"
        filterWords={["show"]}
        ownSorting
        filters={
          <FilterChoice
            label="Which quotes"
            value={show}
            choices={shows}
            onChange={(value) => address.set({ show: value || undefined })}
          />
        }
        acts={begin}
        empty={
          <Empty title="No quote is kept yet" action={begin}>
            A quote offers products at prices worked out from what they cost, by quantity, until a day you
            choose. It is kept here: what was sent can be printed again as it went out, and becomes an order
            when the customer agrees.
          </Empty>
        }
        totals={
          <Button
            component="a"
            size="md"
            variant="subtle"
            href={addressOf("tableFile", { table: "quotes" })}
            download
          >
            Quotes as CSV
          </Button>
        }
      />
    </div>
  );
}

function OneQuote({ id }: { readonly id: string }) {
  const address = useListAddress();
  const like = address.word("like");
  const fromOrder = address.word("order");
  const products = useAll("products");
  const costing = useAnswer("costs", "readCosts", {});
  const order = useAnswer(
    "orders",
    "readOrder",
    { params: { id: fromOrder } },
    { enabled: fromOrder !== "" },
  );
  const readId = id || like;
  const quote = useAnswer("costs", "readQuote", { params: { id: readId } }, { enabled: readId !== "" });
  const today = useToday();
  const back = (
    <p className="costs-back">
      <button
        type="button"
        className="costs-way"
        onClick={() =>
          address.set(
            { quote: undefined, new: undefined, order: undefined, product: undefined, like: undefined },
            "push",
          )
        }
      >
        ← All quotes
      </button>
    </p>
  );
  const trouble = products.error ?? costing.error ?? order.error ?? quote.error;
  if (trouble)
    return (
      <>
        {back}
        <TroubleSheet trouble={trouble} onAgain={() => void costing.refetch()} />
      </>
    );
  if (!products.data || !costing.data || (fromOrder !== "" && !order.data) || (readId !== "" && !quote.data))
    return <Waiting words="Fetching the quote" />;
  const open = products.data.filter((one) => !one.archived);
  if (id !== "" && quote.data && quote.data.state !== "draft")
    return (
      <>
        {back}
        <SentQuote quote={quote.data} today={today} />
      </>
    );
  if (open.length === 0) return <NothingToQuote />;
  const { settings } = costing.data;
  const kept = id === "" ? null : (quote.data ?? null);
  const first = open.find((one) => one.id === address.word("product")) ?? open[0]!;
  const start: costs.QuoteAsked =
    kept?.asked ??
    (like !== "" && quote.data
      ? { ...quote.data.asked, validUntil: addDays(today, settings.quoteDays) }
      : newQuote(settings, today, first, order.data?.order));
  return (
    <>
      {back}
      <QuoteForm
        key={`${fromOrder} ${address.word("product")} ${like} ${kept?.id ?? ""} ${kept?.version ?? ""}`}
        kept={kept}
        products={open}
        settings={settings}
        today={today}
        start={start}
      />
    </>
  );
}

/** What a new quote begins with: an order's lines, or ten of a product. */
function newQuote(
  settings: costs.CostSettings,
  today: string,
  product: shapes.ProductRecord,
  order: shapes.OrderRecord | undefined,
): costs.QuoteAsked {
  const channel = settings.channels.find((one) => one.name.toLowerCase() === order?.channel.toLowerCase());
  return {
    customer: order?.customer.slice(0, 120) ?? "",
    reference: order?.reference.slice(0, 60) ?? "",
    validUntil: addDays(today, settings.quoteDays),
    channelId: channel?.id ?? null,
    isRush: false,
    note: "",
    lines: order?.lines.slice(0, 40).map((line) => ({
      productId: line.productId,
      quantity: line.quantity,
      what: line.personalText.slice(0, 160),
      priceCents: line.priceCents,
    })) ?? [{ productId: product.id, quantity: 10, what: "", priceCents: null }],
  };
}

function NothingToQuote() {
  return (
    <Empty
      title="Nothing to quote yet"
      action={
        <Button component={Link} to="/products" size="md">
          Add a product
        </Button>
      }
    >
      A quote offers products at prices worked out from what they cost, by quantity, until a day you choose.
    </Empty>
  );
}
