import { useAnswer } from "../../asking";
import { NumberField } from "../../parts/form";
import type { SetItem } from "./lettering-fields";
import type { Stored } from "./making";
import { ThreadSelect } from "./thread-select";

/** A stored design on the frame: its size within what its stitches allow, and its threads here. */
export function StoredFields({ item, onSet }: { readonly item: Stored; readonly onSet: SetItem<Stored> }) {
  const read = useAnswer("designs", "readDesignVersion", { params: { id: item.versionId } });
  const version = read.data?.version;
  const threads = item.threadIds ?? version?.parts.map((part) => part.threadId) ?? [];
  return (
    <div className="making-fields">
      <h2>{read.data ? `${read.data.designName}, version ${version!.number}` : "Stored design"}</h2>
      <NumberField
        label="Size"
        unit="%"
        hint="90 to 110: its stitches are kept, only set nearer or further"
        value={item.sizePercent}
        onChange={(sizePercent) => onSet({ sizePercent: sizePercent ?? Number.NaN }, `size ${item.key}`)}
      />
      {threads.map((threadId, at) => (
        <ThreadSelect
          key={at}
          label={`Thread of part ${at + 1}`}
          value={threadId}
          onChange={(to) => onSet({ threadIds: threads.map((one, part) => (part === at ? to : one)) }, "thread")} // prettier-ignore
        />
      ))}
    </div>
  );
}

/** What a stored design is called, once it is known. */
export function StoredName({ versionId }: { readonly versionId: string }) {
  const read = useAnswer("designs", "readDesignVersion", { params: { id: versionId } });
  return <>{read.data?.designName ?? "stored design"}</>;
}
