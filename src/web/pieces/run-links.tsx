import { Button } from "@mantine/core";
import { Link } from "@tanstack/react-router";
import type { shapes } from "#contract";
import { useAnswer } from "../asking";
import { addressOf } from "../client";
import { placedSign, placedWords, usePlacedRun } from "../placing/placed";

/** From a run to its design, checked against the order's text, and to the proof a customer is sent. */
export function RunLinks({ job }: { readonly job: shapes.JobRecord }) {
  const { designVersionId } = job;
  const design = useAnswer(
    "designs",
    "readDesignVersion",
    { params: { id: designVersionId ?? "" } },
    { enabled: designVersionId !== null },
  );
  const placed = usePlacedRun(job.sewn ? null : job.id);
  if (designVersionId === null) return null;
  const version = design.data?.version;
  return (
    <div className="run-links">
      {placed && (
        <p className="run-placed">
          ✓ {placedSign(placed)}: {placedWords(placed, null)}
        </p>
      )}
      {!job.sewn && (
        <Button
          size="md"
          variant={placed ? "default" : "filled"}
          component={Link}
          to={`/place/${job.id}`}
          search={(placed?.kind === "again" ? { again: "yes" } : {}) as never}
        >
          {placed ? "Place it again" : "Place it"}
        </Button>
      )}
      <Button
        size="md"
        variant="default"
        component="a"
        href={addressOf("jobProof", { id: job.id })}
        target="_blank"
        rel="noreferrer"
      >
        Proof for the customer
      </Button>
      {version && (
        <Button
          size="md"
          variant="default"
          component={Link}
          to={`/designs/${version.designId}`}
          search={{ v: String(version.number), job: job.id } as never}
        >
          Look at the design
        </Button>
      )}
    </div>
  );
}
