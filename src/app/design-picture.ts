import { designScene, svgFromScene } from "#drawing";
import { rgbFromHex } from "#core/thread";
import type { Store } from "#store";
import { readDesignAside } from "./design-reading";
import { type DesignVersionRow, inPortions } from "./records";

/** Pictures of designs as SVG text, the latest few hundred kept: the same thumbnails are asked for again and again. */

const KEPT = 400;
const pictures = new Map<string, string>();

interface PictureAsked {
  readonly store: Store;
  readonly row: DesignVersionRow;
  /** The parts' threads in order; an id the shop does not know is drawn grey. */
  readonly threadIds: readonly (string | null)[];
  readonly size: "small" | "full";
  readonly file: () => Promise<Uint8Array>;
}

/** Many thumbnails stand on one page, so a small one is drawn with few strokes. */
const SMALL_STITCHES = 8_000;

/** The design drawn as thread at true scale; parts without a thread are grey. */
export async function pictureOf({ store, row, threadIds, size, file }: PictureAsked): Promise<string> {
  const ids = [...new Set(threadIds.filter((id): id is string => id !== null && id !== ""))];
  const rows = await inPortions(ids, (portion) =>
    store.db.selectFrom("threads").select(["id", "body"]).where("id", "in", portion).execute(),
  );
  const colours = new Map(rows.map(({ id, body }) => [id, (JSON.parse(body) as { rgb: string }).rgb]));
  const drawn = threadIds.map((id) => colours.get(id ?? "") ?? "");
  const key = `${row.file_hash}/${size}/${drawn.join()}`;
  const known = pictures.get(key);
  if (known !== undefined) {
    pictures.delete(key);
    pictures.set(key, known);
    return known;
  }
  const { stitches } = await readDesignAside(await file());
  const threads = drawn.map((hex) => {
    const rgb = rgbFromHex(hex);
    return rgb === null ? undefined : { rgb };
  });
  const scene = designScene(
    stitches,
    threads,
    size === "small" ? { detail: "compact", marginMm: 1, mostStitches: SMALL_STITCHES } : { detail: "fine" },
  );
  const svg = svgFromScene(scene);
  pictures.set(key, svg);
  if (pictures.size > KEPT) pictures.delete(pictures.keys().next().value!);
  return svg;
}
