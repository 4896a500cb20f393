import { CloseButton, Drawer } from "@mantine/core";
import { Link } from "@tanstack/react-router";
import { useAnswer } from "../asking";
import { TroubleSheet, Waiting } from "../parts/states";
import { StateMoves, stateWords } from "../pieces/moves";
import { RunSheet } from "../pieces/run-sheet";
import { PieceWishes } from "../pieces/wishes";
import { dateWords, type Day } from "./day";
import "./card.css";

/** A piece's card: all that is known of it in the plan, and what can be done with it. */
export function PieceCard({
  day,
  jobId,
  nowS,
  onClose,
}: {
  readonly day: Day;
  readonly jobId: string | null;
  readonly nowS: number;
  readonly onClose: () => void;
}) {
  const job = jobId === null ? undefined : day.jobs.get(jobId);
  return (
    <Drawer.Root
      opened={job !== undefined}
      onClose={onClose}
      position="right"
      size={520}
      transitionProps={{ duration: 120 }}
      classNames={{ content: "card-sheet" }}
    >
      <Drawer.Overlay />
      <Drawer.Content aria-label={job ? `${job.title}, ${job.product}` : undefined}>
        {job && (
          <div className="card-head">
            <h2 className="card-title">{job.title}</h2>
            <CloseButton size="xl" aria-label="Close the card" onClick={onClose} data-autofocus />
          </div>
        )}
        {job && (
          <div className="card">
            <p className="card-line">
              {job.product}
              {job.personalText && job.personalText !== job.title && <> with “{job.personalText}”</>} ·{" "}
              {job.pieceCode} · <b>{stateWords[job.state]}</b>
            </p>
            <p className="card-line">
              Order{" "}
              <Link to="/orders/$id" params={{ id: job.orderId }}>
                {job.orderReference}
              </Link>
              {job.customer && ` for ${job.customer}`}, ship by <b>{dateWords(job.shipBy)}</b>, promised for{" "}
              {dateWords(job.promiseDate)} ·{" "}
              <Link to="/pieces/$id" params={{ id: job.pieceId }}>
                history of the piece
              </Link>
            </p>
            <CardActs
              pieceId={job.pieceId}
              machineId={day.blocks.get(job.jobId)?.machineId ?? null}
              part="moves"
            />
            <RunSheet day={day} job={job} nowS={nowS} />
            <CardActs pieceId={job.pieceId} machineId={null} part="wishes" />
          </div>
        )}
      </Drawer.Content>
    </Drawer.Root>
  );
}

function CardActs({
  pieceId,
  machineId,
  part,
}: {
  readonly pieceId: string;
  readonly machineId: string | null;
  readonly part: "moves" | "wishes";
}) {
  const found = useAnswer("pieces", "readPiece", { params: { id: pieceId } });
  if (found.isPending) return part === "moves" ? <Waiting words="Reading the piece" /> : null;
  if (found.isError)
    return part === "moves" ? (
      <TroubleSheet trouble={found.error} onAgain={() => void found.refetch()} />
    ) : null;
  return part === "moves" ? (
    <StateMoves piece={found.data.piece} machineId={machineId} />
  ) : (
    <>
      <h3 className="card-sub">What the plan should do with it</h3>
      <PieceWishes piece={found.data.piece} />
    </>
  );
}
