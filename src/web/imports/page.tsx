import { Button, Loader } from "@mantine/core";
import { Link } from "@tanstack/react-router";
import { useState } from "react";
import type { shapes } from "#contract";
import { useAnswer, useChange } from "../asking";
import { ChooseFiles, DropVeil, useDrop } from "../designs/bring-in";
import { useListAddress } from "../parts/list-address";
import { PageHead } from "../parts/page-head";
import { useHabits } from "../parts/quantity";
import { TroubleSheet } from "../parts/states";
import { OneImport } from "./one";
import { number, resultWords, stateWords } from "./words";
import "../designs/back-link.css";
import "./imports.css";

const MAX_BYTES = 20_000_000;
const ACCEPT = ".csv,.txt,.tsv,text/csv,text/plain";

/** Bringing in orders from a CSV file; the import looked at stands in the address (`?id=…`). */
export function ImportPage() {
  const address = useListAddress();
  const id = address.word("id");
  const look = useChange("lookAtFile", { lists: ["imports"], quiet: true });
  const [tooLarge, setTooLarge] = useState<string | null>(null);
  const take = (files: readonly File[]) => {
    const file = files[0];
    if (!file || look.isPending) return;
    setTooLarge(
      file.size > MAX_BYTES
        ? `${file.name} has ${Math.round(file.size / 1e6)} MB; at most 20 MB are taken. Export fewer orders at a time: what is in already is not added twice.`
        : null,
    );
    if (file.size > MAX_BYTES) return;
    look.mutate(
      { query: { name: file.name }, body: file },
      { onSuccess: ({ value }) => address.set({ id: value.id }, "push") },
    );
  };
  const over = useDrop(take);
  return (
    <>
      <Link to="/orders" className="back-link">
        ← Orders
      </Link>
      <PageHead
        title="Import orders"
        lead={id === "" ? "A CSV file from your shop, marketplace or spreadsheet, in any form." : undefined}
        acts={
          id !== "" && (
            <Button size="md" variant="default" onClick={() => address.set({ id: undefined }, "push")}>
              Another file
            </Button>
          )
        }
      />
      <DropVeil shown={over} words="Drop the file to look at it" />
      {look.isPending && (
        <p className="import-busy sheet" role="status">
          <Loader size="sm" color="gray" aria-hidden /> Looking at the file …
        </p>
      )}
      {tooLarge && (
        <div className="import-refused sheet" role="alert">
          <h2>The file is too large</h2>
          <p>{tooLarge}</p>
        </div>
      )}
      {look.isError && (
        <div className="import-refused sheet" role="alert">
          <h2>{look.error.problem.title}</h2>
          <p>{look.error.problem.detail}</p>
          <p>{look.error.problem.advice} Nothing was brought in.</p>
        </div>
      )}
      {id === "" ? (
        <>
          <Begin onFiles={take} busy={look.isPending} />
          <Earlier onOpen={(one) => address.set({ id: one }, "push")} />
        </>
      ) : (
        <OneImport key={id} id={id} />
      )}
    </>
  );
}

const example = [
  ["Order no.", "Article", "Qty", "Name to sew", "Ship to", "Needed by"],
  ["1042", "Beach towel", "1", "Juno", "J. Quill", "04/12/2026"],
  ["1042", "Swim robe", "2", "Bram", "J. Quill", "04/12/2026"],
  ["1043", "Apron", "1", "Maren", "M. Hale", "09/12/2026"],
];

function Begin({
  onFiles,
  busy,
}: {
  readonly onFiles: (files: readonly File[]) => void;
  readonly busy: boolean;
}) {
  return (
    <section className="import-begin sheet" aria-labelledby="begin-head">
      <div>
        <h2 id="begin-head">Drop a file here</h2>
        <p>
          You see it before anything goes in. Letters, columns, dates and decimal commas are recognised; you
          say once which column is what, and files of the same shape are read like that from then on. Dropping
          the same file twice adds nothing twice.
        </p>
        <ChooseFiles
          primary
          words="Choose a file"
          accept={ACCEPT}
          many={false}
          disabled={busy}
          onFiles={onFiles}
        />
      </div>
      <figure className="import-example">
        <figcaption className="quiet">For example: one row for each order line</figcaption>
        <div className="import-scroll" tabIndex={0} role="region" aria-label="Example of a file">
          <table>
            <thead>
              <tr>
                {example[0]!.map((heading) => (
                  <th key={heading} scope="col">
                    {heading}
                  </th>
                ))}
              </tr>
            </thead>
            <tbody>
              {example.slice(1).map((cells) => (
                <tr key={cells.join()}>
                  {cells.map((cell, at) => (
                    <td key={at}>{cell}</td>
                  ))}
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      </figure>
    </section>
  );
}

function Earlier({ onOpen }: { readonly onOpen: (id: string) => void }) {
  const answer = useAnswer("imports", "listImports", {});
  const { timeZone } = useHabits();
  const day = new Intl.DateTimeFormat(undefined, { dateStyle: "medium", timeStyle: "short", timeZone });
  if (answer.isError) return <TroubleSheet trouble={answer.error} onAgain={() => void answer.refetch()} />;
  const items: readonly shapes.ImportRecord[] = answer.data?.items ?? [];
  if (items.length === 0) return null;
  return (
    <section aria-labelledby="earlier-head">
      <h2 id="earlier-head" className="import-title">
        Earlier files
      </h2>
      <ul className="import-earlier sheet">
        {items.map((one) => (
          <li key={one.id}>
            <button type="button" onClick={() => onOpen(one.id)}>
              <b>{one.fileName}</b>
              <span className="quiet">
                {day.format(one.madeAtMs)} · {number.format(one.rows)} rows · {stateWords[one.state]}
              </span>
              <span>{one.state === "looked-at" ? "" : resultWords(one.counts)}</span>
              <span>
                {one.counts.bad > 0 ? <b className="import-bad">{number.format(one.counts.bad)} bad</b> : ""}
              </span>
            </button>
          </li>
        ))}
      </ul>
    </section>
  );
}
