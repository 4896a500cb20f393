import { Button, NumberInput, Popover, Progress } from "@mantine/core";
import type { shapes } from "#contract";
import { useQueryClient } from "@tanstack/react-query";
import { useEffect, useState } from "react";
import { useAnswer, useChange } from "../asking";
import { hear } from "../live";
import { Curve, type Reached } from "./curve";
import { boundWords, isProven } from "./proof";
import "./planning.css";

/** The solving as it goes, and what it has reached so far. */
export interface Planning {
  readonly run: shapes.PlanningRun;
  readonly reached: readonly Reached[];
}

/** Follows the solving by events, and by asking every two seconds while it runs, should an event get lost. */
export function usePlanning(first: shapes.PlanningRun | undefined): Planning | null {
  const queries = useQueryClient();
  const [heard, setHeard] = useState<Planning | null>(null);
  const state = heard?.run.state ?? first?.state;
  const asked = useAnswer("planning-run", "planningRun", {}, { enabled: state === "running" });
  const { refetch } = asked;
  useEffect(() => {
    const take = (run: shapes.PlanningRun) =>
      setHeard((before) => {
        const same = before?.run.startedAtMs === run.startedAtMs ? before.reached : [];
        const last = same.at(-1);
        const reached =
          run.best && (!last || last.share < run.share || run.best.cost < last.cost)
            ? [...same.slice(-400), { share: run.share, cost: run.best.cost, bound: run.bound?.cost ?? null }]
            : same;
        return { run, reached };
      });
    return hear((event) => {
      if (event.topic !== "planning") return;
      take(event.run);
      if (event.run.state !== "running") void queries.invalidateQueries({ queryKey: ["plan"] });
    });
  }, [queries]);
  useEffect(() => {
    if (state !== "running") return;
    const asking = window.setInterval(() => {
      void refetch().then(({ data }) => {
        if (!data || data.state === "running") return;
        setHeard((before) => ({ run: data, reached: before?.reached ?? [] }));
        void queries.invalidateQueries({ queryKey: ["plan"] });
      });
    }, 2000);
    return () => window.clearInterval(asking);
  }, [state, refetch, queries]);
  if (heard)
    return heard.run.state === "running" &&
      asked.data &&
      asked.data.state === "running" &&
      asked.data.share > heard.run.share
      ? { ...heard, run: asked.data }
      : heard;
  return first ? { run: asked.data ?? first, reached: [] } : null;
}

/** Plans again; more time to look for a better plan is offered under "longer". */
export function PlanButton({
  words,
  running,
  size = "md",
}: {
  readonly words: string;
  readonly running: boolean;
  readonly size?: "md" | "lg";
}) {
  const make = useChange("makePlan", { lists: ["plan"] });
  const [seconds, setSeconds] = useState<number | string>(60);
  const [open, setOpen] = useState(false);
  const begin = (body: { seconds?: number }) => {
    setOpen(false);
    make.mutate({ body });
  };
  const fits = typeof seconds === "number" && 1 <= seconds && seconds <= 600;
  return (
    <span className="plan-button">
      <Button
        size={size}
        className="plan-again"
        disabled={running}
        loading={make.isPending}
        onClick={() => begin({})}
      >
        {words}
      </Button>
      <Popover opened={open} onChange={setOpen} position="bottom-end" trapFocus withinPortal>
        <Popover.Target>
          <Button
            size={size}
            variant="default"
            className="plan-again"
            disabled={running || make.isPending}
            aria-expanded={open}
            onClick={() => setOpen(!open)}
          >
            Longer …
          </Button>
        </Popover.Target>
        <Popover.Dropdown className="plan-longer">
          <NumberInput
            label="Look for a better plan for"
            description="Eight seconds are usual. A week of many pieces gains from a minute."
            suffix=" seconds"
            min={1}
            max={600}
            value={seconds}
            onChange={setSeconds}
            error={fits ? undefined : "Between 1 and 600 seconds"}
          />
          <Button disabled={!fits} onClick={() => fits && begin({ seconds })}>
            Plan for {fits ? seconds : "…"} {seconds === 1 ? "second" : "seconds"}
          </Button>
        </Popover.Dropdown>
      </Popover>
    </span>
  );
}

const number = new Intl.NumberFormat("en-GB", { maximumFractionDigits: 0 });

/** Progress while the plan is being looked for, with what is proven, and how to stop. */
export function PlanningSheet({
  planning,
  hasPlan,
}: {
  readonly planning: Planning;
  readonly hasPlan: boolean;
}) {
  const stop = useChange("stopPlanning", { lists: ["plan", "planning-run"] });
  const { run, reached } = planning;
  if (run.state === "failed")
    return (
      <div className="strip strip-late" role="alert">
        <span>
          <b>The planning failed.</b> {run.failure ?? "No reason was given."}{" "}
          {hasPlan ? "The plan below is the one from before; nothing is lost." : "Nothing is lost."}
        </span>
      </div>
    );
  // What the program does by itself is told in a line beside the plan, not over it.
  if (run.state !== "running" || run.byItself) return null;
  const { best, bound } = run;
  return (
    <section className="sheet planning" aria-label="Planning">
      <div className="planning-words">
        <strong role="status">
          {best
            ? `Best so far: ${best.threadings} ${best.threadings === 1 ? "threading" : "threadings"}, ${best.lateJobs === 0 ? "none late" : `${best.lateJobs} late`}`
            : "Reading the records …"}
        </strong>
        {best && (
          <span>
            {boundWords(best.threadings, bound?.threadings ?? 0)}
            {bound && isProven(best.cost, bound.cost) ? " This plan is proven best." : ""}
          </span>
        )}
        {best && (
          <span className="quiet">
            {number.format(best.cost)} points
            {bound &&
              !isProven(best.cost, bound.cost) &&
              `; no plan can have fewer than ${number.format(Math.floor(bound.cost))}`}{" "}
            · {best.evaluations.toLocaleString("en-GB")} plans tried
          </span>
        )}
        <Progress
          value={100 * run.share}
          size="lg"
          color="rust"
          aria-label="Share of the time given that has passed"
          className="planning-bar"
        />
      </div>
      <Curve reached={reached} bound={bound?.cost ?? null} />
      <div className="planning-acts">
        <Button
          disabled={run.best === null || stop.isPending}
          onClick={() => stop.mutate({ body: { keep: true } })}
        >
          Stop, take the best so far
        </Button>
        <Button
          variant="default"
          disabled={stop.isPending}
          onClick={() => stop.mutate({ body: { keep: false } })}
        >
          {hasPlan ? "Stop, keep the old plan" : "Stop"}
        </Button>
      </div>
    </section>
  );
}
