import { decode } from "jpeg-js";
import type { Store } from "#store";
import { placingRefusals } from "./refusals";

/**
 * Photos of placings: small JPEG pictures kept by content in the data folder. What a camera writes beside the picture
 * (place, time, device) is cut out before anything is kept; a deleted photo is gone from the disk.
 */

/** The longest side of a kept photo. */
export const PHOTO_LONGEST_PX = 1280;
export const PHOTO_LIMIT_BYTES = 1_000_000;
const SETTING = "placing-photos";

export interface SmallPhoto {
  readonly bytes: Uint8Array;
  readonly widthPx: number;
  readonly heightPx: number;
}

/**
 * The picture without what stands beside it.
 * @throws Refusal placing-photo-unusable with what was found.
 */
export function smallPhoto(bytes: Uint8Array): SmallPhoto {
  const refuse = (found: string, expected: string) =>
    placingRefusals("placing-photo-unusable", `The photo is ${found}; ${expected} is kept.`, [
      { field: "photo", found, expected },
    ]);
  const expected = `a JPEG of at most ${PHOTO_LONGEST_PX} px a side and ${PHOTO_LIMIT_BYTES / 1000} kB`;
  if (bytes.length === 0) throw refuse("empty", expected);
  if (bytes.length > PHOTO_LIMIT_BYTES) throw refuse(`${Math.ceil(bytes.length / 1000)} kB large`, expected);
  if (bytes[0] !== 0xff || bytes[1] !== 0xd8) throw refuse("no JPEG", expected);
  const plain = withoutNotes(bytes);
  if (plain === null) throw refuse("damaged", expected);
  let size: { readonly width: number; readonly height: number };
  try {
    size = decode(plain, {
      useTArray: true,
      tolerantDecoding: false,
      maxResolutionInMP: (PHOTO_LONGEST_PX * PHOTO_LONGEST_PX) / 1e6,
      maxMemoryUsageInMB: 64,
    });
  } catch (trouble) {
    throw refuse(/maxResolution/i.test(String(trouble)) ? "too many px" : "damaged", expected);
  }
  if (Math.max(size.width, size.height) > PHOTO_LONGEST_PX)
    throw refuse(`${size.width} × ${size.height} px`, expected);
  return { bytes: plain, widthPx: size.width, heightPx: size.height };
}

/**
 * A JPEG (ISO/IEC 10918-1, Annex B) without its application and comment segments but the first two, which say how its
 * colours are meant (JFIF, APP0; Adobe, APP14); null where its segments do not follow one another.
 */
function withoutNotes(bytes: Uint8Array): Uint8Array | null {
  const kept: Uint8Array[] = [bytes.subarray(0, 2)];
  let at = 2;
  while (at + 4 <= bytes.length) {
    if (bytes[at] !== 0xff) return null;
    const marker = bytes[at + 1]!;
    if (marker === 0xff) {
      at++;
      continue;
    }
    const length = bytes[at + 2]! * 256 + bytes[at + 3]!;
    if (length < 2 || at + 2 + length > bytes.length) return null;
    const isNote = (0xe1 <= marker && marker <= 0xed) || marker === 0xef || marker === 0xfe;
    if (!isNote) kept.push(bytes.subarray(at, at + 2 + length));
    at += 2 + length;
    // From the start of scan on come the picture's own data, to the end.
    if (marker === 0xda) {
      kept.push(bytes.subarray(at, endOfPicture(bytes, at)));
      return Uint8Array.from(Buffer.concat(kept));
    }
  }
  return null;
}

/** Where the picture ends; what some phones append after it (a film, a second picture) is not kept. */
function endOfPicture(bytes: Uint8Array, from: number): number {
  for (let at = from; at + 1 < bytes.length; at++)
    if (bytes[at] === 0xff && bytes[at + 1] === 0xd9) return at + 2;
  return bytes.length;
}

export async function keepsPhotos(db: Store["db"]): Promise<boolean> {
  const row = await db.selectFrom("settings").select("value").where("key", "=", SETTING).executeTakeFirst();
  return row?.value !== "left-out";
}

export async function setKeepsPhotos(store: Store, who: string, value: "kept" | "left-out"): Promise<void> {
  await store.write({ who, what: "Changed whether photos of placings are kept" }, async (writing) => {
    await writing.db.deleteFrom("settings").where("key", "=", SETTING).execute();
    await writing.db.insertInto("settings").values({ key: SETTING, value }).execute();
    writing.touch("placing");
  });
}

/** Keeps the photo of a placing in the place of an earlier one. */
export async function keepPhoto(
  store: Store,
  asked: {
    readonly placingId: string;
    readonly who: string;
    readonly photo: SmallPhoto;
    readonly nowMs: number;
  },
): Promise<void> {
  const { placingId, who, photo, nowMs } = asked;
  const hash = await store.files.put(photo.bytes);
  const gone = await store.write({ who, what: "Kept the photo of a placing" }, async (writing) => {
    const before = await removeRows(writing.db, [placingId]);
    await writing.db
      .insertInto("placing_photos")
      .values({
        placing_id: placingId,
        file_hash: hash,
        bytes: photo.bytes.length,
        width_px: photo.widthPx,
        height_px: photo.heightPx,
        kept_at_ms: nowMs,
      })
      .execute();
    writing.touch("placing", placingId);
    return before;
  });
  await removeFiles(store, gone.result);
}

/** Deletes photos for good; gives how many there were. */
export async function deletePhotos(
  store: Store,
  who: string,
  placingIds: readonly string[],
): Promise<number> {
  const { result } = await store.write({ who, what: "Deleted photos of placings" }, async (writing) => {
    const gone = await removeRows(writing.db, placingIds);
    writing.touch("placing", ...placingIds);
    return gone;
  });
  await removeFiles(store, result);
  return result.length;
}

/** Photos whose placing was taken back go with it. */
export async function sweepPhotos(store: Store): Promise<void> {
  const orphans = await store.db
    .selectFrom("placing_photos")
    .leftJoin("placings", "placings.id", "placing_photos.placing_id")
    .select("placing_photos.placing_id")
    .where("placings.id", "is", null)
    .execute();
  if (orphans.length > 0)
    await deletePhotos(
      store,
      "The program",
      orphans.map((row) => row.placing_id),
    );
}

async function removeRows(db: Store["db"], placingIds: readonly string[]): Promise<string[]> {
  if (placingIds.length === 0) return [];
  const rows = await db
    .selectFrom("placing_photos")
    .select("file_hash")
    .where("placing_id", "in", placingIds)
    .execute();
  await db.deleteFrom("placing_photos").where("placing_id", "in", placingIds).execute();
  return rows.map((row) => row.file_hash);
}

/** Takes files away that no placing names any more; designs' and fonts' files have other content. */
async function removeFiles(store: Store, hashes: readonly string[]): Promise<void> {
  for (const hash of new Set(hashes)) {
    const named = await store.db
      .selectFrom("placing_photos")
      .select("placing_id")
      .where("file_hash", "=", hash)
      .executeTakeFirst();
    if (!named) await store.files.remove(hash);
  }
}
