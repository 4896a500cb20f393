import { Button, Progress } from "@mantine/core";
import { useQueryClient } from "@tanstack/react-query";
import { Link } from "@tanstack/react-router";
import { useEffect } from "react";
import type { shapes } from "#contract";
import { useAnswer, useChange } from "../asking";
import { hear } from "../live";
import { TroubleSheet, Waiting } from "../parts/states";
import "../parts/table.css";
import { BadRows } from "./bad-rows";
import { ReadingChoices, SampleTable } from "./reading";
import { number, resultWords, stillMissing } from "./words";

const POLL_MS = 2000;

/** One file: how it is read, what came of it, what could not go in. */
export function OneImport({ id }: { readonly id: string }) {
  const queries = useQueryClient();
  const answer = useAnswer("imports", "readImport", { params: { id } }, { keep: true });
  const put = (next: shapes.ImportRecord) =>
    queries.setQueryData(["imports", "readImport", { id }, null], next);
  const running = answer.data?.state === "running";
  const { refetch } = answer;
  useEffect(
    () =>
      hear((event) => {
        if (event.topic !== "import" || event.import.id !== id) return;
        queries.setQueryData(["imports", "readImport", { id }, null], event.import);
        if (event.import.state !== "running")
          for (const list of ["imports", "orders", "pieces"])
            void queries.invalidateQueries({ queryKey: [list] });
      }),
    [id, queries],
  );
  useEffect(() => {
    // Should the stream of events be lost, progress is still asked for.
    if (!running) return;
    const asking = window.setInterval(() => void refetch(), POLL_MS);
    return () => window.clearInterval(asking);
  }, [running, refetch]);
  const change = useChange("changeReading", { lists: [] });
  const run = useChange("runImport", { lists: [] });
  const cancel = useChange("cancelImport", { lists: ["imports", "orders", "pieces"] });
  if (answer.isError && !answer.data)
    return <TroubleSheet trouble={answer.error} onAgain={() => void answer.refetch()} />;
  if (!answer.data) return <Waiting words="Fetching the file" />;
  const one = answer.data;
  const reading = change.isPending && change.variables ? change.variables.body : one.reading;
  const read = (patch: Partial<shapes.ImportReading>) =>
    change.mutate(
      { params: { id }, body: { ...one.reading, ...patch } },
      {
        onSuccess: ({ value }) => {
          put(value);
          void queries.invalidateQueries({ queryKey: ["imports", "listBadRows"] });
        },
      },
    );
  const missing = stillMissing(one.reading);
  const good = Math.max(0, one.rows - one.counts.bad);
  return (
    <div className="import-one">
      <section className="sheet import-card" aria-label="The file">
        <h2>{one.fileName}</h2>
        <Standing one={one} good={good} missing={missing} />
        {one.state === "running" ? (
          <div className="import-acts">
            <Button
              size="md"
              variant="default"
              loading={cancel.isPending}
              onClick={() => cancel.mutate({ params: { id } }, { onSuccess: ({ value }) => put(value) })}
            >
              Stop
            </Button>
            <span className="quiet">What is in stays in.</span>
          </div>
        ) : (
          <div className="import-acts">
            {one.state !== "looked-at" && (
              <Button size="md" component={Link} to="/orders">
                Go to the orders
              </Button>
            )}
            <Button
              size="md"
              variant={one.state === "looked-at" ? "filled" : "default"}
              loading={run.isPending}
              disabled={missing.length > 0 || change.isPending || (one.state === "looked-at" && good === 0)}
              onClick={() => run.mutate({ params: { id } }, { onSuccess: ({ value }) => put(value) })}
            >
              {one.state !== "looked-at"
                ? "Bring it in again"
                : missing.length > 0
                  ? "Bring it in"
                  : `Bring in ${number.format(good)} ${good === 1 ? "row" : "rows"}`}
            </Button>
            {one.state !== "looked-at" && (
              <span className="quiet">Again adds only what is not there yet.</span>
            )}
          </div>
        )}
      </section>
      {one.state !== "running" && (
        <details className="sheet import-card" open={one.state === "looked-at"}>
          <summary>
            <h2>How the file is read</h2>
            {one.remembered && (
              <span className="import-remembered">remembered from an earlier file of this shape</span>
            )}
          </summary>
          <ul className="import-recognised">
            {one.recognised.map((words) => (
              <li key={words}>{words}</li>
            ))}
          </ul>
          <ReadingChoices reading={reading as shapes.ImportReading} busy={change.isPending} onChange={read} />
          <SampleTable
            one={one}
            reading={reading as shapes.ImportReading}
            busy={change.isPending}
            onColumns={(columns) => read({ columns })}
          />
        </details>
      )}
      {one.state !== "running" && one.counts.bad > 0 && missing.length === 0 && (
        <BadRows one={one} onImport={put} />
      )}
    </div>
  );
}

function Standing({
  one,
  good,
  missing,
}: {
  readonly one: shapes.ImportRecord;
  readonly good: number;
  readonly missing: readonly string[];
}) {
  const { counts, progress, state } = one;
  if (state === "running") {
    const share = progress.of === 0 ? 0 : (100 * progress.done) / progress.of;
    return (
      <div role="status">
        <p>
          <b>
            {number.format(progress.done)} of {number.format(progress.of)} rows
          </b>{" "}
          <span className="quiet">{resultWords(counts)} so far</span>
        </p>
        <Progress value={share} size="lg" aria-label="Rows brought in" />
      </div>
    );
  }
  if (state === "looked-at")
    return (
      <>
        <p>
          {number.format(one.rows)} {one.rows === 1 ? "row" : "rows"}. Nothing is brought in yet.{" "}
          {missing.length === 0 &&
            (counts.bad === 0
              ? "All of them can go in."
              : `${number.format(good)} can go in; ${number.format(counts.bad)} cannot as they stand and are listed below.`)}
        </p>
        {missing.length > 0 && <p className="import-missing">Please say {missing.join(", and ")}.</p>}
      </>
    );
  const figures = [
    { value: counts.ordersAdded, words: counts.ordersAdded === 1 ? "order added" : "orders added" },
    { value: counts.linesAdded, words: counts.linesAdded === 1 ? "line added" : "lines added" },
    { value: counts.piecesAdded, words: counts.piecesAdded === 1 ? "piece added" : "pieces added" },
    { value: counts.alreadyThere, words: "already there, nothing added" },
    { value: counts.bad, words: counts.bad === 1 ? "row to mend" : "rows to mend", bad: counts.bad > 0 },
  ];
  return (
    <div role="status">
      {state === "cancelled" && (
        <p>
          Stopped after {number.format(progress.done)} of {number.format(progress.of)} rows. What is in stays
          in.
        </p>
      )}
      {state === "failed" && (
        <p className="import-missing">It stopped by an error: {one.failure} What went in before stays in.</p>
      )}
      <dl className="import-figures">
        {figures.map((figure) => (
          <div key={figure.words} className={figure.bad ? "is-bad" : undefined}>
            <dt>{figure.words}</dt>
            <dd>{number.format(figure.value)}</dd>
          </div>
        ))}
      </dl>
      {one.notes.length > 0 && (
        <ul className="import-recognised">
          {one.notes.map((note) => (
            <li key={note}>{note}</li>
          ))}
        </ul>
      )}
    </div>
  );
}
