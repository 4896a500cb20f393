import { HOOP_MARKER_SIDE_MM, SHEET_FIRST_ID } from "#core/placing";
import type { Answers, Call, Context } from "../context";
import { gridSheetPdf, markersPdf } from "../paper/placing-sheets";
import { allOf, studioOf } from "../records";
import { refuseApp } from "../refusals";
import { changedByAnother } from "../studio";
import { measuredAside } from "./measure-aside";
import { deletePhotos, keepsPhotos, setKeepsPhotos } from "./photos";
import {
  ownSteps,
  phoneOf,
  phoneRow,
  type TaughtBody,
  taughtHoopOf,
  taughtHoopRow,
  usualSteps,
} from "./records";
import { placingRefusals } from "./refusals";

type TeachingAnswers = Pick<
  Answers,
  | "placingSettings"
  | "setPlacingSettings"
  | "deletePlacingPhotos"
  | "listPhones"
  | "addPhone"
  | "changePhone"
  | "measureLens"
  | "listTaughtHoops"
  | "addTaughtHoop"
  | "changeTaughtHoop"
  | "teachHoop"
  | "hoopMarkers"
  | "gridSheet"
  | "machineSteps"
  | "setMachineSteps"
>;

/** What is taught once: phones, hoops, machines; the sheets it is taught with; whether photos are kept. */
export function teachingAnswers(context: Context): TeachingAnswers {
  const { store } = context;
  const settings = async () => {
    const rows = await store.db.selectFrom("placing_photos").select(["bytes"]).execute();
    return {
      photos: (await keepsPhotos(store.db)) ? ("kept" as const) : ("left-out" as const),
      kept: rows.length,
      keptBytes: rows.reduce((sum, row) => sum + row.bytes, 0),
    };
  };
  return {
    placingSettings: settings,
    setPlacingSettings: async ({ body }, call) => {
      await setKeepsPhotos(store, call.who, body.photos);
      return settings();
    },
    deletePlacingPhotos: async (_asked, call) => {
      const rows = await store.db.selectFrom("placing_photos").select("placing_id").execute();
      let deleted = 0;
      for (let at = 0; at < rows.length; at += 500)
        deleted += await deletePhotos(
          store,
          call.who,
          rows.slice(at, at + 500).map((row) => row.placing_id),
        );
      return { deleted };
    },
    ...phoneAnswers(context),
    ...hoopAnswers(context),
    ...machineAnswers(context),
  };
}

function phoneAnswers(
  context: Context,
): Pick<TeachingAnswers, "listPhones" | "addPhone" | "changePhone" | "measureLens"> {
  const { store, nowMs, newId } = context;
  const noted = (
    call: Call,
    done: { result: Parameters<typeof phoneOf>[0]; changeId: string | null },
  ): ReturnType<typeof phoneOf> => {
    call.note({ version: done.result.version, changeId: done.changeId });
    return phoneOf(done.result);
  };
  return {
    listPhones: async () => ({
      items: (await store.db.selectFrom("phones").selectAll().orderBy("name").execute()).map(phoneOf),
    }),
    addPhone: async ({ body }, call) => {
      const row = {
        id: newId("ph"),
        version: 1,
        archived: 0,
        created_at_ms: nowMs(),
        updated_at_ms: nowMs(),
        name: body.name,
        body: JSON.stringify({ lens: null }),
      };
      return noted(
        call,
        await store.write({ who: call.who, what: `Added phone ${body.name}` }, async (writing) => {
          await writing.insert("phones", row);
          return row;
        }),
      );
    },
    changePhone: async ({ params, body }, call) =>
      noted(
        call,
        await store.write({ who: call.who, what: `Changed phone ${body.name}` }, async (writing) => {
          const row = await phoneRow(writing.db, params.id);
          if (call.ifMatch !== row.version) throw changedByAnother(call.ifMatch, row.version, phoneOf(row));
          return writing.update("phones", row.id, { name: body.name, archived: body.archived ? 1 : 0 });
        }),
      ),
    measureLens: async ({ params, body }, call) => {
      await phoneRow(store.db, params.id);
      const paper = await paperOf(context, body.printed.paper);
      const lens = await measuredAside({ of: "lens", body, paper, nowMs: nowMs() });
      return noted(
        call,
        await store.write({ who: call.who, what: "Measured a phone's lens" }, async (writing) => {
          await phoneRow(writing.db, params.id);
          return writing.update("phones", params.id, { body: JSON.stringify({ lens }) });
        }),
      );
    },
  };
}

async function paperOf(context: Context, asked: "A4" | "Letter" | ""): Promise<"A4" | "Letter"> {
  if (asked !== "") return asked;
  return (await studioOf(context.store.db))?.body.paper ?? "A4";
}

function hoopAnswers(
  context: Context,
): Pick<
  TeachingAnswers,
  "listTaughtHoops" | "addTaughtHoop" | "changeTaughtHoop" | "teachHoop" | "hoopMarkers" | "gridSheet"
> {
  const { store, nowMs, newId } = context;
  const noted = (
    call: Call,
    done: { result: Parameters<typeof taughtHoopOf>[0]; changeId: string | null },
  ): ReturnType<typeof taughtHoopOf> => {
    call.note({ version: done.result.version, changeId: done.changeId });
    return taughtHoopOf(done.result);
  };
  const hoopOf = async (id: string) => {
    const hoop = (await allOf(store.db, "hoops")).get(id);
    if (!hoop)
      throw refuseApp("reference-wrong", `There is no hoop ${id}.`, [{ field: "hoopId", found: id }]);
    return hoop;
  };
  return {
    listTaughtHoops: async ({ query }) => {
      let rows = store.db.selectFrom("taught_hoops").selectAll().orderBy("label");
      if (query.hoop !== "") rows = rows.where("hoop_id", "=", query.hoop);
      return { items: (await rows.execute()).map(taughtHoopOf) };
    },
    addTaughtHoop: async ({ body }, call) => {
      await hoopOf(body.hoopId);
      return noted(
        call,
        await store.write({ who: call.who, what: `Gave hoop ${body.label} markers` }, async (writing) => {
          const used = await usedMarkers(writing.db);
          const markerIds = chooseMarkers(body, used);
          const row = {
            id: newId("tf"),
            version: 1,
            archived: 0,
            created_at_ms: nowMs(),
            updated_at_ms: nowMs(),
            hoop_id: body.hoopId,
            label: body.label,
            body: JSON.stringify({ markerIds, taught: null } satisfies TaughtBody),
          };
          await writing.insert("taught_hoops", row);
          return row;
        }),
      );
    },
    changeTaughtHoop: async ({ params, body }, call) =>
      noted(
        call,
        await store.write({ who: call.who, what: `Changed taught hoop ${body.label}` }, async (writing) => {
          const row = await taughtHoopRow(writing.db, params.id);
          if (call.ifMatch !== row.version)
            throw changedByAnother(call.ifMatch, row.version, taughtHoopOf(row));
          const own = taughtHoopOf(row);
          if (own.archived && !body.archived) {
            const used = await usedMarkers(writing.db);
            refuseTaken(own.markerIds, used);
          }
          return writing.update("taught_hoops", row.id, {
            label: body.label,
            archived: body.archived ? 1 : 0,
          });
        }),
      ),
    teachHoop: async ({ params, body }, call) => {
      const own = taughtHoopOf(await taughtHoopRow(store.db, params.id));
      const phone = body.phoneId === null ? null : phoneOf(await phoneRow(store.db, body.phoneId));
      const taught = await measuredAside({
        of: "hoop",
        body,
        markerIds: own.markerIds,
        phone,
        paper: await paperOf(context, body.printed.paper),
        nowMs: nowMs(),
      });
      return noted(
        call,
        await store.write({ who: call.who, what: `Taught hoop ${own.label}` }, async (writing) => {
          const row = await taughtHoopRow(writing.db, params.id);
          const { markerIds } = taughtHoopOf(row);
          return writing.update("taught_hoops", params.id, {
            body: JSON.stringify({ markerIds, taught } satisfies TaughtBody),
          });
        }),
      );
    },
    hoopMarkers: async ({ params, query }) => {
      const own = taughtHoopOf(await taughtHoopRow(store.db, params.id));
      const hoop = await hoopOf(own.hoopId);
      const bytes = await markersPdf({
        label: own.label,
        hoopName: hoop.name,
        isMagnetic: hoop.kind === "magnetic",
        markerIds: own.markerIds,
        sideMm: HOOP_MARKER_SIDE_MM,
        ...(await sheetOf(context, query.paper)),
      });
      return { bytes, mediaType: "application/pdf" };
    },
    gridSheet: async ({ query }) => ({
      bytes: await gridSheetPdf(await sheetOf(context, query.paper)),
      mediaType: "application/pdf",
    }),
  };
}

async function sheetOf(context: Context, paper: "A4" | "Letter" | "") {
  const studio = await studioOf(context.store.db);
  return {
    studioName: studio?.body.name ?? "Studio",
    paper: await paperOf(context, paper),
    nowMs: context.nowMs(),
  };
}

/** Numbers on hoops in use, with the hoop's label. */
async function usedMarkers(db: Context["store"]["db"]): Promise<Map<number, string>> {
  const rows = await db.selectFrom("taught_hoops").selectAll().where("archived", "=", 0).execute();
  return new Map(
    rows.map(taughtHoopOf).flatMap((one) => one.markerIds.map((id) => [id, one.label] as const)),
  );
}

function refuseTaken(ids: readonly number[], used: ReadonlyMap<number, string>): void {
  const taken = ids.find((id) => used.has(id));
  if (taken !== undefined)
    throw placingRefusals("placing-markers-taken", `Marker ${taken} sticks to hoop ${used.get(taken)!}.`, [
      { field: "markerIds", found: String(taken) },
    ]);
}

function chooseMarkers(
  asked: { readonly markerIds: readonly number[]; readonly markers: number },
  used: ReadonlyMap<number, string>,
): number[] {
  if (asked.markerIds.length > 0) {
    const ids = [...new Set(asked.markerIds)];
    if (ids.length < 3 || ids.some((id) => id >= SHEET_FIRST_ID))
      throw placingRefusals(
        "placing-markers-taken",
        `A hoop needs three markers or more, numbered 0 to ${SHEET_FIRST_ID - 1}; from ${SHEET_FIRST_ID} on they are on grid sheets.`,
        [{ field: "markerIds", found: ids.join(", ") }],
      );
    refuseTaken(ids, used);
    return ids;
  }
  const free = Array.from({ length: SHEET_FIRST_ID }, (_, id) => id).filter((id) => !used.has(id));
  if (free.length < asked.markers)
    throw placingRefusals(
      "placing-markers-used-up",
      `${free.length} of ${SHEET_FIRST_ID} marker numbers are free; ${asked.markers} are asked for.`,
      [{ field: "markers", found: String(asked.markers), expected: `at most ${free.length}` }],
    );
  return free.slice(0, asked.markers);
}

function machineAnswers(context: Context): Pick<TeachingAnswers, "machineSteps" | "setMachineSteps"> {
  const { store, nowMs } = context;
  const read = async (id: string) => {
    const machine = (await allOf(store.db, "machines")).get(id);
    if (!machine) throw refuseApp("not-found", `There is no machine ${id}.`, [{ field: "id", found: id }]);
    const own = (await ownSteps(store.db)).get(id);
    return {
      machineId: id,
      steps: own ?? usualSteps(machine),
      areOwn: own !== undefined,
      name: machine.name,
    };
  };
  const answered = ({ machineId, steps, areOwn }: Awaited<ReturnType<typeof read>>) => ({
    machineId,
    steps,
    areOwn,
  });
  return {
    machineSteps: async ({ params }) => answered(await read(params.id)),
    setMachineSteps: async ({ params, body }, call) => {
      const { name, areOwn } = await read(params.id);
      const { changeId } = await store.write(
        { who: call.who, what: `Changed what machine ${name} can be told` },
        async (writing) => {
          const set = { body: JSON.stringify(body.steps) };
          if (body.steps === null) {
            if (areOwn) await writing.remove("machine_steps", params.id);
          } else if (areOwn) await writing.update("machine_steps", params.id, set);
          else
            await writing.insert("machine_steps", {
              id: params.id,
              version: 1,
              updated_at_ms: nowMs(),
              ...set,
            });
        },
      );
      call.note({ changeId });
      return answered(await read(params.id));
    },
  };
}
