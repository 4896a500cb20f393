import { mkdirSync } from "node:fs";
import { homedir } from "node:os";
import path from "node:path";
import Database from "better-sqlite3";
import { refuseStore } from "./refusals";

/** The data folder and what lies in it. */
export interface DataFolder {
  readonly root: string;
  readonly database: string;
  readonly files: string;
  readonly backups: string;
}

/** Where a program keeps a person's data on this kind of computer, unless told otherwise. */
export function usualDataFolder(
  env: NodeJS.ProcessEnv = process.env,
  platform: NodeJS.Platform = process.platform,
): string {
  if (platform === "win32")
    return path.join(env.LOCALAPPDATA ?? path.join(homedir(), "AppData", "Local"), "Spoolwright");
  if (platform === "darwin") return path.join(homedir(), "Library", "Application Support", "Spoolwright");
  return path.join(env.XDG_DATA_HOME || path.join(homedir(), ".local", "share"), "spoolwright");
}

export function dataFolder(root: string): DataFolder {
  const whole = path.resolve(root);
  return {
    root: whole,
    database: path.join(whole, "spoolwright.sqlite"),
    files: path.join(whole, "files"),
    backups: path.join(whole, "backups"),
  };
}

/** Makes the folder where it is missing; only its owner may look in. */
export function makeFolder(folder: DataFolder): void {
  try {
    for (const one of [folder.root, folder.files, folder.backups])
      mkdirSync(one, { recursive: true, mode: 0o700 });
  } catch (error) {
    throw refuseStore(
      "data-folder-unusable",
      `The folder ${folder.root} cannot be made or written to (${(error as NodeJS.ErrnoException).code ?? "unknown reason"}).`,
    );
  }
}

/**
 * Takes the folder for this process. The lock is the operating system's own on a second, empty SQLite file held in
 * exclusive mode: it goes with the process however that ends, so a killed program never locks its owner out.
 */
export function lockFolder(folder: DataFolder): { release(): void } {
  let lock: Database.Database | undefined;
  try {
    lock = new Database(path.join(folder.root, "lock.sqlite"), { timeout: 0 });
    lock.pragma("journal_mode = DELETE");
    lock.pragma("locking_mode = EXCLUSIVE");
    lock.exec("begin exclusive; create table if not exists held (by_process integer); delete from held;");
    lock.prepare("insert into held values (?)").run(process.pid);
    lock.exec("commit");
    const held = lock;
    return { release: () => held.close() };
  } catch (error) {
    lock?.close();
    const code = (error as { code?: string }).code ?? "";
    if (code.startsWith("SQLITE_BUSY") || code.startsWith("SQLITE_LOCKED"))
      throw refuseStore("data-folder-in-use", `Another Spoolwright is using ${folder.root}.`);
    throw refuseStore(
      "data-folder-unusable",
      `The folder ${folder.root} cannot be written to (${code || (error as Error).message}).`,
    );
  }
}
