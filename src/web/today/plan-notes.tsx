import { type Day } from "./day";
import { useState } from "react";
import { Button } from "@mantine/core";
import type { Planning } from "./planning";

const pieces = (count: number): string => (count === 1 ? "1 piece" : `${count} pieces`);
const MOST_NAMED = 8;

/** What happened to the plan lately, in a line: that it follows a change, that it no longer holds, or what the last change moved. */
export function PlanNotes({ day, planning }: { readonly day: Day; readonly planning: Planning | null }) {
  const { view } = day;
  const run = planning?.run;
  if (run?.state === "running") {
    if (!run.byItself || run.planId !== null) return <Moved key={view.planId} day={day} />;
    return (
      <div className="strip strip-quiet" role="status">
        <span>
          <b>The plan follows:</b> {run.why}; that touches {pieces(run.touches)}. What is sewing stays where
          it is.
        </span>
      </div>
    );
  }
  if (view.stale)
    return (
      <div className="strip" role="status">
        <span>
          <b>{view.staleWhy || "Records have changed since this plan was made"}.</b>{" "}
          {view.stalePieces > 0 && `That touches ${pieces(view.stalePieces)} of this plan. `}
          Plan again to see what follows; what is sewing stays where it is.
        </span>
      </div>
    );
  return <Moved key={view.planId} day={day} />;
}

/** How many pieces the last change moved, why, and on demand which. */
function Moved({ day }: { readonly day: Day }) {
  const { moved } = day.view;
  const [shown, setShown] = useState(false);
  if (!moved || moved.why === "") return null;
  const titles = moved.jobIds.map((id) => day.jobs.get(id)?.title ?? id);
  if (titles.length === 0)
    return (
      <p className="quiet plan-note" role="status">
        The plan followed a change ({moved.why}); no piece moved.
      </p>
    );
  return (
    <div className="strip strip-quiet plan-note" role="status">
      <span>
        <b>{pieces(titles.length)} moved</b> because {moved.why}.
        {shown && (
          <>
            {" "}
            {titles.slice(0, MOST_NAMED).join(", ")}
            {titles.length > MOST_NAMED && ` and ${titles.length - MOST_NAMED} more`}
          </>
        )}
      </span>
      <Button variant="default" aria-expanded={shown} onClick={() => setShown(!shown)}>
        {shown ? "Hide which" : "Show which"}
      </Button>
    </div>
  );
}
