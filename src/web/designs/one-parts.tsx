import { Button } from "@mantine/core";
import { useState } from "react";
import type { shapes } from "#contract";
import { useChange } from "../asking";
import { ThreadField } from "../parts/thread-picker";
import { metresWords, number } from "./words";

interface PartsProps {
  readonly version: shapes.DesignVersion;
  readonly onlyPart: number | null;
  readonly onOnly: (part: number | null) => void;
  readonly hidden: readonly number[];
  readonly onHidden: (parts: readonly number[]) => void;
}

/** The parts in sewing order: their threads, and which of them the picture shows. */
export function Parts({ version, onlyPart, onOnly, hidden, onHidden }: PartsProps) {
  const [part, setPart] = useState(0);
  const choose = useChange("chooseThreads", { lists: ["designs"], done: `Part ${part + 1} has its thread.` });
  const missing = version.parts.filter((one) => one.threadId === null).length;
  const set = (index: number, threadId: string | null) => {
    setPart(index);
    choose.mutate({
      params: { id: version.id },
      body: { threadIds: version.parts.map((one, place) => (place === index ? threadId : one.threadId)) },
    });
  };
  const toggle = (index: number) =>
    onHidden(hidden.includes(index) ? hidden.filter((one) => one !== index) : [...hidden, index]);
  return (
    <section className="design-card-in sheet" aria-labelledby="parts-head">
      <h2 id="parts-head">
        {version.parts.length} {version.parts.length === 1 ? "part" : "parts"} in sewing order
      </h2>
      {missing > 0 && (
        <p className="finding-mark">
          {missing === 1 ? "1 part has no thread yet" : `${missing} parts have no thread yet`}
        </p>
      )}
      {(hidden.length > 0 || onlyPart !== null) && (
        <p className="design-some" role="status">
          <span>
            {onlyPart === null
              ? `${hidden.length} of ${version.parts.length} parts are hidden.`
              : `Only part ${onlyPart + 1} is shown.`}
          </span>
          <Button
            size="md"
            variant="default"
            onClick={() => {
              onHidden([]);
              onOnly(null);
            }}
          >
            Show all
          </Button>
        </p>
      )}
      <ol className="design-parts">
        {version.parts.map((one, index) => (
          <li key={index} className="design-part">
            <ThreadField
              label={`Part ${index + 1} of ${version.parts.length}`}
              value={one.threadId}
              onChange={(threadId) => set(index, threadId)}
              noneWords="choose a thread"
            />
            <span className="design-part-facts">
              {number.format(one.stitches)} stitches · {metresWords(one.threadMm)} of thread
            </span>
            <span className="design-part-shown">
              <label className="viewer-check">
                <input
                  type="checkbox"
                  checked={!hidden.includes(index)}
                  onChange={() => toggle(index)}
                  aria-label={`Part ${index + 1} shown`}
                />{" "}
                shown
              </label>
              <Button
                size="md"
                variant={onlyPart === index ? "filled" : "default"}
                aria-pressed={onlyPart === index}
                onClick={() => onOnly(onlyPart === index ? null : index)}
                aria-label={`Show part ${index + 1} alone`}
              >
                alone
              </Button>
            </span>
          </li>
        ))}
      </ol>
    </section>
  );
}
