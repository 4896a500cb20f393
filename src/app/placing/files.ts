import type { shapes } from "#contract";
import { radiansOf } from "#core/placing";
import { readMachineFile, type Stitches } from "#core/stitch";
import type { Store } from "#store";
import type { Kept } from "../records";
import { type PlacingInForce, placingsInForce } from "./in-force";
import { leastRoomMm, posedStitches, type Remaining, remainingStitches, roomIn } from "./sewing";

/** The machine file of a placed run: of a second run only what remains; turned and shifted as far as the machine is not told. */
export function placedStitches(design: Stitches, { body }: Pick<PlacingInForce, "body">): Stitches {
  const { remains, pose } = body.result;
  const sewn = remains === null ? design : remainingStitches(design, remains.lastGoodStitch).stitches;
  const angleRad = radiansOf(pose.deg);
  switch (body.give) {
    case "file":
      return posedStitches(sewn, { xMm: pose.xMm, yMm: pose.yMm, angleRad });
    case "laser":
      // The cross sets where it starts; a machine that has no more than a cross cannot turn it.
      return posedStitches(sewn, { xMm: 0, yMm: 0, angleRad });
    case "enter":
      return sewn;
  }
}

/** A run's file for the machine the plan has it on, and what stands beside it in words. */
export interface PlacedFile {
  /** Null where it would leave that machine's field: the run must be placed again for it. */
  readonly stitches: Stitches | null;
  readonly words: string;
}

/** The placed files of planned runs, by run; runs without a placing in force are left out. */
export async function placedFiles(
  store: Store,
  runs: readonly { readonly jobId: string; readonly machineId: string }[],
  machines: ReadonlyMap<string, Kept<shapes.MachineBody>>,
): Promise<Map<string, PlacedFile>> {
  const inForce = await placingsInForce(
    store.db,
    runs.map((run) => run.jobId),
  );
  const files = new Map<string, PlacedFile>();
  for (const { jobId, machineId } of runs) {
    const placing = inForce.get(jobId);
    if (!placing) continue;
    const version = await store.db
      .selectFrom("design_versions")
      .select("file_hash")
      .where("id", "=", placing.row.design_version_id)
      .executeTakeFirst();
    if (!version) continue;
    const design = readMachineFile(await store.files.get(version.file_hash)).stitches;
    files.set(jobId, fileFor(placedStitches(design, placing), placing, machines.get(machineId)));
  }
  return files;
}

function fileFor(
  stitches: Stitches,
  placing: PlacingInForce,
  machine: Kept<shapes.MachineBody> | undefined,
): PlacedFile {
  const room =
    machine &&
    roomIn(stitches, { widthMm: machine.fieldWidthMm, heightMm: machine.fieldHeightMm, marginMm: 0 });
  // Angle and shift were rounded to that machine's steps, the cross is that machine's: another one has its own.
  const isOthers = machine !== undefined && placing.row.machine_id !== machine.id;
  if (isOthers && (placing.body.give !== "file" || (room && leastRoomMm(room) < 0)))
    return { stitches: null, words: "placed for another machine: place it again for this one" };
  return { stitches, words: placedWords(placing) };
}

/** What a placing asks of whoever stands at the machine, in words. */
export function placedWords({ body: { give, result } }: PlacingInForce): string {
  const { remains, pose, ways } = result;
  const second = remains === null ? "" : `, second run from stitch ${remains.fromStitch}`;
  if (give === "file") return `placed: turned ${signed(pose.deg, 1)}°${second}`;
  if (give === "laser") return `turned ${signed(pose.deg, 1)}°, start set by the laser cross${second}`;
  const { angleDeg, shiftXMm, shiftYMm } = ways.find((way) => way.give === "enter")!.enter!;
  return `enter ${signed(angleDeg, 1)}°, x ${signed(shiftXMm, 1)} mm, y ${signed(shiftYMm, 1)} mm${second}`;
}

const signed = (value: number, digits: number): string =>
  `${value < 0 ? "−" : "+"}${Math.abs(value).toFixed(digits)}`;

/** What is left to sew of runs taken up again, by run: for the plan. */
export interface SecondRun extends Pick<Remaining, "fromStitch" | "firstPart" | "partStitches" | "trims"> {
  /** When it was placed, and how long the run had sewn by then. */
  readonly sinceMs: number;
  readonly sewedMs: number;
}

export async function secondRuns(
  db: Store["db"],
  jobIds: readonly string[],
): Promise<ReadonlyMap<string, SecondRun>> {
  const found = new Map<string, SecondRun>();
  for (const [jobId, { row, body }] of await placingsInForce(db, jobIds)) {
    const { remains } = body.result;
    if (remains === null) continue;
    found.set(jobId, {
      fromStitch: remains.fromStitch,
      firstPart: remains.firstPart,
      partStitches: remains.parts.map((part) => part.stitches),
      trims: remains.trims,
      sinceMs: row.made_at_ms,
      sewedMs: row.sewed_ms,
    });
  }
  return found;
}
