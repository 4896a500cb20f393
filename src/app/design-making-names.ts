import { zipSync } from "fflate";
import { refusals } from "#core/base";
import { machineFileName } from "#core/stitch";
import type { shapes } from "#contract";
import type { Answers, Context } from "./context";
import { tidyText } from "./fold";
import { type Cell, writeCsv } from "./paper/csv";
import { findPersonal, keepPersonal, type Making, makePersonal, makingKeyOf, type PersonalDesign, type Recipe, recipeLines } from "./personal-designs"; // prettier-ignore
import { type DesignVersionRow, versionOf } from "./records";

/** Names in numbers: one design a name by one recipe, made in threads, kept in portions, each with what was found. */

export const nameRefusals = refusals({
  "names-unknown": {
    status: 404,
    title: "There is no such run of names",
    advice: "The last twenty are known until the program ends; the designs themselves are kept.",
  },
  "names-base-unknown": {
    status: 422,
    title: "The picture of the recipe is not there",
    advice: "Choose a design of the list.",
  },
});

type NamesAnswers = Pick<Answers, "makeNames" | "readNames" | "stopNames" | "namesArchive">;
type Run = shapes.NamesRun & { stop: boolean };
type Name = shapes.NamesRun["names"][number];

const KNOWN_RUNS = 20;
/** Names under way at once: as many as the threads have, and one each that waits. */
const LANES = 4;
const PORTION = 50;

export function namesAnswers(context: Context): NamesAnswers {
  const { nowMs, newId } = context;
  const runs = new Map<string, Run>();
  const runOf = (id: string): Run => {
    const run = runs.get(id);
    if (!run) throw nameRefusals("names-unknown", `There is no run of names ${id}.`);
    return run;
  };
  const told = ({ stop: _, ...run }: Run): shapes.NamesRun => ({ ...run, names: [...run.names] });

  return {
    makeNames: async ({ body: { recipe, names } }) => {
      const base = await baseOf(context, recipe);
      const id = newId("nr");
      const run: Run = { id, state: "running", of: names.length, done: 0, begunAtMs: nowMs(), tookMs: 0, failure: null, names: [], stop: false }; // prettier-ignore
      runs.set(id, run);
      if (runs.size > KNOWN_RUNS) runs.delete(runs.keys().next().value!);
      const begun = performance.now();
      void runNames(context, run, recipe, base, names)
        .then(() => void (run.state = run.stop ? "stopped" : "done"))
        .catch((error: unknown) => {
          context.log.error("Names could not be made", { error });
          Object.assign(run, { state: "failed", failure: error instanceof Error ? error.message : String(error) }); // prettier-ignore
        })
        .finally(() => {
          run.tookMs = Math.round(performance.now() - begun);
        });
      return told(run);
    },
    readNames: async ({ params }) => told(runOf(params.id)),
    stopNames: async ({ params }) => {
      const run = runOf(params.id);
      run.stop = true;
      return told(run);
    },
    namesArchive: async ({ params }) => {
      const { names } = runOf(params.id);
      return {
        bytes: await archiveOf(context, names),
        mediaType: "application/zip",
        saveAs: "names.zip",
      };
    },
  };
}

async function baseOf({ store }: Context, recipe: shapes.NameRecipe): Promise<DesignVersionRow | null> {
  if (recipe.designId === null || recipe.place === "alone") return null;
  const row = await store.db
    .selectFrom("design_versions")
    .innerJoin("designs", "designs.latest_version_id", "design_versions.id")
    .selectAll("design_versions")
    .where("designs.id", "=", recipe.designId)
    .executeTakeFirst();
  if (!row) throw nameRefusals("names-base-unknown", `There is no design ${recipe.designId}.`);
  return row;
}

async function runNames(
  context: Context,
  run: Run,
  recipe: shapes.NameRecipe,
  base: DesignVersionRow | null,
  asked: readonly { readonly text: string; readonly threadId: string | null }[],
): Promise<void> {
  const names = asked.map(({ text, threadId }) => {
    const lines = recipeLines(recipe, tidyText(text));
    const threadIds = lines.flatMap((line) => (line.joins ? [] : [threadId ?? line.threadId]));
    return {
      text: tidyText(text),
      threadId: threadId ?? recipe.threadId,
      threadIds,
      recipe: recipeOf(lines),
    };
  });
  function recipeOf([first, ...further]: ReturnType<typeof recipeLines>): Recipe {
    const { text, face, heightMm, maxWidthMm, leastHeightMm, arcDeg } = first!;
    const place = base === null ? "alone" : recipe.place;
    const own = { base, text, face, heightMm, maxWidthMm, leastHeightMm, arcDeg, place, cloth: recipe.cloth } as const; // prettier-ignore
    return further.length === 0 ? own : { ...own, further };
  }
  for (let from = 0; from < names.length && !run.stop; from += PORTION) {
    const portion = names.slice(from, from + PORTION);
    const keys = portion.map((name) => makingKeyOf(name.recipe));
    const there = await findPersonal(context.store.db, [...new Set(keys)]);
    const made = new Map<string, PersonalDesign | { readonly trouble: string }>();
    const waiting = portion.entries();
    const lane = async () => {
      for (const [at, { recipe: own, threadIds }] of waiting) {
        const key = keys[at]!;
        if (!there.has(key) && !made.has(key) && !run.stop) {
          made.set(key, { trouble: "" });
          made.set(key, await makePersonal(context, own, threadIds, "in threads"));
        }
        run.done++;
      }
    };
    await Promise.all(Array.from({ length: LANES }, lane));
    if (run.stop) return;
    const fresh = [...made.values()].flatMap((one) => ("version" in one ? [one] : []));
    await context.store.write({ who: "The program", what: `Made ${fresh.length} names` }, (writing) =>
      keepPersonal(writing, fresh),
    );
    portion.forEach(({ text, threadId }, at) => {
      const known = there.get(keys[at]!);
      const one = made.get(keys[at]!);
      if (known) run.names.push(nameOf(text, threadId, known));
      else if (one && "version" in one) run.names.push(nameOf(text, threadId, one.version));
      else run.names.push(notMade(text, threadId, one && "trouble" in one ? one.trouble : ""));
    });
  }
}

function nameOf(text: string, threadId: string | null, row: DesignVersionRow): Name {
  const version = versionOf(row);
  const making = JSON.parse(row.making ?? "{}") as Partial<Making>;
  const { left, right } = version.extentsMm;
  return {
    text,
    threadId,
    versionId: row.id,
    designId: row.design_id,
    trouble: null,
    findings: version.findings,
    stitches: row.stitches,
    widthMm: making.madeWidthMm ?? Math.round((right - left) * 10) / 10,
    heightMm: making.madeHeightMm ?? making.heightMm ?? 0,
  };
}

const notMade = (text: string, threadId: string | null, trouble: string): Name => ({
  text,
  threadId,
  versionId: null,
  designId: null,
  trouble,
  findings: [],
  stitches: 0,
  widthMm: 0,
  heightMm: 0,
});

/** The machine files under names a machine shows, in the order given, and a list of them. */
async function archiveOf({ store }: Context, names: readonly Name[]): Promise<Uint8Array> {
  const files: Record<string, Uint8Array> = {};
  const taken = new Set<string>();
  const lines: Cell[][] = [];
  for (const [at, name] of names.entries()) {
    if (name.versionId === null) {
      lines.push(["", name.text, "", "", "", name.trouble ?? ""]);
      continue;
    }
    const row = await store.db.selectFrom("design_versions").select("file_hash").where("id", "=", name.versionId).executeTakeFirstOrThrow(); // prettier-ignore
    const file = `${machineFileName(at + 1, name.text, taken)}.DST`;
    files[file] = await store.files.get(row.file_hash);
    lines.push([file, name.text, name.heightMm, name.widthMm, name.stitches, name.findings.map(({ message }) => message).join(" ")]); // prettier-ignore
  }
  files["names.csv"] = writeCsv(
    ["File", "Text", "Height mm", "Width mm", "Stitches", "What was found"],
    lines,
  );
  return zipSync(files, { level: 1 });
}
