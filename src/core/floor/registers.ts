import { byTime, type FloorEvent, type NeedleWhy, type StopWhy } from "./events";

/**
 * What stands now of things of which the last word counts: each event sets some registers, and a register's value is
 * the one set last by the order of events. Setting is commutative (a last-writer-wins register, M. Shapiro et al.,
 * "A comprehensive study of convergent and commutative replicated data types", INRIA RR-7506 (2011), 3.2.1), so that
 * late and repeated arrivals change nothing, and taking an event back is leaving its settings out.
 */
export interface RegisterValues {
  /** What a machine does. */
  readonly machine: {
    readonly doing: "empty" | "loaded" | "sewing" | "stopped";
    readonly jobId: string | null;
    readonly pieceId: string | null;
    readonly why: StopWhy | null;
    readonly needle: number | null;
  };
  /** The thread on a needle; subject `machine/number`. */
  readonly "needle-thread": { readonly threadId: string | null };
  /** A needle's last change; subject `machine/number`. */
  readonly "needle-changed": {
    readonly why: NeedleWhy;
    readonly sizeNm: number | null;
    readonly point: "sharp" | "ball" | null;
  };
  readonly down: { readonly untilMs: number; readonly why: string };
  readonly away: { readonly untilMs: number; readonly why: string };
  readonly "thread-out": { readonly out: boolean };
  readonly skipped: { readonly untilMs: number };
  readonly board: { readonly untilMs: number };
  readonly locked: { readonly untilMs: number };
  /** A care rule's last doing; subject `machine/rule`. */
  readonly care: { readonly note: string };
  readonly meter: { readonly hours: number };
}

export type RegisterKind = keyof RegisterValues;

export interface Register<K extends RegisterKind = RegisterKind> {
  readonly kind: K;
  readonly subject: string;
  readonly atMs: number;
  readonly eventId: string;
  readonly value: RegisterValues[K];
}

/** The one subject of the board's register. */
export const BOARD = "board";

const EMPTY: RegisterValues["machine"] = {
  doing: "empty",
  jobId: null,
  pieceId: null,
  why: null,
  needle: null,
};

/** The registers an event sets. */
export function registersOf(event: FloorEvent): Register[] {
  const set = <K extends RegisterKind>(kind: K, subject: string, value: RegisterValues[K]): Register => ({
    kind,
    subject,
    atMs: event.atMs,
    eventId: event.id,
    value,
  });
  switch (event.kind) {
    case "threaded":
      return event.needles.map(({ needle, threadId }) =>
        set("needle-thread", `${event.machineId}/${needle}`, { threadId }),
      );
    case "loaded":
      return [set("machine", event.machineId, { ...EMPTY, doing: "loaded", ...onIt(event) })];
    case "started":
      return [set("machine", event.machineId, { ...EMPTY, doing: "sewing", ...onIt(event) })];
    case "stopped":
      return [
        set("machine", event.machineId, {
          doing: "stopped",
          ...onIt(event),
          why: event.why,
          needle: event.needle,
        }),
      ];
    case "sewn":
      return [set("machine", event.machineId, EMPTY)];
    case "spoiled":
      return event.machineId === null ? [] : [set("machine", event.machineId, EMPTY)];
    case "skipped":
      return [
        set("skipped", event.jobId, { untilMs: event.untilMs }),
        ...(event.machineId === null ? [] : [set("machine", event.machineId, EMPTY)]),
      ];
    case "machine-down":
      return [set("down", event.machineId, { untilMs: event.untilMs, why: event.why })];
    case "machine-up":
      return [set("down", event.machineId, { untilMs: 0, why: "" })];
    case "person-away":
      return [set("away", event.awayId, { untilMs: event.untilMs, why: event.why })];
    case "person-back":
      return [set("away", event.awayId, { untilMs: 0, why: "" })];
    case "thread-out":
      return [set("thread-out", event.threadId, { out: true })];
    case "thread-in":
      return [set("thread-out", event.threadId, { out: false })];
    case "needle-changed":
      return [
        set("needle-changed", `${event.machineId}/${event.needle}`, {
          why: event.why,
          sizeNm: event.sizeNm,
          point: event.point,
        }),
      ];
    case "care-done":
      return [set("care", `${event.machineId}/${event.ruleId}`, { note: event.note })];
    case "meter-read":
      return [set("meter", event.machineId, { hours: event.hours })];
    case "board-left":
      return [set("board", BOARD, { untilMs: event.untilMs })];
    case "machine-locked":
      return [set("locked", event.machineId, { untilMs: event.untilMs })];
    default:
      return [];
  }
}

const onIt = ({ jobId, pieceId }: { readonly jobId: string; readonly pieceId: string }) => ({
  jobId,
  pieceId,
});

export const registerKey = ({ kind, subject }: Pick<Register, "kind" | "subject">): string =>
  `${kind} ${subject}`;

/** Whether `next` is set after `known`: the order of events. */
export const isLater = (
  next: Pick<Register, "atMs" | "eventId">,
  known: Pick<Register, "atMs" | "eventId"> | undefined,
): boolean =>
  known === undefined ||
  byTime({ atMs: known.atMs, id: known.eventId }, { atMs: next.atMs, id: next.eventId }) < 0;

/** The registers as they stand after all of the events, whatever the order they are given in. */
export function standingRegisters(events: readonly FloorEvent[]): Map<string, Register> {
  const taken = new Set(events.flatMap((event) => (event.kind === "taken-back" ? [event.eventId] : [])));
  const standing = new Map<string, Register>();
  for (const event of events) {
    if (taken.has(event.id)) continue;
    for (const register of registersOf(event)) {
      const key = registerKey(register);
      if (isLater(register, standing.get(key))) standing.set(key, register);
    }
  }
  return standing;
}
