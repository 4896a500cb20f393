import { Button } from "@mantine/core";
import { useQueryClient } from "@tanstack/react-query";
import { Link } from "@tanstack/react-router";
import { useState } from "react";
import type { shapes } from "#contract";
import { useAnswer } from "../asking";
import { addressOf, ask } from "../client";
import { number } from "../designs/words";
import { Hem } from "../parts/hem";
import { useListAddress } from "../parts/list-address";
import { offerUndo, showTrouble } from "../parts/notices";
import { PageHead } from "../parts/page-head";
import { Empty } from "../parts/states";
import { type Column, RecordTable } from "../parts/table";
import { Due, StateCounts } from "./marks";
import { MoveMany } from "./move";
import { useLineHem, useToday } from "./studio-facts";
import { dayWords, piecesWords, pieceTotal } from "./words";
import "./orders.css";

const shows = [
  { word: "", title: "Open" },
  { word: "late", title: "Late" },
  { word: "shipped", title: "Shipped" },
  { word: "all", title: "All" },
] as const;
const HEM_LINES = 4;

/** Orders: what is still to ship, what is late; look up, move, take out. */
export function OrdersPage() {
  const address = useListAddress({ sort: "shipBy" });
  const show = address.word("show");
  const answer = useAnswer(
    "orders",
    "listOrders",
    {
      query: {
        q: address.q,
        sort: address.sort,
        offset: address.offset,
        limit: address.limit,
        show: show || "open",
      },
    },
    { keep: true },
  );
  const [chosen, setChosen] = useState<ReadonlySet<string>>(new Set());
  const none = answer.data?.total === 0 && address.q === "" && show === "";
  const any = useAnswer("orders", "listOrders", { query: { show: "all", limit: 1 } }, { enabled: none });
  const today = useToday();
  const hemOf = useLineHem();
  const columns: Column<shapes.OrderRecord>[] = [
    { id: "reference", title: "Order", sortable: true, cell: (row) => row.reference },
    {
      id: "customer",
      title: "Customer",
      sortable: true,
      cell: (row) => (row.customer ? row.customer : <span className="quiet">no name</span>),
    },
    {
      id: "hem",
      title: "Sews",
      width: "18%",
      onCard: "alone",
      cell: (row) => <OrderHem order={row} hemOf={hemOf} />,
    },
    {
      id: "pieces",
      title: "Pieces",
      onCard: "alone",
      cell: (row) => <StateCounts counts={row.pieceCounts} />,
    },
    { id: "shipBy", title: "Ship by", sortable: true, cell: (row) => <Due order={row} today={today} /> },
    {
      id: "promiseDate",
      title: "Promised",
      sortable: true,
      from: "tablet",
      cell: (row) => dayWords(row.promiseDate, today),
    },
    {
      id: "channel",
      title: "Channel",
      sortable: true,
      from: "desktop",
      onCard: "hidden",
      cell: (row) => row.channel,
    },
  ];
  return (
    <>
      <PageHead
        title="Orders"
        lead={answer.data ? <Standing open={answer.data.open} late={answer.data.late} /> : " "}
        acts={
          <>
            <Button component={Link} to="/orders/import" size="md" variant="default">
              Import a CSV file
            </Button>
            <Button component={Link} to="/orders/new" size="md">
              New order
            </Button>
          </>
        }
      />
      <RecordTable
        label="Orders"
        columns={columns}
        answer={answer}
        address={address}
        rowId={(row) => row.id}
        rowWords={(row) => `Order ${row.reference}${row.customer ? `, ${row.customer}` : ""}`}
        link={(row) => ({ to: "/orders/$id", params: { id: row.id } })}
        isQuiet={(row) => row.archived}
        searchWords="Search reference, customer, text"
        filterWords={["show"]}
        filters={
          <div className="order-shows" role="group" aria-label="Which orders">
            {shows.map(({ word, title }) => (
              <button
                key={word}
                type="button"
                className="order-show"
                aria-pressed={show === word}
                onClick={() => address.set({ show: word }, "push")}
              >
                {title}
                {answer.data && word === "" && <span> {number.format(answer.data.open)}</span>}
                {answer.data && word === "late" && (
                  <span className={answer.data.late > 0 ? "is-late" : undefined}> {answer.data.late}</span>
                )}
              </button>
            ))}
          </div>
        }
        empty={
          any.data && any.data.total > 0 ? (
            <AllShipped onAll={() => address.set({ show: "all" }, "push")} />
          ) : (
            <NoOrders />
          )
        }
        selection={{
          chosen,
          onChange: setChosen,
          acts: (
            <Bulk
              orders={(answer.data?.items ?? []).filter((row) => chosen.has(row.id))}
              onDone={() => setChosen(new Set())}
            />
          ),
        }}
        totals={
          answer.data && (
            <p className="quiet">
              {piecesWords(answer.data.items.reduce((sum, row) => sum + pieceTotal(row), 0))} on this page
            </p>
          )
        }
      />
      <Downloads />
    </>
  );
}

function Standing({ open, late }: { readonly open: number; readonly late: number }) {
  return (
    <>
      {open === 0 ? "Nothing is waiting to be shipped." : `${number.format(open)} open.`}{" "}
      {late > 0 ? (
        <b className="orders-late">{late === 1 ? "1 is late." : `${number.format(late)} are late.`}</b>
      ) : (
        open > 0 && "None is late."
      )}
    </>
  );
}

function OrderHem({
  order,
  hemOf,
}: {
  readonly order: shapes.OrderRecord;
  readonly hemOf: ReturnType<typeof useLineHem>;
}) {
  const parts = order.lines.slice(0, HEM_LINES).flatMap(hemOf);
  const texts = order.lines.map((line) => line.personalText).filter(Boolean);
  return (
    <span className="order-hem">
      {parts.length > 0 && <Hem parts={parts} />}
      <span className="quiet order-texts">
        {texts.slice(0, 3).join(", ")}
        {texts.length > 3 && ` and ${texts.length - 3} more`}
      </span>
    </span>
  );
}

function Bulk({
  orders,
  onDone,
}: {
  readonly orders: readonly shapes.OrderRecord[];
  readonly onDone: () => void;
}) {
  const [pieces, setPieces] = useState<readonly shapes.PieceRecord[] | null>(null);
  const [busy, setBusy] = useState(false);
  const queries = useQueryClient();
  const open = async () => {
    setBusy(true);
    try {
      const all = await Promise.all(orders.map((order) => ask("readOrder", { params: { id: order.id } })));
      setPieces(all.flatMap(({ value }) => value.pieces));
    } catch (trouble) {
      showTrouble(trouble);
    } finally {
      setBusy(false);
    }
  };
  const cancel = async () => {
    setBusy(true);
    try {
      for (const order of orders) {
        const told = await ask("cancelOrder", { params: { id: order.id }, version: order.version });
        offerUndo(`Order ${order.reference} cancelled.`, told.changeId);
      }
      onDone();
    } catch (trouble) {
      showTrouble(trouble);
    } finally {
      setBusy(false);
      for (const list of ["orders", "pieces", "plan"]) void queries.invalidateQueries({ queryKey: [list] });
    }
  };
  return (
    <>
      <Button size="md" loading={busy} onClick={() => void open()}>
        Move their pieces …
      </Button>
      {orders.length <= 3 && (
        <Button size="md" variant="default" loading={busy} onClick={() => void cancel()}>
          Cancel {orders.length === 1 ? "it" : "them"}
        </Button>
      )}
      {pieces && (
        <MoveMany
          pieces={pieces}
          title={`Move ${piecesWords(pieces.length)} of ${orders.length === 1 ? `order ${orders[0]!.reference}` : `${orders.length} orders`}`}
          onClose={() => {
            setPieces(null);
            onDone();
          }}
        />
      )}
    </>
  );
}

function Downloads() {
  const [copied, setCopied] = useState(false);
  const feed = new URL(addressOf("calendar"), location.href).href;
  const copy = async () => {
    try {
      await navigator.clipboard.writeText(feed);
      setCopied(true);
    } catch {
      window.prompt("The address of the calendar feed:", feed);
    }
  };
  return (
    <section className="order-downloads" aria-label="Take out">
      <Button
        component="a"
        size="md"
        variant="subtle"
        href={addressOf("tableFile", { table: "orders" })}
        download
      >
        Orders as CSV
      </Button>
      <Button
        component="a"
        size="md"
        variant="subtle"
        href={addressOf("tableFile", { table: "pieces" })}
        download
      >
        Pieces as CSV
      </Button>
      <Button size="md" variant="subtle" onClick={() => void copy()}>
        {copied ? "Address copied" : "Copy the calendar’s address"}
      </Button>
      <span className="quiet">
        Ship-by dates in your own calendar: add that address as a subscribed calendar.
      </span>
    </section>
  );
}

const begin = (
  <div className="order-begin">
    <Button component={Link} to="/orders/import" size="md">
      Import a CSV file
    </Button>
    <Button component={Link} to="/orders/new" size="md" variant="default">
      Type one by hand
    </Button>
  </div>
);

function NoOrders() {
  return (
    <Empty title="Bring in your orders" action={begin}>
      <p>
        An order line becomes pieces: each with its design, threads, hoop and times, ready for the day’s plan.
        Most studios import the file their shop or marketplace gives; one order can also be typed.
      </p>
    </Empty>
  );
}

function AllShipped({ onAll }: { readonly onAll: () => void }) {
  return (
    <Empty
      title="Everything is shipped"
      action={
        <div className="order-begin">
          {begin}
          <Button size="md" variant="subtle" onClick={onAll}>
            Look at all orders
          </Button>
        </div>
      }
    >
      <p>Nothing is waiting. New orders come by import, by hand, or from another program.</p>
    </Empty>
  );
}
