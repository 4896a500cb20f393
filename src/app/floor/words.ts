import type { FloorEvent, StopWhy } from "#core/floor";
import type { FloorEventTable } from "#store";
import { eventOf } from "./rows";

/** Names for whoever an event is about. */
export interface Names {
  readonly machine: (id: string) => string;
  readonly person: (id: string) => string;
  readonly thread: (id: string) => string;
  readonly piece: (id: string) => string;
  readonly state: (state: string) => string;
}

const stopped: Readonly<Record<StopWhy, string>> = {
  "thread-broke": "the thread broke",
  bobbin: "the bobbin ran out",
  needle: "the needle",
  threading: "to thread",
  other: "another reason",
};

const changed = { worn: "worn", struck: "struck", "other-size": "another size", other: "another reason" };

/** An event of the floor in one short sentence. */
export function eventWords(
  row: Pick<
    FloorEventTable,
    "id" | "at_ms" | "person_id" | "piece_id" | "job_id" | "machine_id" | "kind" | "data"
  >,
  names: Names,
): string {
  const event = eventOf(row);
  if (event) return words(event, names);
  const { from, to } = JSON.parse(row.data) as { from?: string; to?: string };
  return from !== undefined && to !== undefined ? `${names.state(from)} → ${names.state(to)}` : row.kind;
}

function words(event: FloorEvent, names: Names): string {
  switch (event.kind) {
    case "hooped":
      return `${names.piece(event.pieceId)} hooped`;
    case "threaded":
      return `${names.machine(event.machineId)}: ${event.needles
        .map(
          ({ needle, threadId }) =>
            `needle ${needle} ${threadId === null ? "empty" : names.thread(threadId)}`,
        )
        .join(", ")}`;
    case "loaded":
      return `${names.piece(event.pieceId)} loaded on ${names.machine(event.machineId)}`;
    case "started":
      return `${names.machine(event.machineId)} sews ${names.piece(event.pieceId)}`;
    case "stopped":
      return `${names.machine(event.machineId)} stopped: ${stopped[event.why]}${
        event.needle === null ? "" : `, needle ${event.needle}`
      }${event.note ? ` (${event.note})` : ""}`;
    case "sewn":
      return `${names.piece(event.pieceId)} sewn on ${names.machine(event.machineId)}`;
    case "unhooped":
      return `${names.piece(event.pieceId)} out of its hoop`;
    case "finished":
      return `${names.piece(event.pieceId)} finished`;
    case "packed":
      return `${names.piece(event.pieceId)} packed`;
    case "spoiled":
      return `${names.piece(event.pieceId)} spoiled${event.why ? `: ${event.why}` : ""}`;
    case "skipped":
      return `${names.piece(event.pieceId)} put off`;
    case "batch-done":
      return "A batch sewn";
    case "machine-down":
      return `${names.machine(event.machineId)} is down${event.why ? `: ${event.why}` : ""}`;
    case "machine-up":
      return `${names.machine(event.machineId)} runs again`;
    case "person-away":
      return `${names.person(event.awayId)} is away`;
    case "person-back":
      return `${names.person(event.awayId)} is back`;
    case "thread-out":
      return `${names.thread(event.threadId)} is used up`;
    case "thread-in":
      return `${names.thread(event.threadId)} is there again`;
    case "needle-changed":
      return `${names.machine(event.machineId)}: needle ${event.needle} changed, ${changed[event.why]}`;
    case "care-done":
      return `${names.machine(event.machineId)}: care done`;
    case "repaired":
      return `${names.machine(event.machineId)} repaired: ${event.what}`;
    case "meter-read":
      return `${names.machine(event.machineId)}: hour meter reads ${event.hours} h`;
    case "board-left":
      return event.untilMs > event.atMs ? "The board is left alone" : "The board follows again";
    case "machine-locked":
      return event.untilMs > event.atMs
        ? `${names.machine(event.machineId)} is left alone`
        : `${names.machine(event.machineId)} follows the plan again`;
    case "taken-back":
      return "Taken back";
  }
}
