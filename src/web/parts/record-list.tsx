import { Button } from "@mantine/core";
import type { UseQueryResult } from "@tanstack/react-query";
import { type ReactNode, useMemo } from "react";
import type { Noun, RowName } from "#contract";
import { useAnswer } from "../asking";
import type { Trouble } from "../client";
import { sortedBy, useAll } from "./all-of";
import { bound, type Labels } from "./bound";
import type { FieldWords } from "./conflict";
import { type Choice, FilterChoice } from "./form";
import { type ListAddress, useListAddress } from "./list-address";
import { RecordDrawer } from "./record-drawer";
import type { BodyOf, RecordForm, RecordOf } from "./record-form";
import { Empty } from "./states";
import { type Column, RecordTable } from "./table";

/** A page that lists one noun of the studio: searched, sorted, added to, changed at its side, archived, undone. */

interface Listed<Row> {
  readonly address: ListAddress;
  readonly answer: UseQueryResult<{ readonly items: readonly Row[]; readonly total: number }, Trouble>;
}

/** A list that the program searches, sorts and pages. */
export function useListed<N extends Noun>(noun: N, sort: string): Listed<RecordOf<N>> {
  const address = useListAddress({ sort });
  const given = { query: address.query } as never;
  const answer = useAnswer(noun, `${noun}.list` as RowName, given, { keep: true });
  return { address, answer: answer as unknown as Listed<RecordOf<N>>["answer"] };
}

/**
 * A list that is fetched whole and looked through here, for filters of the page's own and for finding while one
 * types. `find` gives the rows that the address asks for, from the records sorted as it says; keep it outside the
 * component, for the rows are found again whenever it changes.
 */
export function useListedHere<N extends Noun & ("products" | "stock" | "threads"), Row>(
  noun: N,
  sort: string,
  find: (records: readonly RecordOf<N>[], address: ListAddress) => readonly Row[],
): Listed<Row> {
  const address = useListAddress({ sort });
  const all = useAll(noun, "all");
  const data = useMemo(() => {
    if (!all.data) return undefined;
    const kept = all.data.filter((record) => address.archived !== "no" || !record.archived);
    const rows = find(sortedBy(kept, address.sort) as RecordOf<N>[], address);
    return { items: rows.slice(address.offset, address.offset + address.limit), total: rows.length };
  }, [all.data, address, find]);
  return { address, answer: { ...all, data } as unknown as Listed<Row>["answer"] };
}

/** A record's code and name in its row, and whether it is archived. */
export function Named({
  code,
  name,
  archived,
  children,
}: {
  readonly code?: string;
  readonly name: string;
  readonly archived: boolean;
  readonly children?: ReactNode;
}) {
  return (
    <span>
      {code === undefined ? (
        <b>{name}</b>
      ) : (
        <>
          <b>{code}</b> {name}
        </>
      )}
      {archived && <span className="tag">archived</span>}
      {children}
    </span>
  );
}

/** What a form of the page is given: the form, and its fields by key. */
export interface FormOf<N extends Noun> {
  readonly form: RecordForm<BodyOf<N>>;
  readonly field: ReturnType<typeof bound<BodyOf<N>>>;
}

export interface ListDescription<N extends Noun, Row> {
  readonly noun: N;
  /** As a heading would say it: "Hoops". */
  readonly label: string;
  /** One of them, after "Add": "hoop". */
  readonly one: string;
  readonly a?: "a" | "an";
  readonly columns: readonly Column<Row>[];
  /** The record of a row, where the row carries more. */
  readonly recordOf: (row: Row) => RecordOf<N>;
  /** What a row is called for those who hear the page: "N11 navy". */
  readonly rowWords: (row: Row) => string;
  readonly searchWords?: string;
  /** Choices beside the search, each kept under its word in the address; the first holds while it is absent. */
  readonly filters?: readonly {
    readonly word: string;
    readonly label: string;
    readonly choices: readonly Choice[];
  }[];
  /** Draws the rows in a way of the page's own; `open` opens one beside the list. */
  readonly body?: (rows: readonly Row[], open: (id: string) => void) => ReactNode;
  /** What the page teaches while there is nothing in it. */
  readonly empty: {
    readonly title: string;
    readonly first?: string;
    readonly words: ReactNode;
    readonly picture?: ReactNode;
  };
  readonly blank: BodyOf<N>;
  /** What a record is called in notices: "Thread N11 navy". */
  readonly words: (body: BodyOf<N>) => string;
  /** Labels of the fields by key. */
  readonly labels: Labels;
  /** Words for paths and values that the labels do not cover. */
  readonly fieldWords?: Partial<FieldWords>;
  readonly wide?: true;
  readonly children: (given: FormOf<N>) => ReactNode;
}

/** The list and, beside it, the form of the record whose id stands in the address. */
export function RecordList<N extends Noun, Row>({
  address,
  answer,
  ...page
}: ListDescription<N, Row> & Listed<Row>) {
  const { noun, one, recordOf, filters = [], empty } = page;
  const open = (id: string) => address.set({ edit: id }, "push");
  const idOf = (row: Row) => recordOf(row).id;
  const add = (words: string) => (
    <Button size="md" onClick={() => open("new")}>
      {words}
    </Button>
  );
  return (
    <>
      <RecordTable
        label={page.label}
        columns={page.columns}
        answer={answer}
        address={address}
        rowId={idOf}
        rowWords={page.rowWords}
        isQuiet={(row) => recordOf(row).archived}
        onOpen={(row) => open(idOf(row))}
        canArchive
        searchWords={page.searchWords ?? `Search ${page.label.toLowerCase()}`}
        filterWords={filters.map(({ word }) => word)}
        filters={filters.map(({ word, label, choices }) => (
          <FilterChoice
            key={word}
            label={label}
            value={address.word(word)}
            choices={choices}
            onChange={(value) => address.set({ [word]: value })}
          />
        ))}
        acts={add(`Add ${page.a ?? "a"} ${one}`)}
        body={page.body && ((rows) => page.body!(rows, open))}
        empty={
          <Empty title={empty.title} picture={empty.picture} action={add(`Add the first ${one}`)}>
            <p>{empty.words}</p>
          </Empty>
        }
      />
      <RecordDrawer
        noun={noun}
        id={address.word("edit")}
        onClose={() => address.set({ edit: undefined })}
        one={one}
        a={page.a}
        blank={page.blank}
        words={page.words}
        wide={page.wide}
        fieldWords={{ label: (path) => page.labels[path] ?? path, ...page.fieldWords }}
      >
        {(form) => page.children({ form, field: bound(form, page.labels) })}
      </RecordDrawer>
    </>
  );
}
