import type { Answer } from "#contract";
import type { PlacingTable, Store } from "#store";
import type { Answers, Context } from "../context";
import { allOf } from "../records";
import { groundOf, machinesOf, type RunGround } from "./ground";
import { placedWords } from "./files";
import { placingsInForce, standingsOfRun } from "./in-force";
import { findablePoints } from "#core/placing";
import { keepsPhotos } from "./photos";
import { bodyOfPlacing, phoneOf, type Placing, taughtHoopOf } from "./records";

type Reader = Store["db"];
type Known = Answer<"knownForPlacing">;

/** What is near a needle or a magnet (TRADE.md, "Cautions"); the same words stand on the sheets and in the guide. */
const AT_THE_NEEDLE =
  "Power off and hands clear of needles and hook before you reach into the machine to load, check or line up.";
const MAGNETIC =
  "Magnetic hoops pinch, and their field can disturb implanted medical devices: keep them away from anyone who has one, and from cards. Hold the phone above the hoop, not on it.";

export const cautionsFor = ({ hoop, product }: Pick<RunGround, "hoop" | "product">): string[] => [
  ...(hoop?.kind === "magnetic" ? [MAGNETIC] : []),
  AT_THE_NEEDLE,
  ...(product.caution === "" ? [] : [product.caution]),
];

/** Everything a page needs to place a run; `plannedOn` yields the machine the plan in force has for it. */
export function knownAnswers(
  context: Context,
  plannedOn: (jobId: string) => Promise<string | null>,
): Pick<Answers, "knownForPlacing" | "placedRuns"> {
  const { store } = context;
  return {
    placedRuns: async () => {
      // From the pieces still to be sewn, which are few, not from all that was ever placed.
      const rows = await store.db
        .selectFrom("pieces")
        .innerJoin("jobs", "jobs.piece_id", "pieces.id")
        .innerJoin("placings", "placings.job_id", "jobs.id")
        .select("placings.job_id")
        .distinct()
        .where("pieces.state", "in", ["ready", "hooped", "sewing"])
        .where("jobs.sewn", "=", 0)
        .where("placings.state", "=", "kept")
        .execute();
      const inForce = await placingsInForce(
        store.db,
        rows.map((row) => row.job_id),
      );
      return {
        items: [...inForce.values()].map((placing) => ({
          jobId: placing.row.job_id,
          pieceId: placing.row.piece_id,
          placingId: placing.row.id,
          machineId: placing.row.machine_id,
          give: placing.body.give,
          kind: placing.row.kind as Placing["kind"],
          words: placedWords(placing),
        })),
      };
    },
    knownForPlacing: async ({ params }) => {
      const ground = await groundOf(context, params.id);
      const [machines, planned, taught, phones, people, placings, photos, threads] = await Promise.all([
        machinesOf(store.db, ground),
        plannedOn(params.id),
        taughtHoopsOf(store.db, ground.job.hoop_id),
        store.db.selectFrom("phones").selectAll().where("archived", "=", 0).orderBy("name").execute(),
        allOf(store.db, "people"),
        placingsOfRun(store.db, params.id),
        keepsPhotos(store.db),
        allOf(store.db, "threads"),
      ]);
      const { job, piece, product, hoop } = ground;
      return {
        job: {
          id: job.id,
          pieceId: piece.id,
          pieceCode: piece.code,
          placementId: job.placement_id,
          sewn: job.sewn === 1,
        },
        title: piece.personal_text || ground.designName,
        product: product.name,
        placement: job.placement_name,
        where: ground.placement?.where ?? "",
        cloth: product.cloth,
        design: {
          versionId: ground.versionId,
          name: ground.designName,
          stitches: job.stitches,
          extentsMm: ground.extentsMm,
          outline: [...ground.outline],
          parts: ground.partStitches.map((stitches, part) => {
            const threadId = ground.threadIds[part] ?? null;
            return { threadId, rgb: threads.get(threadId ?? "")?.rgb ?? null, stitches };
          }),
          findable: findablePoints(ground.design, { upTo: ground.design.kind.length, count: 8 }),
        },
        hoop: hoop && {
          id: hoop.id,
          name: hoop.name,
          kind: hoop.kind,
          widthMm: hoop.fieldWidthMm,
          heightMm: hoop.fieldHeightMm,
        },
        rule: ground.rule,
        machines: machines.map(({ machine, steps }) => ({
          id: machine.id,
          name: machine.name,
          linesUpBy: machine.linesUpBy,
          fieldWidthMm: machine.fieldWidthMm,
          fieldHeightMm: machine.fieldHeightMm,
          steps,
          planned: machine.id === planned,
        })),
        taughtHoops: taught,
        phones: phones.map(phoneOf),
        people: [...people.values()]
          .filter((person) => !person.archived)
          .map(({ id, name }) => ({ id, name })),
        cautions: cautionsFor(ground),
        photos: photos ? ("kept" as const) : ("left-out" as const),
        placings,
        begun: ground.begun && { stage: ground.begun.stage, stitches: ground.begun.stitches },
      } satisfies Known;
    },
  };
}

async function taughtHoopsOf(db: Reader, hoopId: string | null): Promise<Known["taughtHoops"]> {
  if (hoopId === null) return [];
  const rows = await db
    .selectFrom("taught_hoops")
    .selectAll()
    .where("hoop_id", "=", hoopId)
    .where("archived", "=", 0)
    .orderBy("label")
    .execute();
  return rows.map(taughtHoopOf);
}

/** A run's placings, the newest first. */
export async function placingsOfRun(db: Reader, jobId: string): Promise<Placing[]> {
  const rows = await db
    .selectFrom("placings")
    .selectAll()
    .where("job_id", "=", jobId)
    .orderBy("made_at_ms", "desc")
    .orderBy("id", "desc")
    .limit(50)
    .execute();
  return asTheyTravel(db, rows);
}

/** Rows of one run as they travel, with whether each counts and its photo. */
export async function asTheyTravel(db: Reader, rows: readonly PlacingTable[]): Promise<Placing[]> {
  if (rows.length === 0) return [];
  const ids = rows.map((row) => row.id);
  const [standings, photos] = await Promise.all([
    standingsOfRun(db, rows),
    db.selectFrom("placing_photos").selectAll().where("placing_id", "in", ids).execute(),
  ]);
  const photoOf = new Map(photos.map((photo) => [photo.placing_id, photo]));
  return rows.map((row): Placing => {
    const { who, give, marks, result } = bodyOfPlacing(row);
    const photo = photoOf.get(row.id);
    const why = standings.get(row.id) ?? "";
    return {
      id: row.id,
      version: row.version,
      kind: row.kind as Placing["kind"],
      state: row.state as Placing["state"],
      way: row.way as Placing["way"],
      atMs: row.made_at_ms,
      who,
      pieceId: row.piece_id,
      jobId: row.job_id,
      machineId: row.machine_id,
      hoopId: row.hoop_id,
      taughtHoopId: row.taught_hoop_id,
      personId: row.person_id,
      phoneId: row.phone_id,
      give,
      result,
      inForce: why === "",
      notInForceWhy: why,
      marks,
      photo: photo ? { widthPx: photo.width_px, heightPx: photo.height_px, bytes: photo.bytes } : null,
    };
  });
}
