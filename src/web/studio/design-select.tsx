import { Select } from "@mantine/core";
import { useAnswer } from "../asking";
import { addressOf } from "../client";

/** One of the studio's designs, searched by typing and shown. */
export function DesignSelect({
  label,
  hint,
  value,
  onChange,
  error,
}: {
  readonly label: string;
  readonly hint: string;
  readonly value: string | null;
  readonly onChange: (id: string | null) => void;
  readonly error: string | undefined;
}) {
  const designs = useAnswer("designs", "listDesigns", { query: { limit: 500, sort: "name" } });
  const chosen = designs.data?.items.find((design) => design.id === value);
  return (
    <div className="design-select">
      <Select
        size="md"
        label={label}
        description={hint}
        data={(designs.data?.items ?? [])
          .filter((design) => !design.archived || design.id === value)
          .map((design) => ({ value: design.id, label: design.name }))}
        searchable
        clearable
        clearButtonProps={{ "aria-label": "No design", size: "md" }}
        placeholder="none"
        value={value}
        onChange={onChange}
        error={error}
        limit={50}
        nothingFoundMessage="No design matches"
      />
      {chosen && (
        <img
          src={addressOf("designPicture", { id: chosen.latest.id }, { size: "small" })}
          alt={`The design ${chosen.name}`}
          width={72}
          height={72}
          loading="lazy"
        />
      )}
    </div>
  );
}
