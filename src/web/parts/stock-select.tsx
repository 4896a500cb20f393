import { Select } from "@mantine/core";
import { useMemo } from "react";
import { useAll } from "./all-of";

/** One item of the stock of a kind, searched by typing. */
export function StockSelect({
  kind,
  label,
  value,
  onChange,
  error,
  hint,
}: {
  readonly kind: "blank" | "backing" | "topping";
  readonly label: string;
  readonly value: string | null;
  readonly onChange: (id: string | null) => void;
  readonly error?: string | undefined;
  readonly hint?: string;
}) {
  const stock = useAll("stock");
  const data = useMemo(
    () =>
      (stock.data ?? [])
        .filter((item) => item.kind === kind && (!item.archived || item.id === value))
        .map((item) => ({
          value: item.id,
          label: [item.code, item.name, item.colour, item.size].filter(Boolean).join(" "),
        })),
    [stock.data, kind, value],
  );
  return (
    <Select
      size="md"
      label={label}
      description={hint}
      data={data}
      searchable
      clearable
      clearButtonProps={{ "aria-label": `No ${label.toLowerCase()}`, size: "md" }}
      placeholder="none"
      value={value}
      onChange={onChange}
      error={error}
      limit={50}
      nothingFoundMessage="Nothing in stock matches"
    />
  );
}
