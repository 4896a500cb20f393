import { Button } from "@mantine/core";
import { useQueryClient } from "@tanstack/react-query";
import { useState } from "react";
import { useAnswer, useChange } from "../asking";
import { useHabits } from "../parts/quantity";
import { Empty, TroubleSheet, Waiting } from "../parts/states";

const PORTION = 50;

/** What was changed lately, by whom, newest first; each can be taken back unless it was changed again since. */
export function Changes() {
  const [limit, setLimit] = useState(PORTION);
  const { timeZone } = useHabits();
  const queries = useQueryClient();
  const changes = useAnswer("changes", "listChanges", { query: { limit } }, { keep: true });
  // A change taken back can touch any list.
  const undo = useChange("undoChange", { lists: ["changes"], done: (change) => `${change.what}.` });
  if (changes.isError && !changes.data)
    return <TroubleSheet trouble={changes.error} onAgain={() => void changes.refetch()} />;
  if (changes.isPending) return <Waiting words="Fetching the changes" />;
  const { items } = changes.data!;
  if (items.length === 0)
    return (
      <Empty title="Nothing was changed yet">
        <p>Whatever is added, changed or archived is listed here, and can be taken back after a slip.</p>
      </Empty>
    );
  const when = new Intl.DateTimeFormat(undefined, {
    timeZone,
    weekday: "short",
    day: "numeric",
    month: "short",
    hour: "2-digit",
    minute: "2-digit",
  });
  return (
    <section aria-label="Recent changes">
      <ul className="changes sheet">
        {items.map((change) => (
          <li key={change.id} className={change.undone ? "change is-quiet" : "change"}>
            <span className="change-what">{change.what}</span>
            <span className="quiet">
              {change.who} ·{" "}
              <time dateTime={new Date(change.atMs).toISOString()}>{when.format(change.atMs)}</time>
            </span>
            {change.undone ? (
              <span className="quiet change-undone">taken back</span>
            ) : (
              <Button
                size="md"
                variant="default"
                disabled={undo.isPending}
                onClick={() =>
                  undo.mutate(
                    { params: { id: change.id } },
                    { onSuccess: () => void queries.invalidateQueries() },
                  )
                }
                aria-label={`Take back: ${change.what}`}
              >
                Take back
              </Button>
            )}
          </li>
        ))}
      </ul>
      {items.length >= limit && limit < 200 && (
        <Button
          mt="md"
          size="md"
          variant="default"
          loading={changes.isPlaceholderData}
          onClick={() => setLimit(Math.min(200, limit + PORTION))}
        >
          Show more
        </Button>
      )}
    </section>
  );
}
