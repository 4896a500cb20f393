import { Button, NumberInput, Popover, Progress } from "@mantine/core";
import type { shapes } from "#contract";
import { useQueryClient } from "@tanstack/react-query";
import { useEffect, useState } from "react";
import { useAnswer, useChange } from "../asking";
import { hear } from "../live";
import "./planning.css";

interface Reached {
  readonly share: number;
  readonly cost: number;
}

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
            ? [...same.slice(-400), { share: run.share, cost: run.best.cost }]
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
  if (run.state !== "running") return null;
  return (
    <section className="sheet planning" aria-label="Planning">
      <div className="planning-words" role="status">
        <strong>
          {run.best
            ? `Best so far: ${run.best.threadings} threadings, ${run.best.lateJobs === 0 ? "none late" : `${run.best.lateJobs} late`}`
            : "Reading the records …"}
        </strong>
        <span className="quiet">
          {run.best && `${Math.round(run.best.cost)} points`}
          {run.bound &&
            run.best &&
            ` · none can have fewer than ${Math.ceil(run.bound.threadings - 1e-6)} threadings or ${Math.floor(run.bound.cost)} points`}
          {run.best && ` · ${run.best.evaluations.toLocaleString("en-GB")} plans tried`}
        </span>
        <Progress
          value={100 * run.share}
          size="lg"
          color="rust"
          aria-label="Share of the time given that has passed"
          className="planning-bar"
        />
      </div>
      <Curve reached={reached} bound={run.bound?.cost ?? null} />
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

const W = 220;
const H = 64;

/** The cost falling towards what is proven. */
function Curve({ reached, bound }: { readonly reached: readonly Reached[]; readonly bound: number | null }) {
  if (reached.length < 2) return <div className="planning-curve" aria-hidden />;
  const most = Math.max(...reached.map((one) => one.cost));
  const least = Math.min(bound ?? Infinity, ...reached.map((one) => one.cost));
  const x = (share: number) => 4 + (W - 8) * Math.min(1, share);
  const y = (cost: number) => 6 + (H - 12) * (most === least ? 0.5 : (most - cost) / (most - least));
  const steps = reached
    .map(
      (one, index) =>
        `${index === 0 ? "M" : `H${x(one.share).toFixed(1)} V`}${index === 0 ? `${x(one.share).toFixed(1)} ` : ""}${y(one.cost).toFixed(1)}`,
    )
    .join(" ");
  const last = reached.at(-1)!;
  return (
    <svg
      className="planning-curve"
      viewBox={`0 0 ${W} ${H}`}
      role="img"
      aria-label={`Cost from ${Math.round(reached[0]!.cost)} down to ${Math.round(last.cost)} points${bound === null ? "" : `; proven lowest ${Math.floor(bound)}`}`}
    >
      {bound !== null && <line x1="4" x2={W - 4} y1={y(bound)} y2={y(bound)} className="curve-bound" />}
      <path d={steps} className="curve-line" />
      <circle cx={x(last.share)} cy={y(last.cost)} r="3.5" className="curve-here" />
    </svg>
  );
}
