import type { shapes } from "#contract";
import { type Stitches, writeMachineFile } from "#core/stitch";
import { zipSync, type Zippable } from "fflate";
import type { PlacedFile } from "../placing/files";
import { writeCsv } from "./csv";
import { clockOf, type FloorMachine, type FloorRun } from "./floor";
import { countWords, longDay, minutesWords } from "./wording";

export interface MachineDayAsked {
  readonly machines: readonly FloorMachine[];
  readonly view: shapes.PlanView;
  readonly day: string;
  /** Stitches by design version. */
  readonly designs: ReadonlyMap<string, Stitches>;
  /** Files of runs that were placed, by run: in the place of their designs' own. */
  readonly placed: ReadonlyMap<string, PlacedFile>;
  readonly studioName: string;
}

/**
 * A machine's day as a zip: its machine files in running order under names a machine can show, and a list of which
 * is which, for spreadsheets and for eyes. With several machines each has a folder. Same plan, same bytes: entries
 * carry the day's date, not the clock's.
 */
export function machineDayZip(asked: MachineDayAsked): Uint8Array {
  const entries: Zippable = {};
  const folders = foldersOf(asked.machines);
  asked.machines.forEach((one, index) => {
    const folder = asked.machines.length > 1 ? `${folders[index]!}/` : "";
    for (const floorRun of one.runs) {
      const design = stitchesOf(asked, floorRun);
      if (design) entries[`${folder}${floorRun.fileName}.DST`] = writeMachineFile(design, floorRun.fileName);
    }
  });
  entries["WHICH.CSV"] = whichIsWhich(asked, folders);
  entries["WHICH.TXT"] = new TextEncoder().encode(whichInWords(asked, folders));
  const [year, month, date] = asked.day.split("-").map(Number) as [number, number, number];
  // Zip times are local clock times without a zone: made from numbers they are the same everywhere.
  return zipSync(entries, { level: 6, mtime: new Date(year, month - 1, date, 0, 0, 0) });
}

/** What a run is sewn from: as it was placed, else its design; null where it has none or must be placed again. */
function stitchesOf(asked: MachineDayAsked, { job }: FloorRun): Stitches | null {
  const placed = asked.placed.get(job.jobId);
  return placed ? placed.stitches : (asked.designs.get(job.designVersionId ?? "") ?? null);
}

const placedWords = (asked: MachineDayAsked, { job }: FloorRun): string =>
  asked.placed.get(job.jobId)?.words ?? "";

/** A folder name for each machine: capitals and digits, at most 8, no two alike. */
function foldersOf(machines: readonly FloorMachine[]): string[] {
  const taken = new Set<string>();
  return machines.map(({ machine }) => {
    const plain =
      machine.name
        .normalize("NFD")
        .toUpperCase()
        .replace(/[^A-Z0-9]/g, "")
        .slice(0, 8) || "MACHINE";
    let name = plain;
    for (let again = 2; taken.has(name); again++)
      name = `${plain.slice(0, 8 - String(again).length)}${again}`;
    taken.add(name);
    return name;
  });
}

function whichIsWhich(asked: MachineDayAsked, folders: readonly string[]): Uint8Array {
  const threads = new Map(asked.view.threads.map((thread) => [thread.id, thread]));
  const headings = [
    "machine",
    "folder",
    "order",
    "file",
    "starts",
    "ends",
    "piece",
    "order reference",
    "customer",
    "text",
    "product",
    "placement",
    "hoop",
    "design",
    "placed",
    "stitches",
    "needles in sewing order",
    "threads in sewing order",
  ];
  const rows = asked.machines.flatMap((one, index) =>
    one.runs.map((floorRun) => [
      one.machine.name,
      asked.machines.length > 1 ? folders[index]! : "",
      floorRun.order,
      fileCell(asked, floorRun),
      clockOf(asked.view, floorRun.startS),
      clockOf(asked.view, floorRun.endS),
      floorRun.job.pieceCode,
      floorRun.job.orderReference,
      floorRun.job.customer,
      floorRun.job.personalText,
      floorRun.job.product,
      floorRun.job.placement,
      floorRun.hoop === null ? "" : `${floorRun.hoop.name}, no. ${floorRun.hoop.number}`,
      floorRun.job.designName,
      placedWords(asked, floorRun),
      floorRun.sewn.reduce((sum, part) => sum + part.stitches, 0),
      floorRun.sewn.map((part) => part.needle).join(" "),
      floorRun.sewn.map((part) => threads.get(part.threadId)?.code ?? "?").join(" "),
    ]),
  );
  return writeCsv(headings, rows);
}

const fileCell = (asked: MachineDayAsked, floorRun: FloorRun): string =>
  stitchesOf(asked, floorRun) === null ? "no machine file" : `${floorRun.fileName}.DST`;

function whichInWords(asked: MachineDayAsked, folders: readonly string[]): string {
  const lines = [`${asked.studioName}: machine files for ${longDay(asked.day)}`, ""];
  asked.machines.forEach((one, index) => {
    lines.push(
      `${one.machine.name}${asked.machines.length > 1 ? ` (folder ${folders[index]!})` : ""}: ${countWords(one.runs.length, "run")}`,
    );
    for (const floorRun of one.runs) {
      const { job } = floorRun;
      const needles = floorRun.sewn.map((part) => part.needle).join("-");
      const placed = placedWords(asked, floorRun);
      lines.push(
        `  ${fileCell(asked, floorRun).padEnd(14)} ${clockOf(asked.view, floorRun.startS)}  ${minutesWords(floorRun.endS - floorRun.startS).padEnd(11)} ${job.title}, ${job.product}, ${job.pieceCode}; needles ${needles}${placed === "" ? "" : `; ${placed}`}`,
      );
    }
    lines.push("");
  });
  return `${lines.join("\r\n")}`;
}
