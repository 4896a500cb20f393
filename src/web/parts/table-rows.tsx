import { Checkbox, Skeleton } from "@mantine/core";
import type { UseQueryResult } from "@tanstack/react-query";
import { Link } from "@tanstack/react-router";
import { type KeyboardEvent, type ReactNode, useId, useRef, useState } from "react";
import type { Trouble } from "../client";
import type { ListAddress } from "./list-address";

/** The rows of a list: a sheet with heads to sort by where there is room, cards on a phone. */

export interface Column<T> {
  /** The field's name as the program sorts by it. */
  readonly id: string;
  readonly title: string;
  readonly cell: (row: T) => ReactNode;
  readonly sortable?: boolean;
  /** Numbers stand to the right, under one another. */
  readonly numeric?: boolean;
  /** Left out on narrower screens; a phone's card shows it unless `onCard` says otherwise. */
  readonly from?: "tablet" | "desktop";
  /** On a phone's card: beside its title word (usual), alone on a line, or not at all. */
  readonly onCard?: "line" | "alone" | "hidden";
  readonly width?: string;
}

export interface Selection {
  readonly chosen: ReadonlySet<string>;
  readonly onChange: (chosen: ReadonlySet<string>) => void;
  /** What can be done with the chosen rows; shown when there are any. */
  readonly acts: ReactNode;
}

export interface RowsProps<T> {
  /** What is listed, as a heading would say it: "Threads". */
  readonly label: string;
  /** The first column carries the row's name and opens it. */
  readonly columns: readonly Column<T>[];
  readonly answer: UseQueryResult<{ readonly items: readonly T[]; readonly total: number }, Trouble>;
  readonly address: ListAddress;
  readonly rowId: (row: T) => string;
  /** What opening the row is called for those who hear the page: "N11 navy". */
  readonly rowWords: (row: T) => string;
  /** Opens a row in place … */
  readonly onOpen?: (row: T) => void;
  /** … or goes to a page of its own. */
  readonly link?: (row: T) => { readonly to: string; readonly params?: Readonly<Record<string, string>> };
  readonly isQuiet?: (row: T) => boolean;
  readonly selection?: Selection;
}

/** Rows under one another; arrows walk them, Enter opens. */
export function Sheet<T>(props: RowsProps<T>) {
  const { columns, answer, address, rowId, rowWords, selection, label, isQuiet } = props;
  const [at, setAt] = useState(0);
  const body = useRef<HTMLTableSectionElement>(null);
  const items = answer.data?.items ?? [];
  const current = Math.min(at, Math.max(0, items.length - 1));
  const walk = (event: KeyboardEvent) => {
    const steps: Record<string, number> = {
      ArrowDown: current + 1,
      ArrowUp: current - 1,
      Home: 0,
      End: items.length - 1,
      PageDown: current + 10,
      PageUp: current - 10,
    };
    const wanted = steps[event.key];
    if (
      wanted === undefined ||
      (event.target instanceof HTMLElement && event.target.closest("input, select, textarea"))
    )
      return;
    event.preventDefault();
    const next = Math.min(items.length - 1, Math.max(0, wanted));
    setAt(next);
    body.current?.querySelectorAll<HTMLElement>(".table-open")[next]?.focus();
  };
  return (
    <div className="table-sheet sheet">
      <table className="table" aria-label={label}>
        <thead>
          <tr>
            {selection && (
              <th scope="col" className="table-head table-choose">
                <ChooseAll rows={items} rowId={rowId} selection={selection} />
              </th>
            )}
            {columns.map((column) => (
              <SortHead key={column.id} column={column} address={address} />
            ))}
          </tr>
        </thead>
        <tbody ref={body} onKeyDown={walk}>
          {answer.isPending
            ? Array.from({ length: 6 }, (_, row) => (
                <tr key={row} aria-hidden>
                  {selection && <td />}
                  {columns.map((column) => (
                    <td key={column.id} className={column.from && `from-${column.from}`}>
                      <Skeleton height={14} my={15} radius="xl" />
                    </td>
                  ))}
                </tr>
              ))
            : items.map((row, index) => (
                <tr
                  key={rowId(row)}
                  className={isQuiet?.(row) ? "is-quiet" : undefined}
                  data-chosen={selection?.chosen.has(rowId(row)) || undefined}
                >
                  {selection && (
                    <td className="table-choose">
                      <ChooseOne id={rowId(row)} words={rowWords(row)} selection={selection} />
                    </td>
                  )}
                  {columns.map((column, place) => (
                    <td
                      key={column.id}
                      className={
                        [column.numeric && "is-numeric", column.from && `from-${column.from}`]
                          .filter(Boolean)
                          .join(" ") || undefined
                      }
                    >
                      {place === 0 ? (
                        <Opener
                          row={row}
                          props={props}
                          tabIndex={index === current ? 0 : -1}
                          onFocus={() => setAt(index)}
                        >
                          {column.cell(row)}
                        </Opener>
                      ) : (
                        column.cell(row)
                      )}
                    </td>
                  ))}
                </tr>
              ))}
        </tbody>
      </table>
    </div>
  );
}

/** A card for each row. */
export function Cards<T>(props: RowsProps<T>) {
  const { columns, answer, rowId, rowWords, selection, label, isQuiet } = props;
  const [first, ...others] = columns;
  if (answer.isPending)
    return (
      <div className="cards" aria-hidden>
        {Array.from({ length: 4 }, (_, card) => (
          <Skeleton key={card} height={96} radius="md" />
        ))}
      </div>
    );
  return (
    <ul className="cards" aria-label={label}>
      {answer.data?.items.map((row) => (
        <li key={rowId(row)} className={`card sheet${isQuiet?.(row) ? " is-quiet" : ""}`}>
          <div className="card-head">
            {selection && <ChooseOne id={rowId(row)} words={rowWords(row)} selection={selection} />}
            <Opener row={row} props={props}>
              {first!.cell(row)}
            </Opener>
          </div>
          <dl className="card-lines">
            {others
              .filter((column) => column.onCard !== "hidden")
              .map((column) => (
                <div key={column.id} className={column.onCard === "alone" ? "is-alone" : undefined}>
                  <dt>{column.title}</dt>
                  <dd>{column.cell(row)}</dd>
                </div>
              ))}
          </dl>
        </li>
      ))}
    </ul>
  );
}

/** On a phone there are no heads to press: one choice says the sorting. */
export function SortChoice<T>({ columns, address }: Pick<RowsProps<T>, "columns" | "address">) {
  const id = useId();
  const sortable = columns.filter((column) => column.sortable);
  if (sortable.length === 0) return null;
  return (
    <div className="card-sort">
      <label htmlFor={id}>Sort by</label>
      <select
        id={id}
        className="plain-select"
        value={address.sort}
        onChange={(event) => address.set({ sort: event.currentTarget.value })}
      >
        {!sortable.some((column) => address.sort.replace(/^-/, "") === column.id) && (
          <option value={address.sort}>usual order</option>
        )}
        {sortable.flatMap((column) => [
          <option key={column.id} value={column.id}>
            {column.title}, rising
          </option>,
          <option key={`-${column.id}`} value={`-${column.id}`}>
            {column.title}, falling
          </option>,
        ])}
      </select>
    </div>
  );
}

function nextSort(column: string, sort: string): string {
  return sort === column ? `-${column}` : column;
}

function SortHead<T>({ column, address }: { readonly column: Column<T>; readonly address: ListAddress }) {
  const up = address.sort === column.id;
  const down = address.sort === `-${column.id}`;
  const classes = ["table-head", column.numeric && "is-numeric", column.from && `from-${column.from}`]
    .filter(Boolean)
    .join(" ");
  if (column.sortable !== true)
    return (
      <th scope="col" className={classes} style={{ width: column.width }}>
        {column.title}
      </th>
    );
  return (
    <th
      scope="col"
      className={classes}
      style={{ width: column.width }}
      aria-sort={up ? "ascending" : down ? "descending" : undefined}
    >
      <button
        type="button"
        className="table-sort"
        onClick={() => address.set({ sort: nextSort(column.id, address.sort) })}
      >
        {column.title}
        <svg className="table-sort-mark" viewBox="0 0 10 14" width="9" height="13" aria-hidden>
          <path d="M5 1 9 6H1z" opacity={up ? 1 : down ? 0.15 : 0.35} />
          <path d="M5 13 1 8h8z" opacity={down ? 1 : up ? 0.15 : 0.35} />
        </svg>
      </button>
    </th>
  );
}

/** The row's name: a link or a button, whichever opening it means. */
function Opener<T>({
  row,
  props,
  children,
  tabIndex,
  onFocus,
}: {
  readonly row: T;
  readonly props: RowsProps<T>;
  readonly children: ReactNode;
  readonly tabIndex?: number;
  readonly onFocus?: () => void;
}) {
  const { link, onOpen, rowWords } = props;
  const common = { className: "table-open", tabIndex, onFocus, "aria-label": rowWords(row) };
  if (link) {
    const { to, params } = link(row);
    return (
      <Link to={to as never} params={params as never} {...common}>
        {children}
      </Link>
    );
  }
  if (!onOpen) return <span className="table-named">{children}</span>;
  return (
    <button type="button" {...common} onClick={() => onOpen(row)}>
      {children}
    </button>
  );
}

function ChooseAll<T>({
  rows,
  rowId,
  selection,
}: {
  readonly rows: readonly T[];
  readonly rowId: (row: T) => string;
  readonly selection: Selection;
}) {
  const here = rows.map(rowId);
  const count = here.filter((id) => selection.chosen.has(id)).length;
  const toggle = () => {
    const next = new Set(selection.chosen);
    for (const id of here)
      if (count === here.length) next.delete(id);
      else next.add(id);
    selection.onChange(next);
  };
  return (
    <Checkbox
      size="md"
      aria-label="Choose all rows shown"
      checked={count > 0 && count === here.length}
      indeterminate={count > 0 && count < here.length}
      onChange={toggle}
    />
  );
}

function ChooseOne({
  id,
  words,
  selection,
}: {
  readonly id: string;
  readonly words: string;
  readonly selection: Selection;
}) {
  const toggle = () => {
    const next = new Set(selection.chosen);
    if (!next.delete(id)) next.add(id);
    selection.onChange(next);
  };
  return (
    <Checkbox size="md" aria-label={`Choose ${words}`} checked={selection.chosen.has(id)} onChange={toggle} />
  );
}
