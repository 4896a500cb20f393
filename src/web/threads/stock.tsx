import { Button, NativeSelect } from "@mantine/core";
import type { UseQueryResult } from "@tanstack/react-query";
import { useMemo } from "react";
import type { Trouble } from "../client";
import { sortedBy, useAll } from "../parts/all-of";
import { ChoiceField, Fields, NumberField, Row, TextField } from "../parts/form";
import { useListAddress } from "../parts/list-address";
import { RecordDrawer } from "../parts/record-drawer";
import type { BodyOf, RecordForm, RecordOf } from "../parts/record-form";
import { Empty } from "../parts/states";
import { type Column, RecordTable } from "../parts/table";
import { amountWords, isLow, Left } from "./left";
import "./threads.css";

type Item = RecordOf<"stock">;
type Body = BodyOf<"stock">;

const kinds = [
  { value: "blank", words: "Blanks" },
  { value: "backing", words: "Backing" },
  { value: "topping", words: "Topping film" },
  { value: "needle", words: "Needles" },
  { value: "bobbin", words: "Bobbins" },
  { value: "cloth", words: "Cloth" },
] as const;
const oneOfKind: Readonly<Record<Body["kind"], string>> = {
  blank: "blank",
  backing: "backing",
  topping: "topping film",
  needle: "needle",
  bobbin: "bobbin",
  cloth: "cloth",
};
const unitOfKind: Readonly<Record<Body["kind"], string>> = {
  blank: "piece",
  backing: "sheet",
  topping: "sheet",
  needle: "needle",
  bobbin: "bobbin",
  cloth: "metre",
};

const labels: Readonly<Record<string, string>> = {
  kind: "Kind",
  code: "Code",
  name: "Name",
  colour: "Colour",
  size: "Size",
  unit: "Counted in",
  onHand: "On hand",
  reorderPoint: "Order again at",
  note: "Note",
};

const columns: readonly Column<Item>[] = [
  {
    id: "code",
    title: "Item",
    sortable: true,
    cell: (item) => (
      <span>
        <b>{item.code}</b> {item.name}
        {item.archived && <span className="tag">archived</span>}
      </span>
    ),
  },
  { id: "kind", title: "Kind", sortable: true, from: "tablet", cell: (item) => oneOfKind[item.kind] },
  { id: "colour", title: "Colour", sortable: true, from: "desktop", cell: (item) => item.colour || "–" },
  { id: "size", title: "Size", sortable: true, from: "tablet", cell: (item) => item.size || "–" },
  {
    id: "onHand",
    title: "On hand",
    sortable: true,
    numeric: true,
    cell: (item) => (
      <Left left={item.onHand} reorder={item.reorderPoint} full={item.reorderPoint * 4} unit={item.unit} />
    ),
  },
  {
    id: "reorderPoint",
    title: "Order again at",
    sortable: true,
    numeric: true,
    from: "desktop",
    cell: (item) => amountWords(item.reorderPoint, item.unit),
  },
];

/** The whole list with its kinds told apart; searching and sorting as the program does it elsewhere. */
function useStock(address: ReturnType<typeof useListAddress>) {
  const all = useAll("stock", "all");
  const { q, sort, archived, offset, limit } = address;
  const kind = address.word("kind");
  const low = address.word("low") === "yes";
  const data = useMemo(() => {
    if (!all.data) return undefined;
    const words = q.toLowerCase().split(/\s+/).filter(Boolean);
    const items = sortedBy(all.data, sort)
      .filter(
        (item) =>
          (archived !== "no" || !item.archived) &&
          (kind === "" || item.kind === kind) &&
          (!low || isLow(item.onHand, item.reorderPoint)),
      )
      .filter((item) =>
        words.every((word) =>
          `${item.code} ${item.name} ${item.colour} ${item.size} ${oneOfKind[item.kind]} ${item.note}`
            .toLowerCase()
            .includes(word),
        ),
      );
    return { items: items.slice(offset, offset + limit), total: items.length };
  }, [all.data, q, sort, archived, offset, limit, kind, low]);
  return { ...all, data } as UseQueryResult<
    { readonly items: readonly Item[]; readonly total: number },
    Trouble
  >;
}

export function StockList() {
  const address = useListAddress({ sort: "code" });
  const answer = useStock(address);
  const open = (id: string | undefined) => address.set({ edit: id }, "push");
  const kind = kinds.find((one) => one.value === address.word("kind"))?.value ?? "blank";
  return (
    <>
      <RecordTable
        label="Stock"
        columns={columns}
        answer={answer}
        address={address}
        rowId={(item) => item.id}
        rowWords={(item) => [item.code, item.name, item.colour, item.size].filter(Boolean).join(" ")}
        isQuiet={(item) => item.archived}
        onOpen={(item) => open(item.id)}
        canArchive
        searchWords="Code, name, colour, size"
        filterWords={["kind", "low"]}
        filters={
          <>
            <NativeSelect
              size="md"
              aria-label="Kind"
              value={address.word("kind")}
              data={[
                { value: "", label: "All kinds" },
                ...kinds.map((one) => ({ value: one.value, label: one.words })),
              ]}
              onChange={(event) => address.set({ kind: event.currentTarget.value })}
            />
            <NativeSelect
              size="md"
              aria-label="How much is left"
              value={address.word("low")}
              data={[
                { value: "", label: "However much is left" },
                { value: "yes", label: "Only what runs low" },
              ]}
              onChange={(event) => address.set({ low: event.currentTarget.value })}
            />
          </>
        }
        acts={
          <Button size="md" onClick={() => open("new")}>
            Add an item
          </Button>
        }
        empty={
          <Empty
            title="Nothing on the shelf yet"
            action={
              <Button size="md" onClick={() => open("new")}>
                Add the first item
              </Button>
            }
          >
            <p>
              Blanks to embroider, backing and film, needles, bobbins, cloth. The pick list of the day is made
              from them, and what runs low is told.
            </p>
          </Empty>
        }
      />
      <RecordDrawer
        noun="stock"
        id={address.word("edit")}
        onClose={() => address.set({ edit: undefined })}
        one="stock item"
        blank={{
          kind,
          code: "",
          name: "",
          colour: "",
          size: "",
          unit: unitOfKind[kind],
          onHand: 0,
          reorderPoint: 0,
          note: "",
        }}
        words={(body) => `${body.code} ${body.name}`}
        fieldWords={{ label: (path) => labels[path] ?? path }}
      >
        {(form) => <StockFields form={form} />}
      </RecordDrawer>
    </>
  );
}

function StockFields({ form }: { readonly form: RecordForm<Body> }) {
  const { value, set, error } = form;
  const chooseKind = (kind: Body["kind"]) =>
    set({ kind, ...(value.unit === unitOfKind[value.kind] ? { unit: unitOfKind[kind] } : {}) });
  return (
    <>
      <Fields legend="What it is">
        <Row>
          <ChoiceField
            label="Kind"
            value={value.kind}
            onChange={(kind) => chooseKind(kind as Body["kind"])}
            choices={kinds.map((one) => ({ value: one.value, words: oneOfKind[one.value] }))}
            error={error("kind")}
          />
          <TextField
            label="Code"
            value={value.code}
            onChange={(code) => set({ code })}
            error={error("code")}
          />
        </Row>
        <TextField label="Name" value={value.name} onChange={(name) => set({ name })} error={error("name")} />
        <Row>
          <TextField
            label="Colour"
            value={value.colour}
            onChange={(colour) => set({ colour })}
            error={error("colour")}
          />
          <TextField
            label="Size"
            hint={value.kind === "needle" ? "such as 75/11" : undefined}
            value={value.size}
            onChange={(size) => set({ size })}
            error={error("size")}
          />
        </Row>
      </Fields>
      <Fields legend="What is there">
        <Row>
          <TextField
            label="Counted in"
            hint="piece, sheet, metre"
            value={value.unit}
            onChange={(unit) => set({ unit })}
            error={error("unit")}
          />
          <NumberField
            label="On hand"
            unit={value.unit}
            decimals={2}
            min={-1}
            value={value.onHand}
            onChange={(onHand) => set({ onHand: onHand! })}
            error={error("onHand")}
          />
          <NumberField
            label="Order again at"
            unit={value.unit}
            decimals={2}
            value={value.reorderPoint}
            onChange={(reorderPoint) => set({ reorderPoint: reorderPoint! })}
            error={error("reorderPoint")}
          />
        </Row>
        <TextField
          long
          label="Note"
          value={value.note}
          onChange={(note) => set({ note })}
          error={error("note")}
        />
      </Fields>
    </>
  );
}
