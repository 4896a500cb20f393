import { Modal, TextInput } from "@mantine/core";
import { useMediaQuery } from "@mantine/hooks";
import { type KeyboardEvent, useId, useMemo, useRef, useState } from "react";
import { colourDifference, labFromHex } from "#core/thread";
import { saysAll, useAll } from "./all-of";
import type { RecordOf } from "./record-form";
import { TroubleSheet, Waiting } from "./states";
import { SpoolDrawing } from "./spool";
import { ThreadChip } from "./thread-chip";
import "./thread-picker.css";

type Thread = RecordOf<"threads">;

/** A thread with how far its colour is from the one asked for (CIEDE2000), or null when words were searched for. */
export interface FoundThread {
  readonly thread: Thread;
  readonly difference: number | null;
}

/** Searches by code, name and fibre; a colour such as #1a3c5e sorts by nearness instead. */
export function findThreads(threads: readonly Thread[], typed: string): readonly FoundThread[] {
  const wanted =
    /^#?([0-9a-f]{6}|[0-9a-f]{3})$/i.test(typed.trim()) &&
    (typed.trim().startsWith("#") || typed.trim().length === 6)
      ? labFromHex(typed)
      : null;
  if (wanted)
    return threads
      .map((thread) => ({ thread, difference: colourDifference(wanted, labFromHex(thread.rgb) ?? wanted) }))
      .sort((a, b) => a.difference - b.difference);
  return threads
    .filter((thread) => saysAll(typed, `${thread.code} ${thread.name} ${thread.fibre} ${thread.note}`))
    .map((thread) => ({ thread, difference: null }));
}

/** What a colour difference means to the eye (common practice, no source: about 1 is just seen side by side). */
export function differenceWords(difference: number): string {
  if (difference < 1) return "the same to the eye";
  if (difference < 3) return "very near";
  if (difference < 8) return "near";
  if (difference < 16) return "another shade";
  return "another colour";
}

interface PickerProps {
  readonly opened: boolean;
  readonly title: string;
  readonly current: string | null;
  /** What choosing no thread is called; absent where one must be chosen. */
  readonly noneWords?: string;
  readonly onPick: (threadId: string | null) => void;
  readonly onClose: () => void;
}

/** All threads as spools with their code and name; one press chooses. */
export function ThreadPicker(props: PickerProps) {
  const phone = useMediaQuery("(max-width: 47.99em)");
  return (
    <Modal
      opened={props.opened}
      onClose={props.onClose}
      title={props.title}
      size={760}
      fullScreen={phone}
      closeButtonProps={{ "aria-label": "Close", size: "xl" }}
      transitionProps={{ duration: 100 }}
      classNames={{ title: "drawer-title", content: "drawer", header: "drawer-head", body: "picker-body" }}
    >
      {props.opened && <PickerBody {...props} />}
    </Modal>
  );
}

function PickerBody({ current, noneWords, onPick }: PickerProps) {
  const threads = useAll("threads", "no");
  const [typed, setTyped] = useState("");
  const list = useRef<HTMLUListElement>(null);
  const hint = useId();
  const found = useMemo(() => findThreads(threads.data ?? [], typed), [threads.data, typed]);
  const walk = (event: KeyboardEvent) => {
    const step = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
    const buttons = [...(list.current?.querySelectorAll("button") ?? [])];
    if (step === undefined || buttons.length === 0) return;
    const at = buttons.indexOf(document.activeElement as HTMLButtonElement);
    // In the search box only "down" leaves it, so that the arrows still move in the text.
    if (at < 0 && event.key !== "ArrowDown") return;
    event.preventDefault();
    buttons[Math.min(buttons.length - 1, Math.max(0, at + step))]?.focus();
  };
  if (threads.isError) return <TroubleSheet trouble={threads.error} onAgain={() => void threads.refetch()} />;
  if (threads.isPending) return <Waiting words="Fetching the threads" />;
  return (
    <div onKeyDown={walk}>
      <div className="picker-search">
        <TextInput
          type="search"
          size="md"
          data-autofocus
          label="Search by code, name or colour"
          placeholder="N11, navy or #203a63"
          value={typed}
          aria-describedby={hint}
          onChange={(event) => setTyped(event.currentTarget.value)}
        />
        <p id={hint} className="quiet" role="status">
          {found.length === 0
            ? "No thread matches."
            : found[0]!.difference !== null
              ? "Nearest colour first."
              : `${found.length} ${found.length === 1 ? "thread" : "threads"}`}
        </p>
      </div>
      <ul ref={list} className="picker-list" aria-label="Threads">
        {noneWords && (
          <li>
            <button
              type="button"
              className="picker-one"
              aria-pressed={current === null}
              onClick={() => onPick(null)}
            >
              <SpoolDrawing rgb={null} />
              <span>
                <b>{noneWords}</b>
              </span>
            </button>
          </li>
        )}
        {found.map(({ thread, difference }) => (
          <li key={thread.id}>
            <button
              type="button"
              className="picker-one"
              aria-pressed={thread.id === current}
              onClick={() => onPick(thread.id)}
            >
              <SpoolDrawing rgb={thread.rgb} />
              <span>
                <b>{thread.code}</b>
                <span>{thread.name}</span>
                {difference !== null && <span className="quiet">{differenceWords(difference)}</span>}
                {difference === null &&
                  thread.reorderMetres > 0 &&
                  thread.metresLeft <= thread.reorderMetres && <span className="picker-low">low</span>}
              </span>
            </button>
          </li>
        ))}
      </ul>
    </div>
  );
}

/** A field that holds a thread: its chip, and a press opens all of them. */
export function ThreadField({
  label,
  value,
  onChange,
  noneWords,
  error,
}: {
  readonly label: string;
  readonly value: string | null;
  readonly onChange: (threadId: string | null) => void;
  readonly noneWords?: string;
  readonly error?: string | undefined;
}) {
  const threads = useAll("threads");
  const [opened, setOpened] = useState(false);
  const id = useId();
  const thread = threads.data?.find((one) => one.id === value) ?? null;
  return (
    <div className="thread-field">
      <span id={id} className="thread-field-label">
        {label}
      </span>
      <button
        type="button"
        className="thread-field-button"
        aria-describedby={id}
        aria-label={`${label}: ${thread ? `${thread.code} ${thread.name}` : (noneWords ?? "none chosen")}`}
        onClick={() => setOpened(true)}
      >
        {thread ? (
          <ThreadChip thread={thread} />
        ) : (
          <span className="quiet">{noneWords ?? "choose a thread"}</span>
        )}
      </button>
      {error && <span className="thread-field-error">{error}</span>}
      <ThreadPicker
        opened={opened}
        title={label}
        current={value}
        noneWords={noneWords}
        onClose={() => setOpened(false)}
        onPick={(picked) => {
          onChange(picked);
          setOpened(false);
        }}
      />
    </div>
  );
}
