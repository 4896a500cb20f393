import type { FloorEventBody, shapes } from "#contract";
import { localTime } from "#core/shop";
import { useQuery } from "@tanstack/react-query";
import { useCallback, useEffect, useMemo, useRef, useState } from "react";
import { ask, type Trouble } from "../client";
import { clockOf, dateWords } from "../today/day";
import { before, type SeenFloor, seenFloor, type Snapshot, timeOfTelling } from "./floor-state";
import { LAST_MINUTE } from "./choices";
import { keepSeen, keptSeen } from "./kept";
import { isOpenEnded, type Names } from "./sentences";
import { freshId, startTelling, tell, useOutbox } from "./telling";

/** Asked anew so often even when nothing is heard: ms. */
const POLL_MS = 30_000;

type WithoutBase<E> = E extends FloorEventBody ? Omit<E, "id" | "atMs" | "personId"> : never;
/** An event as a button tells it; its id and time are added. */
export type Draft = WithoutBase<FloorEventBody>;

export interface Floor extends SeenFloor {
  readonly names: Names;
  readonly timeZone: string;
  /** Whose hands tell, where that is known. */
  readonly personId: string | null;
  /** Tells what was done; `words` says it in the list of what was told. */
  readonly told: (draft: Draft, words: string) => void;
  /** Takes an event back, told here or elsewhere. */
  readonly takeBack: (eventId: string, words: string) => void;
  /** When the plan and the floor were last heard of: ms by the program's clock. */
  readonly heardAtMs: number;
}

export type FloorAnswered =
  | { readonly state: "reading" }
  | { readonly state: "failed"; readonly trouble: Trouble; readonly again: () => void }
  | { readonly state: "here"; readonly floor: Floor };

/** The second of the program's clock, as the tablet reckons it. */
function useOwnMs(): number {
  const [own, setOwn] = useState(() => Date.now());
  useEffect(() => {
    const ticking = window.setInterval(() => setOwn(Date.now()), 1000);
    return () => window.clearInterval(ticking);
  }, []);
  return own;
}

async function askFloor(signal: AbortSignal): Promise<Snapshot> {
  const askedAtMs = Date.now();
  const { value } = await ask("floorNow", { signal });
  const aheadMs = Math.round(value.nowMs - (askedAtMs + Date.now()) / 2);
  const snapshot = { answer: value, askedAtMs, aheadMs };
  void keepSeen("floor", snapshot);
  return snapshot;
}

async function askPlan(signal: AbortSignal): Promise<shapes.PlanView | null> {
  const { plan } = (await ask("currentPlan", { signal })).value;
  void keepSeen("plan", plan);
  return plan;
}

/** The last plan and floor of an earlier visit, for when the program does not answer at all. */
function useKept(wanted: boolean) {
  const [kept, setKept] = useState<{ snapshot: Snapshot; view: shapes.PlanView | null } | null>(null);
  useEffect(() => {
    if (!wanted) return;
    let over = false;
    void Promise.all([keptSeen<Snapshot>("floor"), keptSeen<shapes.PlanView>("plan")]).then(
      ([snapshot, view]) => {
        if (!over && snapshot) setKept({ snapshot, view });
      },
    );
    return () => void (over = true);
  }, [wanted]);
  return kept;
}

/** The floor as this tablet knows it, and how it tells what happens. `personId`: whose hands tell. */
export function useFloor(personId: string | null): FloorAnswered {
  const snapshots = useQuery<Snapshot, Trouble>({
    queryKey: ["floor", "snapshot"],
    queryFn: ({ signal }) => askFloor(signal),
    refetchInterval: POLL_MS,
  });
  const plans = useQuery<shapes.PlanView | null, Trouble>({
    queryKey: ["plan", "of-the-floor"],
    queryFn: ({ signal }) => askPlan(signal),
    refetchInterval: POLL_MS,
  });
  const kept = useKept(snapshots.isError && !snapshots.data);
  const { told } = useOutbox();
  useEffect(startTelling, []);
  const ownMs = useOwnMs();
  const snapshot = snapshots.data ?? kept?.snapshot;
  const view = plans.data === undefined ? (kept?.view ?? undefined) : plans.data;
  const nowMs = ownMs + (snapshot?.aheadMs ?? 0);
  // Folded once for what is known, not once a second.
  const known = useMemo(
    () => (snapshot && view !== undefined ? seenFloor(snapshot, view, told, snapshot.answer.nowMs) : null),
    [snapshot, view, told],
  );
  const seen = useMemo(
    (): SeenFloor | null => (known ? { ...known, floor: { ...known.floor, nowMs } } : null),
    [known, nowMs],
  );
  const last = useRef(seen);
  useEffect(() => void (last.current = seen), [seen]);
  const aheadMs = snapshot?.aheadMs ?? 0;
  const tellIt = useCallback(
    (draft: Draft, words: string) => {
      const now = last.current;
      if (!now) return;
      const atMs = Date.now() + aheadMs;
      const event = { ...draft, id: freshId(), atMs, personId } as FloorEventBody;
      const timed = { ...event, atMs: timeOfTelling(now, event, atMs) };
      void tell({
        event: timed,
        words,
        state: "waiting",
        why: "",
        answeredAtMs: null,
        before: before(now, timed),
      });
    },
    [aheadMs, personId],
  );
  const takeBack = useCallback(
    (eventId: string, words: string) => tellIt({ kind: "taken-back", eventId }, words),
    [tellIt],
  );
  if (!seen) {
    const failed = [snapshots, plans].find((one) => one.isError);
    return failed?.error
      ? {
          state: "failed",
          trouble: failed.error,
          again: () => void Promise.all([snapshots.refetch(), plans.refetch()]),
        }
      : { state: "reading" };
  }
  const timeZone = view?.timeZone ?? "UTC";
  return {
    state: "here",
    floor: {
      ...seen,
      timeZone,
      personId,
      names: namesOf(seen, timeZone, nowMs),
      told: tellIt,
      takeBack,
      heardAtMs: (snapshot?.askedAtMs ?? ownMs) + aheadMs,
    },
  };
}

function namesOf(seen: SeenFloor, timeZone: string, nowMs: number): Names {
  const machines = new Map(seen.answer.machines.map((machine) => [machine.id, machine]));
  const chores = new Map((seen.view?.chores ?? []).map((chore) => [chore.choreId, chore]));
  const hoops = new Map(seen.floor.plan.runs.map((run) => [run.job, run.hoop]));
  const today = localTime(timeZone, nowMs).date;
  return {
    nowMs,
    job: (jobId) => seen.jobs.get(jobId),
    chore: (choreId) => chores.get(choreId),
    machine: (machineId) => machines.get(machineId)?.name ?? "the machine",
    linesUpBy: (machineId) => machines.get(machineId)?.linesUpBy ?? "eye",
    hoop: (jobId) => hoops.get(jobId) ?? null,
    clock: (atMs) => {
      if (isOpenEnded(atMs, nowMs)) return "somebody says so";
      const { date, minute } = localTime(timeZone, atMs);
      if (date === today && minute === LAST_MINUTE) return "the end of the day";
      return `${date === today ? "" : `${dateWords(date)} `}${clockOf(timeZone, atMs)}`;
    },
  };
}
