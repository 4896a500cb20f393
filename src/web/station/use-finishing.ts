import type { shapes } from "#contract";
import { useAnswer } from "../asking";
import { useAll } from "../parts/all-of";
import { useOutbox } from "./telling";
import type { Floor } from "./use-floor";

/** A piece that is sewn and still to be finished, and is nobody's by the plan: a new plan leaves sewn pieces out. */
export interface ToFinish {
  readonly pieceId: string;
  readonly jobId: string;
  readonly title: string;
  readonly product: string;
  readonly code: string;
  readonly customer: string;
  readonly shipBy: string;
}

const MOST = 100;

/** Sewn pieces that wait for any hands, by their ship-by date; those finished here already are left out. */
export function useFinishing(floor: Floor): readonly ToFinish[] {
  const pieces = useAnswer("pieces", "listPieces", { query: { state: "finishing", limit: MOST } });
  const products = useAll("products");
  const { told } = useOutbox();
  const names = new Map((products.data ?? []).map((product) => [product.id, product.name]));
  const planned = new Set(
    floor.floor.plan.tasks.flatMap((task) => (task.do === "finish" && task.job ? [task.job] : [])),
  );
  const takenBack = new Set(
    told.flatMap(({ event }) => (event.kind === "taken-back" ? [event.eventId] : [])),
  );
  const finished = new Set(
    told.flatMap(({ event, state }) =>
      event.kind === "finished" && state !== "refused" && !takenBack.has(event.id) ? [event.pieceId] : [],
    ),
  );
  return (pieces.data?.items ?? [])
    .filter((piece) => !finished.has(piece.id) && !piece.jobs.some((job) => planned.has(job.id)))
    .flatMap((piece) => toFinish(piece, names.get(piece.productId) ?? ""))
    .sort((a, b) => (a.shipBy < b.shipBy ? -1 : a.shipBy > b.shipBy ? 1 : a.code < b.code ? -1 : 1));
}

function toFinish(piece: shapes.PieceRecord, product: string): ToFinish[] {
  const jobId = piece.jobs.at(-1)?.id;
  if (jobId === undefined) return [];
  return [
    {
      pieceId: piece.id,
      jobId,
      title: piece.personalText || product || piece.code,
      product,
      code: piece.code,
      customer: piece.customer,
      shipBy: piece.shipBy,
    },
  ];
}
