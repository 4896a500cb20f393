import { useCallback, useEffect, useMemo, useRef, useState } from "react";
import type { shapes } from "#contract";
import { rows } from "#contract";
import { stitchesFromBytes, type StitchesDrawn } from "../../canvas/stitches";
import { ask, Trouble } from "../../client";
import { type Making, sewable } from "./making";

interface History {
  readonly past: readonly Making[];
  readonly now: Making;
  readonly future: readonly Making[];
  /** What the last step changed, and when: typing on and dragging on is one step. */
  readonly tag: string;
  readonly atMs: number;
}

const ONE_STEP_MS = 1200;
const STEPS = 200;

/** A making with every step back and forth. `set` with the same tag soon after goes on with the step before. */
export function useHistory(first: Making) {
  const [history, setHistory] = useState<History>(() => ({ past: [], now: first, future: [], tag: "", atMs: 0 })); // prettier-ignore
  const set = useCallback((change: Making | ((before: Making) => Making), tag: string) => {
    const atMs = performance.now();
    setHistory((before) => {
      const next = typeof change === "function" ? change(before.now) : change;
      if (next === before.now) return before;
      const goesOn = tag !== "" && tag === before.tag && atMs - before.atMs < ONE_STEP_MS;
      const past = goesOn ? before.past : [...before.past, before.now].slice(-STEPS);
      return { past, now: next, future: [], tag, atMs };
    });
  }, []);
  /** Puts in what follows by itself, such as proposed threads: no step of its own. */
  const fill = useCallback((change: (before: Making) => Making) => setHistory((before) => ({ ...before, now: change(before.now) })), []); // prettier-ignore
  const undo = useCallback(() => setHistory((before) => {
    const last = before.past.at(-1);
    return last ? { past: before.past.slice(0, -1), now: last, future: [before.now, ...before.future], tag: "", atMs: 0 } : before;
  }), []); // prettier-ignore
  const redo = useCallback(() => setHistory((before) => {
    const next = before.future[0];
    return next ? { past: [...before.past, before.now], now: next, future: before.future.slice(1), tag: "", atMs: 0 } : before;
  }), []); // prettier-ignore
  useEffect(() => {
    const onKey = (event: KeyboardEvent) => {
      if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
      const key = event.key.toLowerCase();
      if (key !== "z" && key !== "y") return;
      event.preventDefault();
      if (key === "y" || event.shiftKey) redo();
      else undo();
    };
    window.addEventListener("keydown", onKey);
    return () => window.removeEventListener("keydown", onKey);
  }, [undo, redo]);
  return {
    making: history.now,
    set,
    fill,
    undo,
    redo,
    canUndo: history.past.length > 0,
    canRedo: history.future.length > 0,
  };
}

export interface Made {
  readonly preview: shapes.MadePreview;
  readonly stitches: StitchesDrawn;
  /** The making it is the picture of. */
  readonly of: Making;
}

const WAIT_MS = 40;

/** The picture of a making: asked for soon after each change, the last one wins; the one before stays until then. */
export function usePreview(making: Making) {
  const [made, setMade] = useState<Made | null>(null);
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  const [busy, setBusy] = useState(false);
  const [again, setAgain] = useState(0);
  const [desk] = useState(() => `d${crypto.getRandomValues(new Uint32Array(3)).join("")}`);
  const running = useRef<AbortController | null>(null);
  const { asked, body, wrong } = useMemo(() => checkedOf(making, desk), [making, desk]);
  useEffect(() => {
    running.current?.abort();
    if (!body) return;
    const control = new AbortController();
    running.current = control;
    const wait = window.setTimeout(() => {
      setBusy(true);
      ask("previewMaking", { body, signal: control.signal }).then(
        ({ value }) => {
          if (control.signal.aborted) return;
          setMade({ preview: value, stitches: decoded(value.stitches), of: asked });
          setTrouble(null);
          setBusy(false);
        },
        (reason: unknown) => {
          if (control.signal.aborted) return;
          setBusy(false);
          if (reason instanceof Trouble && reason.problem.code !== "making-overtaken") setTrouble(reason);
        },
      );
    }, WAIT_MS);
    return () => window.clearTimeout(wait);
  }, [asked, body, again]);
  useEffect(() => () => running.current?.abort(), []);
  const empty = asked.items.length === 0;
  return {
    made: empty ? null : made,
    trouble: empty ? null : trouble,
    wrong,
    busy: busy && body !== null,
    askAgain: () => setAgain((times) => times + 1),
  };
}

/** What can be asked for; words where a field is empty or out of reach. */
function checkedOf(making: Making, desk: string) {
  const asked = sewable(making);
  if (asked.items.length === 0) return { asked, body: null, wrong: null };
  const checked = rows.previewMaking.body.safeParse({ making: asked, desk });
  return checked.success
    ? { asked, body: checked.data, wrong: null }
    : { asked, body: null, wrong: wrongWords(checked.error.issues[0]) };
}

const wrongWords = (
  issue: { readonly path: readonly PropertyKey[]; readonly message: string } | undefined,
) =>
  issue === undefined || /NaN|invalid input/i.test(issue.message) ? "a field has no number" : issue.message;

function decoded(base64: string): StitchesDrawn {
  const text = atob(base64);
  const bytes = new Uint8Array(text.length);
  for (let i = 0; i < text.length; i++) bytes[i] = text.charCodeAt(i);
  return stitchesFromBytes(bytes.buffer);
}
