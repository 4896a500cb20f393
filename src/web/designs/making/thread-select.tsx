import { Select } from "@mantine/core";
import { useMemo } from "react";
import { useAll } from "../../parts/all-of";
import { ThreadTwist } from "../../parts/thread-chip";
import { differenceWords } from "../../parts/thread-picker";
import { byNearness } from "./making";

/** A thread of the shop, chosen in the page itself; beside a colour the nearest ones stand first. */
export function ThreadSelect({
  label,
  value,
  onChange,
  near,
}: {
  readonly label: string;
  readonly value: string | null;
  readonly onChange: (id: string | null) => void;
  readonly near?: string;
}) {
  const threads = useAll("threads");
  const list = useMemo(() => {
    const open = (threads.data ?? []).filter((one) => !one.archived || one.id === value);
    return near ? byNearness(open, near) : open.map((thread) => ({ thread, difference: Number.NaN }));
  }, [threads.data, near, value]);
  const byId = useMemo(() => new Map(list.map((one) => [one.thread.id, one])), [list]);
  const chosen = value === null ? undefined : byId.get(value);
  return (
    <Select
      size="md"
      label={label}
      data={list.map(({ thread }) => ({ value: thread.id, label: `${thread.code} ${thread.name}` }))}
      value={value}
      onChange={onChange}
      searchable
      clearable
      clearButtonProps={{ "aria-label": `No thread for ${label}`, size: "md" }}
      placeholder="no thread yet: drawn as it comes"
      nothingFoundMessage="No thread matches"
      limit={60}
      leftSection={chosen ? <ThreadTwist rgb={chosen.thread.rgb} /> : undefined}
      leftSectionWidth={chosen ? 56 : undefined}
      leftSectionPointerEvents="none"
      renderOption={({ option }) => {
        const one = byId.get(option.value);
        return (
          <span className="thread-option">
            {one && <ThreadTwist rgb={one.thread.rgb} />}
            <span>
              {option.label}
              {one && Number.isFinite(one.difference) && (
                <span className="making-near"> {differenceWords(one.difference)}</span>
              )}
            </span>
          </span>
        );
      }}
    />
  );
}
