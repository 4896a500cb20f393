import type { shapes } from "#contract";
import type { FontTable } from "#store";
import type { Answers, Context } from "./context";
import { makingThreads } from "./design-making-threads";
import { tidyText } from "./fold";
import { BUNDLED_FONTS, refuseFonts } from "./fonts";
import { inPortions } from "./records";
import { refuseApp } from "./refusals";

/** Alphabets and fonts: those of the program, and those the studio has added. */

const ALPHABETS: readonly shapes.Face[] = [
  { key: "alphabet:upright", name: "Upright", kind: "alphabet", about: "plain letters, best for names", own: null },
  { key: "alphabet:flowing", name: "Flowing", kind: "alphabet", about: "written letters, joined", own: null },
]; // prettier-ignore
const KINDS = { sans: "plain letters of a font", serif: "letters with feet, of a font", script: "written letters of a font" } as const; // prettier-ignore

const faceOfRow = (row: FontTable): shapes.Face => ({
  key: `own:${row.id}`,
  name: row.name,
  kind: "own",
  about: `the studio’s own font, ${row.file_name}`,
  own: { id: row.id, version: row.version, fileName: row.file_name },
});

export async function facesOf({ store }: Context): Promise<shapes.Face[]> {
  const own = await store.db
    .selectFrom("fonts")
    .selectAll()
    .where("archived", "=", 0)
    .orderBy("name")
    .orderBy("id")
    .execute();
  const bundled = BUNDLED_FONTS.map(
    ({ name, kind }): shapes.Face => ({ key: `font:${name}`, name, kind: "font", about: KINDS[kind], own: null }), // prettier-ignore
  );
  return [...ALPHABETS, ...bundled, ...own.map(faceOfRow)];
}

/** The files of the studio's own fonts among the faces, by face; archived ones too, as designs keep theirs. */
export async function fontFiles(
  { store }: Context,
  faces: readonly string[],
): Promise<Record<string, string>> {
  const ids = [...new Set(faces.filter((face) => face.startsWith("own:")).map((face) => face.slice(4)))];
  const rows = await inPortions(ids, (portion) =>
    store.db.selectFrom("fonts").selectAll().where("id", "in", portion).execute(),
  );
  const strange = ids.find((id) => !rows.some((row) => row.id === id));
  if (strange !== undefined)
    throw refuseFonts("font-unknown", `The studio has no font ${strange}.`, [
      { field: "face", found: strange, expected: "a face of the list" },
    ]);
  return Object.fromEntries(rows.map((row) => [`own:${row.id}`, row.file_hash]));
}

export function fontAnswers(context: Context): Pick<Answers, "addFont" | "archiveFont"> {
  const { store, nowMs, newId } = context;
  const rowOf = (id: string) =>
    store.db.selectFrom("fonts").selectAll().where("id", "=", id).executeTakeFirst();
  return {
    addFont: async ({ query, body }, call) => {
      const fileName = tidyText(query.name.split(/[\\/]/).at(-1)!).slice(0, 200);
      const fileHash = await store.files.put(body);
      const { name } = await makingThreads(context).soon({ do: "read-font", fileHash, fileName });
      const there = await store.db
        .selectFrom("fonts")
        .selectAll()
        .where("file_hash", "=", fileHash)
        .executeTakeFirst();
      if (there && there.archived === 0) return { face: faceOfRow(there), already: true };
      const at = nowMs();
      const { result, changeId } = await store.write(
        { who: call.who, what: `Added font ${name}` },
        async (writing) => {
          writing.touch("fonts");
          if (there) return writing.update("fonts", there.id, { archived: 0, updated_at_ms: at });
          const row: FontTable = {
            id: newId("fn"),
            version: 1,
            archived: 0,
            created_at_ms: at,
            updated_at_ms: at,
            name: name.slice(0, 120),
            file_name: fileName,
            file_hash: fileHash,
          };
          await writing.insert("fonts", row);
          return row;
        },
      );
      call.note({ changeId });
      return { face: faceOfRow(result), already: false };
    },
    archiveFont: async ({ params }, call) => {
      const row = await rowOf(params.id);
      if (!row) throw refuseFonts("font-unknown", `The studio has no font ${params.id}.`);
      if (call.ifMatch !== null && call.ifMatch !== row.version)
        throw refuseApp("changed-by-another", `The font ${row.name} was changed by someone else.`, [], {
          current: faceOfRow(row),
        });
      const { result, changeId } = await store.write(
        { who: call.who, what: `Archived font ${row.name}` },
        async (writing) => {
          writing.touch("fonts");
          return writing.update("fonts", row.id, { archived: 1, updated_at_ms: nowMs() });
        },
      );
      call.note({ changeId, version: result.version });
      return faceOfRow(result);
    },
  };
}
