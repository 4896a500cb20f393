import type { shapes } from "#contract";
import type { PieceState } from "#core/shop";
import type { JobTable, PieceTable, Store, Writing } from "#store";
import type { Context } from "./context";
import { type LineFacts, type SetByHand, Workshop } from "./piece-jobs";
import { factsOfLine, jobColumns, jobRow } from "./piece-making";
import { jobsOfPieces, unbegunStates } from "./piece-records";
import { tellMoves } from "./piece-trail";
import { groupedBy, inPortions } from "./records";

/** What follows for pieces not begun when a product, a design, a hoop or a line changes. */

type Reader = Store["db"];

/** What has changed, so that runs not begun must follow. */
export type JobsAsked =
  | { readonly designId: string }
  | { readonly productId: string }
  | { readonly hoopId: string }
  | { readonly pieceIds: readonly string[] };

/**
 * Works out anew the runs of pieces not begun that follow a product, a design, a hoop, or of the pieces named. What a
 * person has set on a run by hand stays. A piece whose trouble is gone goes from waiting to ready, and back when trouble
 * comes. For use inside another write; gives the ids of the pieces whose runs changed.
 */
export async function refreshJobs(
  context: Context,
  writing: Writing,
  asked: JobsAsked,
  who = "The program",
): Promise<string[]> {
  const pieces = await piecesFollowing(writing.db, asked);
  if (pieces.length === 0) return [];
  const workshop = await Workshop.open(context, writing.db);
  const lines = new Map(
    (
      await inPortions([...new Set(pieces.map((piece) => piece.line_id))], (ids) =>
        writing.db.selectFrom("order_lines").selectAll().where("id", "in", ids).execute(),
      )
    ).map((row) => [row.id, row]),
  );
  const jobs = groupedBy(
    await jobsOfPieces(
      writing.db,
      pieces.map((piece) => piece.id),
    ),
    (job) => job.piece_id,
  );
  // The piece's own text and product decide: a line changed under a begun piece does not reach it.
  const factsOf = (piece: PieceTable): LineFacts => ({
    ...factsOfLine(lines.get(piece.line_id)!),
    productId: piece.product_id,
    personalText: piece.personal_text,
  });
  const facts = pieces.map(factsOf);
  await workshop.prepare(writing.db, facts);
  await workshop.keep(writing, facts);
  await workshop.loadVersions(
    writing.db,
    [...jobs.values()].flat().flatMap((job) => job.design_version_id ?? []),
  );
  const changed: string[] = [];
  for (const [index, piece] of pieces.entries())
    if (await refreshPiece(context, writing, workshop, piece, facts[index]!, jobs.get(piece.id) ?? []))
      changed.push(piece.id);
  const moved = await inPortions(changed, (ids) =>
    writing.db.selectFrom("pieces").selectAll().where("id", "in", ids).execute(),
  );
  const before = new Map(pieces.map((piece) => [piece.id, piece]));
  await tellMoves(
    context,
    writing.db,
    moved.flatMap((piece) =>
      piece.state === before.get(piece.id)!.state
        ? []
        : [
            {
              piece,
              from: before.get(piece.id)!.state as PieceState,
              to: piece.state as PieceState,
              who,
              why: piece.state === "ready" ? "its design can be made now" : "its design cannot be made",
            },
          ],
    ),
  );
  return changed;
}

async function refreshPiece(
  context: Context,
  writing: Writing,
  workshop: Workshop,
  piece: PieceTable,
  facts: LineFacts,
  jobs: readonly JobTable[],
): Promise<boolean> {
  const byHand = new Map(jobs.map((job) => [job.placement_id, handOf(job, workshop)]));
  const wanted = workshop.jobsOf(facts, byHand);
  const hadTrouble = jobs.some((job) => job.trouble !== null);
  let changed = false;
  for (const [position, job] of wanted.entries()) {
    const stands = jobs.find((one) => one.placement_id === job.placementId);
    if (!stands) {
      await writing.insert("jobs", jobRow(context, piece.id, position, job));
      changed = true;
      continue;
    }
    const set: Partial<JobTable> = jobColumns(job, position);
    const hand = JSON.parse(stands.by_hand) as string[];
    if (hand.includes("times"))
      for (const column of ["hoop_s", "unhoop_s", "finish_s"] as const) delete set[column];
    if (Object.entries(set).every(([column, value]) => stands[column as keyof JobTable] === value)) continue;
    await writing.update("jobs", stands.id, set);
    changed = true;
  }
  for (const job of jobs)
    if (!wanted.some((one) => one.placementId === job.placement_id)) {
      await writing.remove("jobs", job.id);
      changed = true;
    }
  const trouble = wanted.some((job) => job.trouble !== null);
  const atMs = context.nowMs();
  if (trouble && piece.state === "ready")
    await writing.update("pieces", piece.id, {
      state: "waiting",
      waiting_for: "artwork",
      state_changed_at_ms: atMs,
    });
  else if (!trouble && hadTrouble && piece.state === "waiting" && piece.waiting_for === "artwork")
    await writing.update("pieces", piece.id, {
      state: "ready",
      waiting_for: null,
      state_changed_at_ms: atMs,
    });
  else return changed;
  return true;
}

/** What a person has set on a run, as its columns say. */
export function handOf(job: JobTable, workshop: Workshop): SetByHand {
  const hand = JSON.parse(job.by_hand) as string[];
  return {
    ...(hand.includes("design")
      ? { design: job.design_version_id === null ? null : (workshop.version(job.design_version_id) ?? null) }
      : {}),
    ...(hand.includes("threads") ? { threadIds: JSON.parse(job.thread_ids) as (string | null)[] } : {}),
    ...(hand.includes("hoop") ? { hoopId: job.hoop_id } : {}),
    ...(hand.includes("machines")
      ? { machineIds: job.machine_ids === null ? null : (JSON.parse(job.machine_ids) as string[]) }
      : {}),
  };
}

async function piecesFollowing(db: Reader, asked: JobsAsked): Promise<PieceTable[]> {
  const unbegun = () =>
    db.selectFrom("pieces").selectAll("pieces").where("pieces.state", "in", unbegunStates);
  if ("pieceIds" in asked)
    return inPortions(asked.pieceIds, (ids) => unbegun().where("pieces.id", "in", ids).execute());
  if ("productId" in asked) return unbegun().where("product_id", "=", asked.productId).execute();
  if ("hoopId" in asked)
    return unbegun()
      .where((build) =>
        build.exists(
          build
            .selectFrom("jobs")
            .select("jobs.id")
            .whereRef("jobs.piece_id", "=", "pieces.id")
            .where("jobs.hoop_id", "=", asked.hoopId),
        ),
      )
      .execute();
  const products = (await db.selectFrom("products").select(["id", "body"]).execute()).filter((row) =>
    (JSON.parse(row.body) as shapes.ProductBody).placements.some(
      (placement) => placement.designId === asked.designId,
    ),
  );
  const ids = products.map((row) => row.id);
  return unbegun()
    .where((build) =>
      build.or([
        ...(ids.length > 0 ? [build("pieces.product_id", "in", ids)] : []),
        build.exists(
          build
            .selectFrom("order_lines")
            .select("order_lines.id")
            .whereRef("order_lines.id", "=", "pieces.line_id")
            .where("order_lines.design_id", "=", asked.designId),
        ),
        build.exists(
          build
            .selectFrom("jobs")
            .innerJoin("design_versions", "design_versions.id", "jobs.design_version_id")
            .select("jobs.id")
            .whereRef("jobs.piece_id", "=", "pieces.id")
            .where("design_versions.design_id", "=", asked.designId),
        ),
      ]),
    )
    .execute();
}
