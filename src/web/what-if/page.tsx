import type { whatIf } from "#contract";
import { Button } from "@mantine/core";
import { Link } from "@tanstack/react-router";
import { useEffect, useRef } from "react";
import { useAnswer } from "../asking";
import { useListAddress } from "../parts/list-address";
import { PageHead } from "../parts/page-head";
import { Empty, TroubleSheet, Waiting } from "../parts/states";
import { Ask } from "./ask";
import { NewOrUsed } from "./new-or-used";
import { Result } from "./result";
import "./what-if.css";

/** What if: the shop asked before money is spent, played through on its own orders. */
export function WhatIfPage() {
  const address = useListAddress();
  const answer = useAnswer("what-if", "whatIf", {}, { keep: true });
  const run = address.word("run");
  return (
    <>
      <PageHead
        title="What if"
        lead="Ask the shop before you pay: what you think of is played through on your own orders and times, many seasons over, beside the shop as it is."
      />
      {answer.isError ? (
        <TroubleSheet trouble={answer.error} onAgain={() => void answer.refetch()} />
      ) : answer.data ? (
        <Shown answer={answer.data} run={run} onRun={(id) => address.set({ run: id }, "push")} />
      ) : (
        <Waiting words="Looking at the shop" />
      )}
    </>
  );
}

interface ShownProps {
  readonly answer: { readonly shop: whatIf.WhatIfShop; readonly runs: readonly whatIf.WhatIfRun[] };
  readonly run: string;
  readonly onRun: (id: string) => void;
}

function Shown({ answer: { shop, runs }, run, onRun }: ShownProps) {
  const shown = useRef<HTMLDivElement>(null);
  useEffect(() => {
    if (run) shown.current?.scrollIntoView({ block: "nearest" });
  }, [run]);
  if (shop.whyNot !== null && runs.length === 0)
    return (
      <Empty
        title="Nothing can be played through yet"
        action={
          <Button component={Link} to={shop.pastOrders === 0 ? "/orders" : "/machines"} size="md">
            {shop.pastOrders === 0 ? "Open the orders" : "Open the machines"}
          </Button>
        }
      >
        {shop.whyNot} With machines, people and some weeks of orders this page answers what another hoop,
        machine or pair of hands would change, and whether it pays.
      </Empty>
    );
  return (
    <div className="what-if">
      <Today shop={shop} />
      {run && (
        <div ref={shown}>
          <Result id={run} currency={shop.currency} />
        </div>
      )}
      {shop.whyNot === null ? <Ask shop={shop} onAsked={onRun} /> : <p>{shop.whyNot}</p>}
      <NewOrUsed shop={shop} />
      {runs.length > 0 && <AskedBefore runs={runs} run={run} />}
    </div>
  );
}

const dates = new Intl.DateTimeFormat("en-GB", { day: "numeric", month: "long", year: "numeric", timeZone: "UTC" }); // prettier-ignore

function Today({ shop }: { readonly shop: whatIf.WhatIfShop }) {
  const hoops = shop.hoops.reduce((sum, { count }) => sum + count, 0);
  const facts: readonly (readonly [string | number, string])[] = [
    [shop.machines.length, shop.machines.length === 1 ? "machine" : "machines"],
    [hoops, `hoops of ${shop.hoops.length} kinds`],
    [shop.people.length, shop.people.length === 1 ? "person at the machines" : "people at the machines"],
    [shop.piecesADay.toFixed(1), "pieces come in a day"],
    [shop.pastOrders, shop.pastFrom === null ? "orders" : `orders since ${dates.format(new Date(`${shop.pastFrom}T00:00:00Z`))}`], // prettier-ignore
  ];
  return (
    <section className="sheet what-if-sheet" aria-label="The shop today">
      <dl className="what-if-facts">
        {facts.map(([value, words]) => (
          <div key={words}>
            <dt>{words}</dt>
            <dd>{value}</dd>
          </div>
        ))}
      </dl>
      {shop.pastOrders > 0 && shop.pastOrders < 30 && (
        <p role="note" className="what-if-few">
          Only {shop.pastOrders} orders are on record. What comes is drawn from these few again and again, so
          answers lean on them; they grow better with every week of orders.
        </p>
      )}
    </section>
  );
}

const stateWords: Readonly<Record<whatIf.WhatIfRun["state"], string>> = {
  running: "being played",
  stopped: "stopped",
  done: "answered",
  failed: "failed",
};

function AskedBefore({ runs, run }: { readonly runs: readonly whatIf.WhatIfRun[]; readonly run: string }) {
  return (
    <section className="sheet what-if-sheet" aria-label="Asked before">
      <h2>Asked before</h2>
      <ul className="what-if-runs">
        {runs.map((one) => (
          <li key={one.id}>
            <Link
              to="."
              search={{ run: one.id } as never}
              aria-current={one.id === run ? "true" : undefined}
              resetScroll
            >
              <strong>{one.sentence || one.title}</strong>
              <span className="quiet">
                {stateWords[one.state]}
                {one.state === "running" || one.state === "stopped"
                  ? `, ${one.played} of ${one.toPlay} seasons`
                  : ""}
              </span>
            </Link>
          </li>
        ))}
      </ul>
    </section>
  );
}
