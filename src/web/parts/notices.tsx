import { Button, CloseButton, Text } from "@mantine/core";
import { useEffect, useSyncExternalStore } from "react";
import { ask, Trouble } from "../client";
import "./notices.css";

/** What is said at the foot of the page: what was done (with undo for a minute) and what went wrong. */
interface Notice {
  readonly id: number;
  readonly kind: "done" | "trouble";
  readonly text: string;
  readonly advice?: string;
  readonly changeId?: string | null;
  readonly atMs?: number;
}

let notices: readonly Notice[] = [];
let nextId = 1;
const watchers = new Set<() => void>();

function put(next: readonly Notice[]) {
  notices = next;
  for (const watcher of watchers) watcher();
}

export function offerUndo(text: string, changeId: string | null): void {
  const atMs = performance.now();
  const advice = what !== null && atMs - what.atMs < TOGETHER_MS ? what.text : undefined;
  what = null;
  put([...notices.slice(-2), { id: nextId++, kind: "done", text, changeId, advice, atMs }]);
}

/** What follows from the change just made: said under its notice, whichever of the two comes first. */
const TOGETHER_MS = 4000;
let what: { readonly text: string; readonly atMs: number } | null = null;

/** Adds what follows from a change to the notice of that change; nothing is said where none was made here. */
export function tellFollows(text: string): void {
  const atMs = performance.now();
  const last = notices.at(-1);
  if (last?.kind === "done" && atMs - (last.atMs ?? -Infinity) < TOGETHER_MS)
    put([...notices.slice(0, -1), { ...last, advice: text }]);
  else what = { text, atMs };
}

export function showTrouble(trouble: unknown): void {
  const problem = trouble instanceof Trouble ? trouble.problem : null;
  put([
    ...notices.slice(-2),
    { id: nextId++, kind: "trouble", text: problem?.detail ?? String(trouble), advice: problem?.advice },
  ]);
}

const drop = (id: number) => put(notices.filter((notice) => notice.id !== id));

function NoticeCard({ notice }: { readonly notice: Notice }) {
  useEffect(() => {
    const life = window.setTimeout(() => drop(notice.id), notice.kind === "done" ? 60_000 : 30_000);
    return () => window.clearTimeout(life);
  }, [notice]);
  const undo = async () => {
    drop(notice.id);
    try {
      await ask("undoChange", { params: { id: notice.changeId! } });
      offerUndo("Taken back.", null);
    } catch (reason) {
      showTrouble(reason);
    }
  };
  return (
    <div className={`notice notice-${notice.kind}`}>
      <div>
        <Text fw={600}>{notice.text}</Text>
        {notice.advice && <Text size="sm">{notice.advice}</Text>}
      </div>
      {notice.changeId && (
        <Button size="sm" variant="default" onClick={() => void undo()}>
          Undo
        </Button>
      )}
      <CloseButton size="lg" aria-label="Put this notice away" onClick={() => drop(notice.id)} />
    </div>
  );
}

export function Notices() {
  const shown = useSyncExternalStore(
    (watcher) => {
      watchers.add(watcher);
      return () => watchers.delete(watcher);
    },
    () => notices,
  );
  return (
    <div className="notices" role="status" aria-live="polite">
      {shown.map((notice) => (
        <NoticeCard key={notice.id} notice={notice} />
      ))}
    </div>
  );
}
