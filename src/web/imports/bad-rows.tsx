import { Button, TextInput } from "@mantine/core";
import { useQueryClient } from "@tanstack/react-query";
import { type FormEvent, useState } from "react";
import type { shapes } from "#contract";
import { useAnswer, useChange } from "../asking";
import { addressOf } from "../client";
import { number } from "./words";

const PORTION = 25;

interface BadRowsProps {
  readonly one: shapes.ImportRecord;
  readonly onImport: (next: shapes.ImportRecord) => void;
}

/** Rows that could not go in: line, column, reason; mended in place or taken out as a file. Nothing is lost. */
export function BadRows({ one, onImport }: BadRowsProps) {
  const [offset, setOffset] = useState(0);
  const answer = useAnswer(
    "imports",
    "listBadRows",
    { params: { id: one.id }, query: { offset, limit: PORTION } },
    { keep: true },
  );
  const items = answer.data?.items ?? [];
  const total = answer.data?.total ?? one.counts.bad;
  if (answer.data && items.length === 0 && offset > 0) setOffset(0);
  return (
    <section className="sheet import-card" aria-labelledby="bad-head">
      <div className="import-bad-head">
        <h2 id="bad-head">
          {number.format(total)} {total === 1 ? "row" : "rows"} to mend
        </h2>
        <Button
          component="a"
          size="md"
          variant="default"
          href={addressOf("badRowsFile", { id: one.id })}
          download
        >
          Bad rows as CSV
        </Button>
      </div>
      <p className="quiet">
        Change what is wrong and put the row in, or mend them all in a spreadsheet and drop that file. They
        stay listed here until they are in.
      </p>
      <ul className="bad-rows">
        {items.map((row) => (
          <BadRow key={row.line} one={one} row={row} onImport={onImport} />
        ))}
      </ul>
      {total > PORTION && (
        <nav className="table-foot" aria-label="Pages of bad rows">
          <p className="quiet" role="status">
            {number.format(offset + 1)}–{number.format(offset + items.length)} of {number.format(total)}
          </p>
          <div className="table-pages">
            <Button
              size="md"
              variant="default"
              disabled={offset === 0}
              onClick={() => setOffset(Math.max(0, offset - PORTION))}
            >
              Earlier
            </Button>
            <Button
              size="md"
              variant="default"
              disabled={offset + items.length >= total}
              onClick={() => setOffset(offset + PORTION)}
            >
              Further
            </Button>
          </div>
        </nav>
      )}
    </section>
  );
}

function BadRow({
  one,
  row,
  onImport,
}: {
  readonly one: shapes.ImportRecord;
  readonly row: shapes.BadRow;
  readonly onImport: (next: shapes.ImportRecord) => void;
}) {
  const [cells, setCells] = useState(row.cells);
  const [reasons, setReasons] = useState(row.reasons);
  const queries = useQueryClient();
  const mend = useChange("mendRow", {
    lists: [],
    done: ({ mended }) => (mended ? `Line ${row.line} is in.` : `Line ${row.line} is still not right.`),
  });
  const columns = Math.max(one.headings.length, cells.length);
  // What the reading uses and what is wrong; columns left out stay as they are.
  const shown = Array.from({ length: columns }, (_, at) => at).filter(
    (at) => one.reading.columns[at] || reasons.some((reason) => reason.column === at),
  );
  const loose = reasons.filter((reason) => reason.column === null || !shown.includes(reason.column));
  const save = (event: FormEvent) => {
    event.preventDefault();
    mend.mutate(
      { params: { id: one.id, line: String(row.line) }, body: { cells } },
      {
        onSuccess: ({ value }) => {
          if (value.row) {
            setReasons(value.row.reasons);
            return;
          }
          onImport(value.import);
          for (const list of ["imports", "orders", "pieces"])
            void queries.invalidateQueries({ queryKey: [list] });
        },
      },
    );
  };
  return (
    <li>
      <form className="bad-row" onSubmit={save} aria-label={`Line ${row.line}`}>
        <div className="bad-row-head">
          <b>Line {row.line}</b>
          <span>
            {reasons.map((reason, index) => (
              <span key={index} className="bad-row-reason">
                {reason.heading && <b>{reason.heading}: </b>}
                {reason.message}
              </span>
            ))}
          </span>
        </div>
        <div className="bad-row-cells">
          {shown.map((at) => (
            <TextInput
              key={at}
              size="md"
              label={one.headings[at] ?? `Column ${at + 1}`}
              value={cells[at] ?? ""}
              error={reasons.some((reason) => reason.column === at)}
              onChange={(event) => {
                const typed = event.currentTarget.value;
                setCells((old) =>
                  Array.from({ length: Math.max(old.length, at + 1) }, (_, index) =>
                    index === at ? typed : (old[index] ?? ""),
                  ),
                );
              }}
            />
          ))}
          <Button
            size="md"
            type="submit"
            variant="default"
            loading={mend.isPending}
            aria-label={`Put line ${row.line} in`}
          >
            Put it in
          </Button>
        </div>
        {loose.length > 0 && shown.length === 0 && (
          <p className="quiet">The row as it stands: {cells.join(" · ")}</p>
        )}
      </form>
    </li>
  );
}
