import { Button } from "@mantine/core";
import { Link, useParams } from "@tanstack/react-router";
import { useEffect, useMemo, useState } from "react";
import { useAnswer } from "../asking";
import { Hem } from "../parts/hem";
import { TroubleSheet, Waiting } from "../parts/states";
import type { ThreadFace } from "../parts/thread-chip";
import { useNowMs } from "../today/clock";
import { clockOf, dateWords, type Day, readDay } from "../today/day";
import { localTime } from "#core/shop";
import { JobForm } from "./job-form";
import { StateMoves, stateWords } from "./moves";
import { RunLinks } from "./run-links";
import { DesignImage, PartList, RunSheet } from "./run-sheet";
import { PieceWishes } from "./wishes";
import type { shapes } from "#contract";
import "./page.css";
import "../today/card.css";

/** One piece: what a ticket's code opens on a phone beside the machine. */
export function PiecePage() {
  const { id = "" } = useParams({ strict: false });
  const found = useAnswer("pieces", "readPiece", { params: { id } });
  const plan = useAnswer("plan", "currentPlan", {});
  const view = plan.data?.plan ?? null;
  const day = useMemo(() => (view ? readDay(view) : null), [view]);
  const code = found.data?.piece.code;
  useEffect(() => {
    document.title = code ? `Piece ${code}` : "Piece";
  }, [code]);
  if (found.isPending) return <Waiting words="Reading the piece" />;
  if (found.isError)
    return (
      <>
        <h1 className="visually-hidden">Piece</h1>
        <TroubleSheet trouble={found.error} onAgain={() => void found.refetch()} />
      </>
    );
  return <ThePiece piece={found.data.piece} history={found.data.history} day={day} />;
}

interface PieceLook {
  readonly piece: shapes.PieceRecord;
  readonly history: readonly {
    readonly id: string;
    readonly atMs: number;
    readonly who: string;
    readonly what: string;
    readonly why: string;
  }[];
  readonly day: Day | null;
}

const waitingWords = {
  stock: "for stock",
  artwork: "for artwork",
  approval: "for the customer’s yes",
} as const;

/** States in which a piece has business at its machine. */
const onFloor: ReadonlySet<string> = new Set(["ready", "hooped", "sewing"]);

function ThePiece({ piece, history, day }: PieceLook) {
  const product = useAnswer("products", "products.get", { params: { id: piece.productId } });
  const threads = useAnswer("threads", "threads.list", { query: { limit: 500 } });
  const studio = useAnswer("studio", "readStudio", {}, { enabled: day === null });
  const [changing, setChanging] = useState<string | null>(null);
  const nowMs = useNowMs();
  const timeZone = day?.view.timeZone ?? studio.data?.timeZone ?? "UTC";
  const faces = useMemo(
    () => new Map<string, ThreadFace>((threads.data?.items ?? []).map((thread) => [thread.id, thread])),
    [threads.data],
  );
  const planned = piece.jobs.flatMap((job) => day?.jobs.get(job.id) ?? []);
  const cautions = [...new Set([product.data?.caution ?? "", ...planned.map((job) => job.caution)])].filter(
    (words) => words !== "",
  );
  const machineId =
    planned.map((job) => day?.blocks.get(job.jobId)?.machineId ?? null).find((id) => id !== null) ?? null;
  return (
    <article className="piece-page">
      <header className="piece-head">
        <p className="piece-code">
          {piece.code} · <b className={`piece-state piece-state-${piece.state}`}>{stateWords[piece.state]}</b>
          {piece.waitingFor && ` ${waitingWords[piece.waitingFor]}`}
          {piece.urgency === "first" && " · pulled first"}
        </p>
        <h1>{piece.personalText || product.data?.name || piece.code}</h1>
        <p>
          {piece.personalText && `${product.data?.name ?? ""} · `}
          order{" "}
          <Link to="/orders/$id" params={{ id: piece.orderId }}>
            {piece.orderReference}
          </Link>
          {piece.customer && ` for ${piece.customer}`}
        </p>
        <p>
          Ship by <b>{dateWords(piece.shipBy, true)}</b>, promised for {dateWords(piece.promiseDate)}
        </p>
        {machineId !== null && onFloor.has(piece.state) && (
          <p>
            At {day?.machines.get(machineId)?.name}:{" "}
            <Link to="/station/$id" params={{ id: machineId }}>
              open its station
            </Link>
          </p>
        )}
        {piece.remakeOf && (
          <p>
            Remakes{" "}
            <Link to="/pieces/$id" params={{ id: piece.remakeOf }}>
              a piece that was spoiled
            </Link>
          </p>
        )}
      </header>
      {piece.urgency === "held" && (
        <p className="caution">Held back{piece.heldWhy && `: ${piece.heldWhy}`}.</p>
      )}
      {cautions.map((words) => (
        <p key={words} className="caution">
          {words}
        </p>
      ))}
      <section aria-label="Where it stands" className="piece-part">
        <StateMoves piece={piece} machineId={machineId} />
      </section>
      {piece.jobs.length === 0 && (
        <p className="quiet">Nothing is embroidered on this piece; it is cut and sewn.</p>
      )}
      {piece.jobs.map((job) => {
        const inPlan = day?.jobs.get(job.id);
        return (
          <section key={job.id} className="sheet piece-run" aria-label={`Run: ${job.placementName}`}>
            <h2>
              {job.placementName}
              {job.sewn && <span className="words-done"> sewn</span>}
            </h2>
            {changing === job.id ? (
              <JobForm job={job} faces={faces} onDone={() => setChanging(null)} />
            ) : day && inPlan ? (
              // Cautions stand at the top of the page already.
              <RunSheet
                day={day}
                job={{ ...inPlan, caution: "" }}
                nowS={(nowMs - day.view.startsAtMs) / 1000}
              />
            ) : (
              <JobSheet
                job={job}
                faces={faces}
                where={
                  product.data?.placements.find((placement) => placement.id === job.placementId)?.where ?? ""
                }
              />
            )}
            {changing !== job.id && <RunLinks job={job} />}
            {changing !== job.id && (piece.state === "waiting" || piece.state === "ready") && (
              <Button variant="default" size="md" onClick={() => setChanging(job.id)}>
                Change this run …
              </Button>
            )}
          </section>
        );
      })}
      <section className="piece-part" aria-labelledby="wishes-title">
        <h2 id="wishes-title">What the plan should do with it</h2>
        <PieceWishes piece={piece} />
      </section>
      <section className="piece-part" aria-labelledby="history-title">
        <h2 id="history-title">History</h2>
        {history.length === 0 ? (
          <p className="quiet">Nothing has happened to it yet.</p>
        ) : (
          <ol className="history">
            {history.map((event) => (
              <li key={event.id}>
                <span className="quiet">
                  {dateWords(localTime(timeZone, event.atMs).date)} {clockOf(timeZone, event.atMs)}
                </span>
                <span>
                  {event.what}
                  {event.why && `: ${event.why}`}
                  {event.who && <span className="quiet"> · {event.who}</span>}
                </span>
              </li>
            ))}
          </ol>
        )}
      </section>
    </article>
  );
}

/** A run that no plan holds: its design and its threads. */
function JobSheet({
  job,
  faces,
  where,
}: {
  readonly job: shapes.JobRecord;
  readonly faces: ReadonlyMap<string, ThreadFace>;
  readonly where: string;
}) {
  const design = useAnswer(
    "designs",
    "readDesignVersion",
    { params: { id: job.designVersionId ?? "" } },
    { enabled: job.designVersionId !== null },
  );
  const sewn = design.data?.version.parts ?? [];
  const parts = job.threadIds.map((id, index) => ({
    thread: id === null ? null : (faces.get(id) ?? null),
    stitches: sewn[index]?.stitches ?? 0,
  }));
  return (
    <div className="run-sheet">
      {job.trouble && <p className="caution">{job.trouble}</p>}
      {job.designVersionId && (
        <DesignImage versionId={job.designVersionId} threadIds={job.threadIds} name={job.placementName} />
      )}
      {design.isSuccess && <Hem parts={parts} heightPx={14} />}
      {design.isSuccess && <PartList parts={parts} />}
      {where && <p className="run-when">{where}</p>}
      <p className="run-when quiet">
        {job.sewn
          ? `${job.stitches.toLocaleString("en-GB")} stitches, sewn.`
          : `${job.stitches.toLocaleString("en-GB")} stitches; not in the plan.`}
      </p>
    </div>
  );
}
