import { Button, Skeleton, Switch, TextInput } from "@mantine/core";
import { useDebouncedCallback, useMediaQuery } from "@mantine/hooks";
import { type ReactNode, useEffect, useState } from "react";
import type { ListAddress } from "./list-address";
import { TroubleSheet } from "./states";
import { Cards, type RowsProps, type Selection, Sheet, SortChoice } from "./table-rows";
import "./table.css";

export type { Column } from "./table-rows";

interface TableProps<T> extends RowsProps<T> {
  /** Where the list can hold archived rows: a switch shows them. */
  readonly canArchive?: boolean;
  readonly searchWords?: string;
  /** Filters of the page's own, beside the search box. */
  readonly filters?: ReactNode;
  /** Buttons at the right: add, import … */
  readonly acts?: ReactNode;
  /** Shown when there is nothing at all, no search and no filter. */
  readonly empty: ReactNode;
  /** Names of the page's own filter words in the address, so that "nothing matches" can be told from "nothing yet". */
  readonly filterWords?: readonly string[];
  /** Draws the rows in a way of the page's own instead of a table; sorting is then one choice. */
  readonly body?: ((items: readonly T[]) => ReactNode) | undefined;
  /** The page's filters say the sorting: no choice of it where there are no heads to press. */
  readonly ownSorting?: true;
  /** In place of such rows while they are being fetched. */
  readonly waiting?: ReactNode;
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
      <Tools {...props} sorting={(onPhone || props.body !== undefined) && props.ownSorting !== true} />
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

function OwnBody<T>(props: TableProps<T>) {
  if (props.answer.isPending) return props.waiting ?? <Skeleton height={240} radius="md" />;
  return props.body!(props.answer.data?.items ?? []);
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

function Tools<T>(props: TableProps<T> & { readonly sorting: boolean }) {
  const { address, canArchive, filters, acts, searchWords = "Search", label } = props;
  return (
    <div className="table-tools" role="search" aria-label={`Search ${label.toLowerCase()}`}>
      <SearchBox address={address} words={searchWords} />
      {filters}
      {props.sorting && <SortChoice {...props} />}
      {canArchive && <ArchivedSwitch address={address} />}
      {acts && <div className="table-acts">{acts}</div>}
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
