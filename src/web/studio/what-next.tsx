import { Link } from "@tanstack/react-router";
import type { RowName } from "#contract";
import { useAnswer } from "../asking";

/** How many there are of a list: one row is asked for, its total read. */
function useCount(list: string, name: RowName): number | undefined {
  const answer = useAnswer(list, name, { query: { limit: 1, archived: "all" } } as never) as {
    readonly data?: { readonly total: number };
  };
  return answer.data?.total;
}

interface Step {
  readonly words: string;
  readonly why: string;
  readonly done: boolean;
  readonly to: string;
  readonly leaf?: string;
}

/** What to describe next, in the order in which one thing leans on another, with what is done ticked. Gone once all is there. */
export function WhatNext() {
  const status = useAnswer("status", "status", {});
  const studio = useAnswer("studio", "readStudio", {});
  const people = useCount("people", "people.list");
  const hoops = useCount("hoops", "hoops.list");
  const threads = useCount("threads", "threads.list");
  const machines = useCount("machines", "machines.list");
  const products = useCount("products", "products.list");
  const designs = useCount("designs", "listDesigns");
  const orders = useAnswer("orders", "listOrders", { query: { limit: 1 } } as never) as {
    readonly data?: { readonly total: number };
  };
  const counts = [people, hoops, threads, machines, products, designs, orders.data?.total];
  // Until every answer is there nothing is shown: a step would be called next that is done.
  if (status.data?.demo !== false || !studio.data || !counts.every((count) => count !== undefined))
    return null;
  const steps: readonly Step[] = [
    {
      words: "Hours",
      why: "when you are open, and closed days",
      done: studio.data.version > 1,
      to: "/studio",
      leaf: "hours",
    },
    {
      words: "People",
      why: "who works, when, and what they can do",
      done: people !== 0,
      to: "/studio",
      leaf: "people",
    },
    {
      words: "Hoops",
      why: "sizes, and how many of each",
      done: hoops !== 0,
      to: "/machines",
      leaf: "hoops",
    },
    { words: "Threads", why: "the cones on your shelf", done: threads !== 0, to: "/threads" },
    {
      words: "Machines",
      why: "needles, speed, field, hoops they take",
      done: machines !== 0,
      to: "/machines",
    },
    {
      words: "Products",
      why: "what you sell, and where it is sewn",
      done: products !== 0,
      to: "/products",
    },
    { words: "Designs", why: "drop your machine files", done: designs !== 0, to: "/designs" },
    { words: "Orders", why: "from a table, or typed", done: orders.data?.total !== 0, to: "/orders" },
  ];
  if (steps.every((step) => step.done)) return null;
  const next = steps.findIndex((step) => !step.done);
  return (
    <section className="what-next sheet" aria-labelledby="what-next">
      <h2 id="what-next">
        What comes next{" "}
        <span className="quiet">
          {steps.filter((step) => step.done).length} of {steps.length} done
        </span>
      </h2>
      <ol>
        {steps.map((step, index) => (
          <li key={step.words}>
            <Link
              to={step.to as "/"}
              search={(step.leaf ? { leaf: step.leaf } : {}) as never}
              className="what-next-step"
              data-next={index === next || undefined}
            >
              <Tick done={step.done} />
              <span>
                <b>
                  {step.words}
                  {step.done && <span className="visually-hidden">, done</span>}
                </b>
                <span className="quiet">{index === next ? `Next: ${step.why}` : step.why}</span>
              </span>
            </Link>
          </li>
        ))}
      </ol>
    </section>
  );
}

/** A knot in the thread where something is done, an open loop where not. */
const Tick = ({ done }: { readonly done: boolean }) => (
  <svg viewBox="0 0 24 24" width="24" height="24" aria-hidden className={done ? "tick tick-done" : "tick"}>
    <circle cx="12" cy="12" r="10" />
    {done && <path d="m7 12.5 3.4 3.4L17.5 8.5" />}
  </svg>
);
