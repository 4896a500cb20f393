import { createHash, randomBytes } from "node:crypto";
import { mkdir, open, readFile, rename, rm, stat } from "node:fs/promises";
import path from "node:path";
import { refuseStore } from "./refusals";

export interface FileStore {
  put(bytes: Uint8Array): Promise<string>;
  get(hash: string): Promise<Uint8Array>;
  remove(hash: string): Promise<void>;
}

const isHash = (text: string) => /^[0-9a-f]{64}$/.test(text);
const sha256 = (bytes: Uint8Array) => createHash("sha256").update(bytes).digest("hex");

/** Where a file of this hash lies below the folder of files. */
export const pathOfFile = (folder: string, hash: string) => path.join(folder, hash.slice(0, 2), hash);

/**
 * Bytes by content: written under a temporary name, synced, renamed, and the folder synced, so that a name is
 * never seen with half its bytes. The client's file name never touches the disk.
 */
export function fileStore(folder: string): FileStore {
  return {
    async put(bytes) {
      const hash = sha256(bytes);
      const target = pathOfFile(folder, hash);
      if (await hasLength(target, bytes.length)) return hash;
      try {
        await writeWhole(target, bytes);
      } catch (error) {
        if ((error as NodeJS.ErrnoException).code === "ENOSPC")
          throw refuseStore("disk-full", `The disk has no room for a file of ${bytes.length} bytes.`);
        throw error;
      }
      return hash;
    },
    async get(hash) {
      if (!isHash(hash)) throw refuseStore("file-unknown", "That is no name of a kept file.");
      const bytes = await readFile(pathOfFile(folder, hash)).catch((error: NodeJS.ErrnoException) => {
        if (error.code === "ENOENT")
          throw refuseStore("file-unknown", `The file ${hash.slice(0, 12)}… is not in the data folder.`);
        throw error;
      });
      if (sha256(bytes) !== hash)
        throw refuseStore("database-damaged", `The kept file ${hash.slice(0, 12)}… is not what was stored.`);
      return bytes;
    },
    async remove(hash) {
      if (isHash(hash)) await rm(pathOfFile(folder, hash), { force: true });
    },
  };
}

/** For tests and for looking at a machine file without a data folder. */
export function memoryFileStore(): FileStore {
  const kept = new Map<string, Uint8Array>();
  return {
    async put(bytes) {
      const hash = sha256(bytes);
      kept.set(hash, Uint8Array.from(bytes));
      return hash;
    },
    async get(hash) {
      const bytes = kept.get(hash);
      if (!bytes) throw refuseStore("file-unknown", `The file ${hash.slice(0, 12)}… is not there.`);
      return Uint8Array.from(bytes);
    },
    async remove(hash) {
      kept.delete(hash);
    },
  };
}

const hasLength = (file: string, length: number) =>
  stat(file).then(
    (found) => found.isFile() && found.size === length,
    () => false,
  );

/** Writes a file so that it is there whole after a power cut, or not at all. */
export async function writeWhole(target: string, bytes: Uint8Array): Promise<void> {
  const folder = path.dirname(target);
  await mkdir(folder, { recursive: true });
  const temporary = path.join(folder, `.${randomBytes(8).toString("hex")}.part`);
  try {
    const handle = await open(temporary, "wx", 0o600);
    try {
      await handle.writeFile(bytes);
      await handle.sync();
    } finally {
      await handle.close();
    }
    await rename(temporary, target);
    await syncFolder(folder);
  } catch (error) {
    await rm(temporary, { force: true });
    throw error;
  }
}

export async function syncFolder(folder: string): Promise<void> {
  // Windows cannot open a folder; there the rename itself is journalled.
  const handle = await open(folder, "r").catch(() => null);
  if (!handle) return;
  await handle.sync().catch(() => undefined);
  await handle.close();
}
