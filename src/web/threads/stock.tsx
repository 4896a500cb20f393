import { ChoiceField, choicesOf, Fields, NumberField, Row, TextField } from "../parts/form";
import { saysAll } from "../parts/all-of";
import type { ListAddress } from "../parts/list-address";
import type { BodyOf, RecordOf } from "../parts/record-form";
import { type FormOf, Named, RecordList, useListedHere } from "../parts/record-list";
import type { Column } from "../parts/table";
import { amountWords, isLow, Left } from "./left";
import { OrderAgain } from "./order-again";
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

const labels = {
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
    cell: (item) => <Named {...item} />,
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

const filters = [
  { word: "kind", label: "Kind", choices: [{ value: "", words: "All kinds" }, ...kinds] },
  {
    word: "low",
    label: "How much is left",
    choices: [
      { value: "", words: "However much is left" },
      { value: "yes", words: "Only what runs low" },
    ],
  },
];

function findItems(items: readonly Item[], address: ListAddress): Item[] {
  const [kind, low] = [address.word("kind"), address.word("low") === "yes"];
  return items.filter(
    (item) =>
      (kind === "" || item.kind === kind) &&
      (!low || isLow(item.onHand, item.reorderPoint)) &&
      saysAll(
        address.q,
        `${item.code} ${item.name} ${item.colour} ${item.size} ${oneOfKind[item.kind]} ${item.note}`,
      ),
  );
}

export function StockList() {
  const list = useListedHere("stock", "code", findItems);
  const kind = kinds.find((one) => one.value === list.address.word("kind"))?.value ?? "blank";
  const blank: Body = {
    kind,
    code: "",
    name: "",
    colour: "",
    size: "",
    unit: unitOfKind[kind],
    onHand: 0,
    reorderPoint: 0,
    note: "",
  };
  return (
    <RecordList
      {...list}
      noun="stock"
      label="Stock"
      one="item"
      a="an"
      columns={columns}
      recordOf={(item) => item}
      rowWords={(item) => [item.code, item.name, item.colour, item.size].filter(Boolean).join(" ")}
      searchWords="Code, name, colour, size"
      filters={filters}
      blank={blank}
      words={(body) => `${body.code} ${body.name}`}
      labels={labels}
      empty={{
        title: "Nothing on the shelf yet",
        words:
          "Blanks to embroider, backing and film, needles, bobbins, cloth. The pick list of the day is made from them, and what runs low is told.",
      }}
    >
      {(given) => <StockFields {...given} />}
    </RecordList>
  );
}

function StockFields({ form: { value, set }, field }: FormOf<"stock">) {
  return (
    <>
      <Fields legend="What it is">
        <Row>
          <ChoiceField
            {...field("kind")}
            choices={choicesOf(oneOfKind)}
            onChange={(kind) =>
              set({ kind, ...(value.unit === unitOfKind[value.kind] ? { unit: unitOfKind[kind] } : {}) })
            }
          />
          <TextField {...field("code")} />
        </Row>
        <TextField {...field("name")} />
        <Row>
          <TextField {...field("colour")} />
          <TextField {...field("size")} hint={value.kind === "needle" ? "such as 75/11" : undefined} />
        </Row>
        <TextField {...field("unit")} hint="piece, sheet, metre" />
      </Fields>
      <Fields legend="What is there">
        <Row>
          <NumberField {...field("onHand")} unit={value.unit} decimals={2} min={-1} />
          <NumberField
            {...field("reorderPoint")}
            unit={value.unit}
            decimals={2}
            hint="0 never asks for more"
          />
        </Row>
        <OrderAgain onTake={(reorderPoint) => set({ reorderPoint })} />
        <TextField long {...field("note")} />
      </Fields>
    </>
  );
}
