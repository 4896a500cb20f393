import { Button, Checkbox, Skeleton, Switch, TextInput } from "@mantine/core";
import { useDebouncedCallback, useMediaQuery } from "@mantine/hooks";
import type { UseQueryResult } from "@tanstack/react-query";
import { Link } from "@tanstack/react-router";
import { type KeyboardEvent, type ReactNode, useEffect, useId, useRef, useState } from "react";
import type { Trouble } from "../client";
import type { ListAddress } from "./list-address";
import { TroubleSheet } from "./states";
import "./table.css";

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

interface TableProps<T> {
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
  /** Where the list can hold archived rows: a switch shows them. */
  readonly canArchive?: boolean;
  readonly isQuiet?: (row: T) => boolean;
  readonly searchWords?: string;
  /** Filters of the page's own, beside the search box. */
  readonly filters?: ReactNode;
  /** Buttons at the right: add, import … */
  readonly acts?: ReactNode;
  /** Shown when there is nothing at all, no search and no filter. */
  readonly empty: ReactNode;
  /** Names of the page's own filter words in the address, so that "nothing matches" can be told from "nothing yet". */
  readonly filterWords?: readonly string[];
  readonly selection?: Selection;
  /** Draws the rows in a way of the page's own instead of a table; sorting is then one choice. */
  readonly body?: (items: readonly T[]) => ReactNode;
  /** Under the rows: totals. */
  readonly totals?: ReactNode;
}

const phone = "(max-width: 47.99em)";

/** A table for looking things up: search, sorting and paging live in the address; arrows walk the rows, Enter opens. */
export function RecordTable<T>(props: TableProps<T>) {
  const { answer, address, filterWords = [] } = props;
  const onPhone = useMediaQuery(phone, window.matchMedia(phone).matches, { getInitialValueInEffect: false });
  const narrowed =
    address.q !== "" || address.archived !== "no" || filterWords.some((word) => address.word(word) !== "");
  if (answer.isError && !answer.data)
    return <TroubleSheet trouble={answer.error} onAgain={() => void answer.refetch()} />;
  const nothing = answer.data?.total === 0;
  if (nothing && !narrowed)
    return (
      <>
        {props.canArchive && <div className="table-tools">{<ArchivedSwitch address={address} />}</div>}
        {props.empty}
      </>
    );
  return (
    <section
      aria-label={props.label}
      className="table-room"
      aria-busy={answer.isPending || answer.isPlaceholderData}
    >
      <Tools {...props} />
      {props.selection && props.selection.chosen.size > 0 && <ChosenBar selection={props.selection} />}
      {nothing ? (
        <NothingMatches address={address} filterWords={filterWords} />
      ) : props.body ? (
        <OwnBody {...props} />
      ) : onPhone ? (
        <Cards {...props} />
      ) : (
        <Sheet {...props} />
      )}
      <Foot {...props} />
    </section>
  );
}

function ArchivedSwitch({ address }: { readonly address: ListAddress }) {
  return (
    <Switch
      className="table-archived"
      size="md"
      label="Show archived"
      checked={address.archived !== "no"}
      onChange={(event) => address.set({ archived: event.currentTarget.checked ? "all" : undefined })}
    />
  );
}

function SearchBox({ address, words }: { readonly address: ListAddress; readonly words: string }) {
  const [typed, setTyped] = useState(address.q);
  const [seen, setSeen] = useState(address.q);
  const [sent, setSent] = useState<string | null>(null);
  const tell = useDebouncedCallback((q: string) => {
    setSent(q);
    address.set({ q });
  }, 250);
  // Going back in the browser changes the address under the box; what is typed follows, unless it came from here.
  if (address.q !== seen) {
    setSeen(address.q);
    setSent(null);
    if (address.q !== sent) setTyped(address.q);
  }
  return (
    <TextInput
      type="search"
      size="md"
      className="table-search"
      placeholder={words}
      aria-label={words}
      value={typed}
      onChange={(event) => {
        setTyped(event.currentTarget.value);
        tell(event.currentTarget.value);
      }}
    />
  );
}

function Tools<T>({ address, canArchive, filters, acts, searchWords = "Search", label }: TableProps<T>) {
  return (
    <div className="table-tools" role="search" aria-label={`Search ${label.toLowerCase()}`}>
      <SearchBox address={address} words={searchWords} />
      {filters}
      {canArchive && <ArchivedSwitch address={address} />}
      <div className="table-acts">{acts}</div>
    </div>
  );
}

function ChosenBar({ selection }: { readonly selection: Selection }) {
  return (
    <div className="table-chosen" role="status">
      <strong>{selection.chosen.size} chosen</strong>
      {selection.acts}
      <Button variant="subtle" size="md" onClick={() => selection.onChange(new Set())}>
        Choose none
      </Button>
    </div>
  );
}

function NothingMatches({
  address,
  filterWords,
}: {
  readonly address: ListAddress;
  readonly filterWords: readonly string[];
}) {
  return (
    <div className="table-nothing sheet" role="status">
      <p>{address.q ? `Nothing matches “${address.q}”.` : "Nothing matches these filters."}</p>
      <Button
        size="md"
        variant="default"
        onClick={() =>
          address.set({
            q: undefined,
            archived: undefined,
            ...Object.fromEntries(filterWords.map((word) => [word, undefined])),
          })
        }
      >
        Show all
      </Button>
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
  readonly props: TableProps<T>;
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

function Sheet<T>(props: TableProps<T>) {
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

function Cards<T>(props: TableProps<T>) {
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
    <>
      <SortChoice {...props} />
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
    </>
  );
}

function OwnBody<T>(props: TableProps<T>) {
  if (props.answer.isPending) return <Skeleton height={240} radius="md" />;
  return (
    <>
      <SortChoice {...props} />
      {props.body!(props.answer.data?.items ?? [])}
    </>
  );
}

/** On a phone there are no heads to press: one choice says the sorting. */
function SortChoice<T>({ columns, address }: TableProps<T>) {
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

function Foot<T>({ answer, address, totals, label }: TableProps<T>) {
  const total = answer.data?.total ?? 0;
  const shown = answer.data?.items.length ?? 0;
  const past = total > 0 && shown === 0 && address.offset > 0;
  useEffect(() => {
    if (past) address.set({ offset: undefined });
  }, [past, address]);
  if (!answer.data || total === 0) return null;
  const number = new Intl.NumberFormat();
  const last = address.offset + shown;
  const go = (offset: number) => {
    address.set({ offset: offset > 0 ? String(offset) : undefined }, "push");
    window.scrollTo({ top: 0 });
  };
  return (
    <div className="table-foot">
      <p role="status" className="quiet">
        {total > shown
          ? `${number.format(address.offset + 1)}–${number.format(last)} of ${number.format(total)}`
          : `${number.format(total)} in all`}
        {answer.isError && " · could not be read anew, this may be old"}
      </p>
      {totals}
      {total > shown && (
        <nav aria-label={`Pages of ${label.toLowerCase()}`} className="table-pages">
          <Button
            size="md"
            variant="default"
            disabled={address.offset === 0}
            onClick={() => go(Math.max(0, address.offset - address.limit))}
          >
            Earlier
          </Button>
          <Button
            size="md"
            variant="default"
            disabled={last >= total}
            onClick={() => go(address.offset + address.limit)}
          >
            Further
          </Button>
        </nav>
      )}
    </div>
  );
}
