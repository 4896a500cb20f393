import { Link } from "@tanstack/react-router";
import { type ReactNode, useEffect } from "react";
import "./page-head.css";

/** A page's heading, what it is for in a line, and what can be done with the whole of it. */
export function PageHead({
  title,
  lead,
  acts,
  leaves,
}: {
  readonly title: string;
  readonly lead?: ReactNode;
  readonly acts?: ReactNode;
  /** The leaves of the page, in its head where they fit. */
  readonly leaves?: ReactNode;
}) {
  useEffect(() => {
    document.title = `${title} · Spoolwright`;
  }, [title]);
  return (
    <header className="page-head">
      <div>
        <h1>{title}</h1>
        {lead && <p className="quiet">{lead}</p>}
      </div>
      {leaves}
      {acts && <div className="page-acts">{acts}</div>}
    </header>
  );
}

export interface Leaf {
  /** The word in the address; "" is the first leaf. */
  readonly word: string;
  readonly title: string;
}

/** The leaves of a page, as links: each has an address of its own (`?leaf=…`). */
export function Leaves({ label, leaves }: { readonly label: string; readonly leaves: readonly Leaf[] }) {
  return (
    <nav aria-label={label} className="leaves">
      {leaves.map(({ word, title }) => (
        <Link
          key={word}
          to="."
          search={{ leaf: word || undefined } as never}
          className="leaf"
          activeOptions={{ explicitUndefined: true }}
          activeProps={{ "aria-current": "page" }}
          resetScroll={false}
        >
          {title}
        </Link>
      ))}
    </nav>
  );
}
