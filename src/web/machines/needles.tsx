import { needleSizeWords } from "#core/shop";
import { useState } from "react";
import { useChange } from "../asking";
import { bodyOf, type RecordOf } from "../parts/record-form";
import { SpoolDrawing } from "../parts/spool";
import { ThreadPicker } from "../parts/thread-picker";
import type { ThreadFace } from "../parts/thread-chip";
import "./needles.css";

type Machine = RecordOf<"machines">;

/**
 * The needles of a machine in their physical order, each with what is on it. One press on a needle opens the
 * threads, one on a thread puts it on: two in all, with an undo.
 */
export function NeedleBar({
  machine,
  threads,
}: {
  readonly machine: Machine;
  readonly threads: ReadonlyMap<string, ThreadFace>;
}) {
  const [at, setAt] = useState<number | null>(null);
  const change = useChange("machines.change", {
    lists: ["machines"],
    done: (record) => {
      const needle = record.needles.find((one) => one.number === at);
      const thread = needle?.threadId ? threads.get(needle.threadId) : undefined;
      return thread
        ? `${thread.code} ${thread.name} is on needle ${at} of ${record.name}.`
        : `Needle ${at} of ${record.name} is empty.`;
    },
  });
  const needle = machine.needles.find((one) => one.number === at);
  const put = (threadId: string | null) => {
    const body = bodyOf("machines", machine);
    change.mutate(
      {
        params: { id: machine.id },
        version: machine.version,
        body: {
          ...body,
          needles: body.needles.map((one) => (one.number === at ? { ...one, threadId } : one)),
        },
      },
      { onSettled: () => setAt(null) },
    );
  };
  return (
    <>
      <ol className="needle-bar" aria-label={`Needles of ${machine.name}`}>
        {machine.needles.map((one) => {
          const thread = one.threadId ? threads.get(one.threadId) : undefined;
          const words = thread
            ? `${thread.code} ${thread.name}`
            : one.threadId
              ? "a thread that is gone"
              : "empty";
          return (
            <li key={one.number}>
              <button
                type="button"
                className="needle-place"
                disabled={machine.archived || change.isPending}
                onClick={() => setAt(one.number)}
                aria-label={`Needle ${one.number}: ${words}, ${needleSizeWords(one.sizeNm)} ${one.point}${one.fixed ? ", fixed" : ""}. Change the thread`}
              >
                <span className="needle-place-number">{one.number}</span>
                <SpoolDrawing rgb={thread?.rgb ?? null} />
                <b>{thread?.code ?? "–"}</b>
                <span className="quiet needle-place-name">{thread?.name ?? "empty"}</span>
                <span className="quiet">
                  {needleSizeWords(one.sizeNm)} {one.point}
                </span>
                {one.fixed && <span className="needle-place-fixed">fixed</span>}
              </button>
            </li>
          );
        })}
      </ol>
      <ThreadPicker
        opened={at !== null}
        title={needle ? `${machine.name}: thread on needle ${needle.number}` : ""}
        current={needle?.threadId ?? null}
        noneWords="no thread"
        onClose={() => setAt(null)}
        onPick={put}
      />
    </>
  );
}
