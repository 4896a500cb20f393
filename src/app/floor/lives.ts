import { pieceAfter, type PieceStanding } from "#core/floor";
import type { PieceState } from "#core/shop";
import type { Store } from "#store";
import { jobsOfPieces } from "../piece-records";
import { groupedBy, inPortions } from "../records";
import { type KeptEvent, lifeOf, standingBefore } from "./rows";

/** The lives of pieces by the floor's record: every event of theirs, and where they stand after it. */

type Reader = Store["db"];

/** Rows of the record by piece, in the order they were added. */
export async function rowsOfPieces(
  db: Reader,
  pieceIds: readonly string[],
): Promise<Map<string, KeptEvent[]>> {
  const rows = await inPortions(pieceIds, (ids) =>
    db.selectFrom("floor_events").selectAll().where("piece_id", "in", ids).orderBy("seq").execute(),
  );
  return groupedBy(rows, (row) => row.piece_id!);
}

/** Where a piece stands after the rows of its record; null without any. */
export function standingAfter(rows: readonly KeptEvent[], jobIds: readonly string[]): PieceStanding | null {
  const first = rows.find((row) => standingBefore(row) !== null);
  if (!first) return null;
  const before = standingBefore(first)!;
  return pieceAfter({
    before: { state: before.state, sewn: new Set(before.sewn) },
    jobIds,
    events: rows.map(lifeOf),
  });
}

/** The state each piece has by its record; pieces nothing was told of are left out. */
export async function toldStates(db: Reader, pieceIds: readonly string[]): Promise<Map<string, PieceState>> {
  const rows = await rowsOfPieces(db, pieceIds);
  const jobs = groupedBy(await jobsOfPieces(db, [...rows.keys()]), (job) => job.piece_id);
  const states = new Map<string, PieceState>();
  for (const [pieceId, own] of rows) {
    const standing = standingAfter(
      own,
      (jobs.get(pieceId) ?? []).map((job) => job.id),
    );
    if (standing) states.set(pieceId, standing.state);
  }
  return states;
}
