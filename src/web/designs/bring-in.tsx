import { Button, Progress } from "@mantine/core";
import { useQueryClient } from "@tanstack/react-query";
import { Link } from "@tanstack/react-router";
import { useCallback, useEffect, useRef, useState } from "react";
import type { Answer } from "#contract";
import { ask, Trouble } from "../client";
import { findingsWords } from "./words";
import "./bring-in.css";

type Brought = Answer<"bringInDesigns">["brought"][number];
type Refused = Answer<"bringInDesigns">["refused"][number];

interface Bringing {
  readonly of: number;
  readonly done: number;
  readonly now: string;
  readonly brought: readonly Brought[];
  readonly refused: readonly Refused[];
  readonly running: boolean;
}

const idle: Bringing = { of: 0, done: 0, now: "", brought: [], refused: [], running: false };
const MAX_BYTES = 100_000_000;

/** Sends files one after another, one request each; what is refused does not hold up the rest. */
export function useBringIn(into: string | undefined, onBrought?: (brought: readonly Brought[]) => void) {
  const [state, setState] = useState<Bringing>(idle);
  const queries = useQueryClient();
  const stop = useRef<AbortController | null>(null);
  useEffect(() => () => stop.current?.abort(), []);
  const start = async (files: readonly File[]) => {
    if (files.length === 0 || state.running) return;
    const control = new AbortController();
    stop.current = control;
    let now: Bringing = { ...idle, of: files.length, running: true };
    const put = (next: Partial<Bringing>) => setState((now = { ...now, ...next }));
    put({});
    for (const file of files) {
      if (control.signal.aborted) break;
      put({ now: file.name });
      try {
        if (file.size > MAX_BYTES)
          throw new Error(`It has ${Math.round(file.size / 1e6)} MB; at most 100 MB are taken.`);
        const { value } = await ask("bringInDesigns", {
          query: { name: file.name, into: into ?? "" },
          body: file,
          signal: control.signal,
        });
        put({
          brought: [...now.brought, ...value.brought],
          refused: [...now.refused, ...value.refused],
          done: now.done + 1,
        });
      } catch (reason) {
        if (control.signal.aborted) break;
        const problem = reason instanceof Trouble ? reason.problem : null;
        const refused = {
          fileName: file.name,
          code: problem?.code ?? "",
          message: problem?.detail ?? (reason instanceof Error ? reason.message : String(reason)),
          advice: problem?.advice ?? "",
        };
        put({ refused: [...now.refused, refused], done: now.done + 1 });
      }
    }
    put({ running: false, now: "" });
    void queries.invalidateQueries({ queryKey: ["designs"] });
    if (now.brought.length > 0) onBrought?.(now.brought);
  };
  return { state, start, cancel: () => stop.current?.abort(), clear: () => setState(idle) };
}

/** Lets files be dropped anywhere on the page; tells whether some hang over it. */
export function useDrop(onFiles: (files: readonly File[]) => void): boolean {
  const [over, setOver] = useState(false);
  const latest = useRef(onFiles);
  useEffect(() => {
    latest.current = onFiles;
  });
  useEffect(() => {
    let depth = 0;
    const hasFiles = (event: DragEvent) => event.dataTransfer?.types.includes("Files") === true;
    const enter = (event: DragEvent) => {
      if (!hasFiles(event)) return;
      depth++;
      setOver(true);
    };
    const leave = (event: DragEvent) => {
      if (hasFiles(event) && --depth <= 0) setOver(false);
    };
    const hover = (event: DragEvent) => hasFiles(event) && event.preventDefault();
    const drop = (event: DragEvent) => {
      depth = 0;
      setOver(false);
      if (!hasFiles(event)) return;
      event.preventDefault();
      latest.current(Array.from(event.dataTransfer?.files ?? []));
    };
    window.addEventListener("dragenter", enter);
    window.addEventListener("dragleave", leave);
    window.addEventListener("dragover", hover);
    window.addEventListener("drop", drop);
    return () => {
      window.removeEventListener("dragenter", enter);
      window.removeEventListener("dragleave", leave);
      window.removeEventListener("dragover", hover);
      window.removeEventListener("drop", drop);
    };
  }, []);
  return over;
}

export function DropVeil({ shown, words }: { readonly shown: boolean; readonly words: string }) {
  return shown ? (
    <div className="drop-veil" aria-hidden>
      <p>{words}</p>
    </div>
  ) : null;
}

/** A button that opens the file chooser. */
export function ChooseFiles({
  words,
  accept,
  many = true,
  onFiles,
  disabled,
  primary,
}: {
  readonly words: string;
  readonly accept: string;
  readonly many?: boolean;
  readonly onFiles: (files: readonly File[]) => void;
  readonly disabled?: boolean;
  readonly primary?: true;
}) {
  const input = useRef<HTMLInputElement>(null);
  const taken = useCallback(
    (event: React.ChangeEvent<HTMLInputElement>) => {
      onFiles(Array.from(event.currentTarget.files ?? []));
      event.currentTarget.value = "";
    },
    [onFiles],
  );
  return (
    <>
      <Button
        size="md"
        variant={primary ? "filled" : "default"}
        disabled={disabled}
        onClick={() => input.current?.click()}
      >
        {words}
      </Button>
      <input
        ref={input}
        type="file"
        hidden
        multiple={many}
        accept={accept}
        onChange={taken}
        aria-label={words}
      />
    </>
  );
}

/** How the bringing in stands and what came of it. */
export function BringInReport({
  state,
  onCancel,
  onClear,
}: {
  readonly state: Bringing;
  readonly onCancel: () => void;
  readonly onClear: () => void;
}) {
  if (state.of === 0) return null;
  const fresh = state.brought.filter((one) => !one.already);
  const already = state.brought.filter((one) => one.already);
  return (
    <section className="bring-report sheet" aria-label="Files brought in">
      <header>
        <div role="status">
          <strong>
            {state.running
              ? `Bringing in ${state.done + 1} of ${state.of}`
              : [
                  `${fresh.length} brought in`,
                  already.length > 0 && `${already.length} already there`,
                  state.refused.length > 0 && `${state.refused.length} refused`,
                ]
                  .filter(Boolean)
                  .join(" · ")}
          </strong>
          {state.running && <span className="quiet"> {state.now}</span>}
        </div>
        {state.running ? (
          <Button size="md" variant="default" onClick={onCancel}>
            Stop
          </Button>
        ) : (
          <Button size="md" variant="subtle" onClick={onClear}>
            Put away
          </Button>
        )}
      </header>
      {state.running && <Progress value={(100 * state.done) / state.of} aria-label="Files brought in" />}
      {state.refused.length > 0 && (
        <ul className="bring-list">
          {state.refused.map((one, index) => (
            <li key={`${one.fileName} ${index}`} className="is-refused">
              <b>{one.fileName}</b> was refused. {one.message} {one.advice}
            </li>
          ))}
        </ul>
      )}
      {state.brought.length > 0 && (
        <ul className="bring-list">
          {state.brought.slice(0, 200).map((one) => (
            <li key={one.versionId + one.fileName}>
              <Link to="/designs/$id" params={{ id: one.designId }} className="bring-link">
                {one.name}
              </Link>{" "}
              <span className="quiet">
                {one.fileName}
                {one.already
                  ? ": already there, nothing added"
                  : findingsWords(one.findings) && `: ${findingsWords(one.findings)}`}
              </span>
            </li>
          ))}
        </ul>
      )}
    </section>
  );
}
