import type { whatIf } from "#contract";
import { Button, Progress } from "@mantine/core";
import { useQueryClient } from "@tanstack/react-query";
import { useEffect, useRef, useState } from "react";
import { useAnswer, useChange } from "../asking";
import { TroubleSheet, Waiting } from "../parts/states";
import { CurveDrawing } from "./curve";
import { Intervals } from "./intervals";

const LOOK_MS = 800;

/** One question: how far it is, or its answer. */
export function Result({ id, currency }: { readonly id: string; readonly currency: string }) {
  const answer = useAnswer("what-if", "readWhatIf", { params: { id } }, { keep: true });
  const queries = useQueryClient();
  const state = answer.data?.run.state;
  // Workers in other processes tell no page: what runs is asked for again.
  useEffect(() => {
    if (state !== "running") return;
    const timer = setInterval(
      () => void queries.invalidateQueries({ queryKey: ["what-if", "readWhatIf"] }),
      LOOK_MS,
    );
    return () => clearInterval(timer);
  }, [state, queries]);
  if (answer.isError) return <TroubleSheet trouble={answer.error} onAgain={() => void answer.refetch()} />;
  if (!answer.data || answer.data.run.id !== id) return <Waiting words="Looking up the question" />;
  const { run, result, resultSeasons, assumptions } = answer.data;
  return (
    <section className="sheet what-if-sheet" aria-label="Answer">
      <p className="what-if-asked quiet">{run.title}</p>
      {run.state !== "done" && <Underway run={run} />}
      {result && run.state !== "done" && (
        <p role="note" className="what-if-few">
          A first answer, of {resultSeasons} seasons; it sharpens with every season that is played.
        </p>
      )}
      {result && <Answered result={result} currency={currency} />}
      <Assumptions assumptions={assumptions} />
    </section>
  );
}

function Underway({ run }: { readonly run: whatIf.WhatIfRun }) {
  const stop = useChange("stopWhatIf", { lists: ["what-if"] });
  const resume = useChange("resumeWhatIf", { lists: ["what-if"] });
  const words = {
    running: "Playing it through",
    stopped: "Stopped; what was played is kept",
    failed: "It could not be played to its end",
    done: "Played",
  }[run.state];
  const given = { params: { id: run.id } };
  const left = useTimeLeft(run);
  return (
    <div className="what-if-underway" role="group" aria-label="How far it is">
      <h2>{words}</h2>
      {run.failure && <p role="alert">{run.failure}</p>}
      <Progress
        value={(100 * run.played) / Math.max(1, run.toPlay)}
        size="lg"
        color="gray"
        aria-label="Seasons played"
      />
      <p aria-live="polite">
        {run.played} of {run.toPlay} seasons played
        {left}
      </p>
      <div>
        {run.state === "running" ? (
          <Button size="md" variant="default" loading={stop.isPending} onClick={() => stop.mutate(given)}>
            Stop
          </Button>
        ) : (
          <Button size="md" loading={resume.isPending} onClick={() => resume.mutate(given)}>
            Go on
          </Button>
        )}
      </div>
    </div>
  );
}

/** By how fast it went since this page looks at it; empty until that says something. */
function useTimeLeft({ state, played, toPlay }: whatIf.WhatIfRun): string {
  const since = useRef<{ readonly atMs: number; readonly played: number } | null>(null);
  const [left, setLeft] = useState("");
  useEffect(() => {
    if (state !== "running") since.current = null;
    else since.current ??= { atMs: performance.now(), played };
    const words = since.current ? timeLeft(since.current, played, toPlay) : "";
    const timer = setTimeout(() => setLeft(words), 0);
    return () => clearTimeout(timer);
  }, [state, played, toPlay]);
  return left;
}

function timeLeft(
  since: { readonly atMs: number; readonly played: number },
  played: number,
  toPlay: number,
): string {
  const done = played - since.played;
  if (done < 4) return "";
  const seconds = ((performance.now() - since.atMs) / 1000 / done) * (toPlay - played);
  return seconds < 90
    ? `, about ${Math.max(5, 5 * Math.ceil(seconds / 5))} seconds more`
    : `, about ${Math.ceil(seconds / 60)} minutes more`;
}

function Answered({ result, currency }: { readonly result: whatIf.WhatIfResult; readonly currency: string }) {
  return (
    <>
      <h2 className="what-if-sentence">{result.sentence}</h2>
      {result.kind === "curve" && <CurveDrawing curve={result} />}
      {result.kind === "ladder" && <Ladder ladder={result} />}
      {result.kind === "changes" && (
        <>
          <p>{result.moneySentence}</p>
          {result.impossible > 0 && (
            <p role="note">
              About {Math.round(result.impossible)} runs a season fit no machine of the changed shop.
            </p>
          )}
          <h3>Measure by measure</h3>
          <Intervals measures={result.measures} currency={currency} />
          <h3>What would bind then</h3>
          <p>{result.busySentence}</p>
          <p>{result.bindingSentence}</p>
          <ul className="what-if-binding">
            {result.binding.map(({ what, sentence, isPlain }) => (
              <li key={what}>
                <strong>{what.slice(0, 1).toUpperCase() + what.slice(1)}</strong>
                <span className={isPlain ? "" : "quiet"}>{sentence}</span>
              </li>
            ))}
          </ul>
        </>
      )}
    </>
  );
}

type LadderResult = Extract<whatIf.WhatIfResult, { kind: "ladder" }>;

function Ladder({ ladder }: { readonly ladder: LadderResult }) {
  return (
    <>
      {ladder.rungs.length > 0 && (
        <ol className="what-if-rungs">
          {ladder.rungs.map(({ what, sentence }, at) => (
            <li key={at}>
              <strong>{what.slice(0, 1).toUpperCase() + what.slice(1)}</strong>
              <span>{sentence}</span>
            </li>
          ))}
        </ol>
      )}
      <p>{ladder.stopped}</p>
    </>
  );
}

const sourceWords: Readonly<Record<whatIf.Assumption["source"], string>> = {
  measured: "measured here",
  entered: "entered",
  default: "common practice",
  guessed: "guessed",
};

function Assumptions({ assumptions }: { readonly assumptions: readonly whatIf.Assumption[] }) {
  return (
    <details className="what-if-assumed">
      <summary>What is assumed ({assumptions.length})</summary>
      <dl>
        {assumptions.map(({ what, value, source, count }) => (
          <div key={what}>
            <dt>{what}</dt>
            <dd>
              {value}
              <span className="quiet">
                {" "}
                – {sourceWords[source]}
                {count === null ? "" : ` (${count})`}
              </span>
            </dd>
          </div>
        ))}
      </dl>
    </details>
  );
}
