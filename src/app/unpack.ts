import { refusals } from "#core/base";
import { Unzip, UnzipInflate } from "fflate";

/** Opening an archive that nobody vouches for: every byte that comes out is counted, nothing of a name is trusted. */

export const archiveRefusals = refusals({
  "archive-damaged": {
    status: 422,
    title: "The archive cannot be opened",
    advice: "Pack the files again, or drop them without an archive.",
  },
  "archive-too-large": {
    status: 413,
    title: "The archive holds too much",
    advice: "Bring the files in several smaller archives.",
  },
});

const MOST_BYTES = 200_000_000;
const MOST_ENTRIES = 2_000;
/** Machine files shrink to a third or a fifth; what inflates this much more than it weighs is no archive of them. */
const MOST_RATIO = 200;
/** Small pushes keep the overshoot past the cap small: one push can inflate to a thousand times its size. */
const PUSH_BYTES = 4_096;

export interface Unpacked {
  /** The entry's last name; folders are left out. */
  readonly name: string;
  readonly bytes: Uint8Array;
}

export const isArchive = (bytes: Uint8Array): boolean =>
  bytes[0] === 0x50 && bytes[1] === 0x4b && (bytes[2] === 3 || bytes[2] === 5);

/** The files of a zip for which `wanted` holds; refuses damaged archives and those that inflate past the caps. */
export function unpack(archive: Uint8Array, wanted: (name: string) => boolean): Unpacked[] {
  const files: Unpacked[] = [];
  const mostBytes = Math.min(MOST_BYTES, Math.max(1_000_000, archive.length * MOST_RATIO));
  let entries = 0;
  let total = 0;
  let trouble: Error | null = null;
  const unzip = new Unzip((file) => {
    entries++;
    const name = file.name.split(/[\\/]/).at(-1) ?? "";
    if (
      entries > MOST_ENTRIES ||
      trouble ||
      name === "" ||
      file.name.endsWith("/") ||
      file.name.includes("__MACOSX/") ||
      !wanted(name)
    )
      return;
    const chunks: Uint8Array[] = [];
    file.ondata = (reason, chunk, final) => {
      if (reason) trouble = reason;
      total += chunk?.length ?? 0;
      if (total > mostBytes || trouble) return;
      chunks.push(chunk);
      if (final) files.push({ name, bytes: joined(chunks) });
    };
    file.start();
  });
  unzip.register(UnzipInflate);
  try {
    for (let at = 0; at < archive.length && total <= mostBytes && trouble === null; at += PUSH_BYTES)
      unzip.push(archive.subarray(at, at + PUSH_BYTES), at + PUSH_BYTES >= archive.length);
  } catch (reason) {
    trouble = reason as Error;
  }
  if (total > mostBytes)
    throw archiveRefusals(
      "archive-too-large",
      `The archive of ${(archive.length / 1e6).toFixed(1)} MB inflates to more than ${Math.round(mostBytes / 1e6)} MB.`,
    );
  if (entries > MOST_ENTRIES)
    throw archiveRefusals("archive-too-large", `The archive holds more than ${MOST_ENTRIES} files.`);
  if (trouble !== null || entries === 0)
    throw archiveRefusals(
      "archive-damaged",
      "It begins like a zip archive, but its entries cannot be read; it may be cut short.",
    );
  return files;
}

function joined(chunks: readonly Uint8Array[]): Uint8Array {
  if (chunks.length === 1) return chunks[0]!;
  const whole = new Uint8Array(chunks.reduce((sum, chunk) => sum + chunk.length, 0));
  let at = 0;
  for (const chunk of chunks) {
    whole.set(chunk, at);
    at += chunk.length;
  }
  return whole;
}
