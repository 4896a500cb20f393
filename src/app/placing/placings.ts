import type { Asked, Rows } from "#contract";
import { refusePlacing } from "#core/placing";
import { readMachineFile, writeMachineFile } from "#core/stitch";
import type { PlacingTable, Store } from "#store";
import type { Answers, Context } from "../context";
import { changedByAnother } from "../studio";
import { placedStitches } from "./files";
import { groundOf, machineOf, type MachineGround, mustBePerson, type RunGround } from "./ground";
import { asTheyTravel } from "./known";
import { measuredRun } from "./measure";
import { deletePhotos, keepPhoto, keepsPhotos, smallPhoto, sweepPhotos } from "./photos";
import { bodyOfPlacing, type Placing, type PlacingBody, type PlacingResult } from "./records";
import { placingRefusals } from "./refusals";

type Reader = Store["db"];
export type Marks = Asked<Rows["keepPlacing"]>["body"];
type PlacingAnswers = Pick<
  Answers,
  | "previewPlacing"
  | "keepPlacing"
  | "readPlacing"
  | "withdrawPlacing"
  | "placedFile"
  | "placingPhoto"
  | "keepPlacingPhoto"
  | "deletePlacingPhoto"
>;

/** Placing a run: what its marks say, kept or not; always computed here from the marks, whatever the phone has shown. */
export function placingsAnswers(context: Context): PlacingAnswers {
  const { store, nowMs, newId } = context;

  const measure = async (jobId: string, marks: Marks) => {
    const ground = await groundOf(context, jobId);
    if (ground.job.sewn === 1 && marks.kind === "first")
      throw placingRefusals(
        "placing-run-not-placeable",
        `${ground.job.placement_name} of piece ${ground.piece.code} is sewn already.`,
      );
    const on = await machineOf(store.db, ground, marks.machineId);
    return { ground, on, result: await measuredRun(store.db, { ground, on, marks }) };
  };

  return {
    previewPlacing: async ({ params, body }) => (await measure(params.id, body)).result,
    keepPlacing: async ({ params, body }, call) => {
      const { ground, on, result } = await measure(params.id, body);
      await mustBePerson(store.db, body.personId);
      refuseOutside(ground, on, result);
      const way = result.ways.find((one) => one.give === body.give)!;
      if (!way.able)
        throw placingRefusals("placing-machine-not-able", `${on.machine.name}: ${way.why}`, [
          { field: "give", found: body.give },
        ]);
      const row = rowOf({
        id: newId("pg"),
        atMs: nowMs(),
        ground,
        marks: body,
        body: { who: call.who, give: body.give, marks: body, result },
        state: result.sure && way.sure ? "kept" : "unsure",
      });
      const { changeId } = await store.write(
        { who: call.who, what: `Placed ${ground.job.placement_name} of piece ${ground.piece.code}` },
        async (writing) => {
          await writing.insert("placings", row);
          // What is left to sew of a second run is the plan's business.
          if (row.kind === "again") writing.touch("pieces", row.piece_id);
        },
      );
      call.note({ version: row.version, changeId });
      if (row.state === "unsure") throw refuseUnsure(row.id, result, way);
      return one(store.db, row.id);
    },
    readPlacing: async ({ params }, call) => {
      const placing = await one(store.db, params.id);
      call.note({ version: placing.version });
      return placing;
    },
    withdrawPlacing: async ({ params }, call) => {
      const done = await store.write({ who: call.who, what: "Withdrew a placing" }, async (writing) => {
        const row = await placingRow(writing.db, params.id);
        if (call.ifMatch !== row.version)
          throw changedByAnother(call.ifMatch, row.version, await one(writing.db, params.id));
        if (row.kind === "again") writing.touch("pieces", row.piece_id);
        return writing.update("placings", row.id, { state: "withdrawn" });
      });
      call.note({ version: done.result.version, changeId: done.changeId });
      return one(store.db, params.id);
    },
    placedFile: async ({ params }) => {
      const row = await placingRow(store.db, params.id);
      if (row.state === "unsure")
        throw refusePlacing("placing-not-sure-enough", "This placing was not known well enough for a file.");
      const version = await store.db
        .selectFrom("design_versions")
        .select("file_hash")
        .where("id", "=", row.design_version_id)
        .executeTakeFirst();
      if (!version)
        throw placingRefusals(
          "placing-run-not-placeable",
          "The design of this placing is not there any more.",
        );
      const design = readMachineFile(await store.files.get(version.file_hash)).stitches;
      const bytes = writeMachineFile(placedStitches(design, { body: bodyOfPlacing(row) }), "PLACED");
      return { bytes, mediaType: "application/octet-stream", saveAs: "PLACED.DST" };
    },
    ...photoAnswers(context),
  };
}

function photoAnswers(
  context: Context,
): Pick<PlacingAnswers, "placingPhoto" | "keepPlacingPhoto" | "deletePlacingPhoto"> {
  const { store, nowMs } = context;
  return {
    placingPhoto: async ({ params }) => {
      const photo = await store.db
        .selectFrom("placing_photos")
        .select("file_hash")
        .where("placing_id", "=", params.id)
        .executeTakeFirst();
      if (!photo) throw placingRefusals("placing-photo-unknown", `Placing ${params.id} has no photo.`);
      return { bytes: await store.files.get(photo.file_hash), mediaType: "image/jpeg" };
    },
    keepPlacingPhoto: async ({ params, body }, call) => {
      await placingRow(store.db, params.id);
      if (!(await keepsPhotos(store.db)))
        throw placingRefusals("placing-photos-left-out", "Photos are left out in this studio.");
      await sweepPhotos(store);
      await keepPhoto(store, {
        placingId: params.id,
        who: call.who,
        photo: smallPhoto(body),
        nowMs: nowMs(),
      });
      return one(store.db, params.id);
    },
    deletePlacingPhoto: async ({ params }, call) => {
      await placingRow(store.db, params.id);
      const deleted = await deletePhotos(store, call.who, [params.id]);
      if (deleted === 0) throw placingRefusals("placing-photo-unknown", `Placing ${params.id} has no photo.`);
      return one(store.db, params.id);
    },
  };
}

/** @throws Refusal placing-unknown */
async function placingRow(db: Reader, id: string): Promise<PlacingTable> {
  const row = await db.selectFrom("placings").selectAll().where("id", "=", id).executeTakeFirst();
  if (!row)
    throw placingRefusals("placing-unknown", `There is no placing ${id}.`, [{ field: "id", found: id }]);
  return row;
}

/** One placing as it travels: whether it counts is seen among all of its run. */
async function one(db: Reader, id: string): Promise<Placing> {
  const row = await placingRow(db, id);
  const all = await db.selectFrom("placings").selectAll().where("job_id", "=", row.job_id).execute();
  return (await asTheyTravel(db, all)).find((placing) => placing.id === id)!;
}

function refuseOutside(ground: RunGround, { machine }: MachineGround, { room }: PlacingResult): void {
  const sides = [
    ["left", room.leftMm],
    ["right", room.rightMm],
    ["near side", room.nearMm],
    ["far side", room.farMm],
  ] as const;
  const over = sides.filter(([, mm]) => mm < 0);
  if (over.length === 0) return;
  const words = over.map(([side, mm]) => `${(-mm).toFixed(1)} mm over on the ${side}`).join(", ");
  const hoop = ground.hoop ? `hoop ${ground.hoop.name} on ${machine.name}` : machine.name;
  throw placingRefusals("placing-leaves-field", `The design would lie ${words} of the field of ${hoop}.`);
}

function refuseUnsure(placingId: string, result: PlacingResult, way: PlacingResult["ways"][number]) {
  const { tolerance } = result;
  const advice = result.advice.length > 0 ? ` What helps: ${result.advice.join("; ")}.` : "";
  const why = way.why === "" ? "" : ` ${way.why}`;
  return refusePlacing(
    "placing-not-sure-enough",
    `The place is known to ±${way.errorMm.toFixed(1)} mm and ±${way.errorDeg.toFixed(2)}°; this product allows ±${tolerance.mm} mm and ±${tolerance.degrees}°.${why}${advice} The marks are kept.`,
    [
      { field: "mm", found: way.errorMm.toFixed(2), expected: `at most ${tolerance.mm}` },
      { field: "degrees", found: way.errorDeg.toFixed(3), expected: `at most ${tolerance.degrees}` },
    ],
    { placingId, adviceList: result.advice },
  );
}

interface RowAsked {
  readonly id: string;
  readonly atMs: number;
  readonly ground: RunGround;
  readonly marks: Marks;
  readonly body: PlacingBody;
  readonly state: "kept" | "unsure";
}

function rowOf({ id, atMs, ground, marks, body, state }: RowAsked): PlacingTable {
  const { job, piece, begun } = ground;
  const { cloth } = body.result;
  return {
    id,
    version: 1,
    updated_at_ms: atMs,
    made_at_ms: atMs,
    kind: marks.kind,
    state,
    way: marks.seen.way,
    piece_id: piece.id,
    job_id: job.id,
    product_id: piece.product_id,
    placement_id: job.placement_id,
    machine_id: marks.machineId,
    hoop_id: job.hoop_id,
    taught_hoop_id: marks.seen.way === "markers" ? marks.seen.taughtHoopId : null,
    person_id: marks.personId,
    phone_id: marks.seen.way === "tape" ? null : marks.seen.phoneId,
    design_version_id: ground.versionId,
    hooped_at_ms: begun?.hoopedAtMs ?? null,
    sewed_ms: begun?.sewedMs ?? 0,
    angle_rad: (cloth.deg * Math.PI) / 180,
    shift_x_mm: cloth.xMm,
    shift_y_mm: cloth.yMm,
    body: JSON.stringify(body),
  };
}
