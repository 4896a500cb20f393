import { FORTY_WEIGHT_TEX, hexFromRgb, rgbFromHex } from "#core/thread";
import { AddRow, ChoiceField, Fields, NumberField, Row, TextField } from "../parts/form";
import type { ListAddress } from "../parts/list-address";
import type { BodyOf, RecordOf } from "../parts/record-form";
import { type FormOf, Named, RecordList, useListedHere } from "../parts/record-list";
import { SpoolDrawing } from "../parts/spool";
import type { Column } from "../parts/table";
import { differenceWords, findThreads, type FoundThread } from "../parts/thread-picker";
import { isLow, Left } from "./left";
import { OrderAgain } from "./order-again";
import "./threads.css";

type Body = BodyOf<"threads">;

const fibres = ["polyester", "rayon", "cotton", "metallic", "wool", "other"] as const;

const blank: Body = {
  code: "",
  name: "",
  rgb: "#7a7f8c",
  fibre: "polyester",
  densityTex: FORTY_WEIGHT_TEX,
  metresPerCone: 5000,
  cones: 1,
  metresLeft: 5000,
  reorderMetres: 1000,
  note: "",
};

const labels = {
  code: "Code",
  name: "Name",
  rgb: "Colour",
  fibre: "Fibre",
  densityTex: "Thickness",
  metresPerCone: "A full cone holds",
  cones: "Cones",
  metresLeft: "Left in all",
  reorderMetres: "Order again at",
  note: "Note",
};

const number = new Intl.NumberFormat();

const columns: readonly Column<FoundThread>[] = [
  {
    id: "code",
    title: "Thread",
    sortable: true,
    cell: ({ thread, difference }) => (
      <span className="thread-cell">
        <SpoolDrawing rgb={thread.rgb} size="small" />
        <Named {...thread}>
          {difference !== null && <span className="thread-near">{differenceWords(difference)}</span>}
        </Named>
      </span>
    ),
  },
  { id: "fibre", title: "Fibre", sortable: true, from: "tablet", cell: ({ thread }) => thread.fibre },
  {
    id: "densityTex",
    title: "Thickness",
    sortable: true,
    numeric: true,
    from: "desktop",
    onCard: "hidden",
    cell: ({ thread }) => `${thread.densityTex} tex`,
  },
  {
    id: "cones",
    title: "Cones",
    sortable: true,
    numeric: true,
    cell: ({ thread }) => number.format(thread.cones),
  },
  {
    id: "metresLeft",
    title: "Left",
    sortable: true,
    numeric: true,
    cell: ({ thread }) => (
      <Left
        left={thread.metresLeft}
        reorder={thread.reorderMetres}
        full={thread.metresPerCone * Math.max(1, thread.cones)}
        unit="m"
      />
    ),
  },
  {
    id: "reorderMetres",
    title: "Order again at",
    sortable: true,
    numeric: true,
    from: "tablet",
    cell: ({ thread }) => `${number.format(thread.reorderMetres)} m`,
  },
];

const filters = [
  {
    word: "low",
    label: "Which threads",
    choices: [
      { value: "", words: "All that are kept" },
      { value: "yes", words: "Only what runs low" },
    ],
  },
];

/** A colour brings its own order, nearest first, which finds its neighbours while it is typed. */
function find(threads: readonly RecordOf<"threads">[], address: ListAddress): readonly FoundThread[] {
  const low = address.word("low") === "yes";
  return findThreads(
    threads.filter((thread) => !low || isLow(thread.metresLeft, thread.reorderMetres)),
    address.q,
  );
}

export function ThreadList() {
  return (
    <RecordList
      {...useListedHere("threads", "code", find)}
      noun="threads"
      label="Threads"
      one="thread"
      columns={columns}
      recordOf={({ thread }) => thread}
      rowWords={({ thread }) => `${thread.code} ${thread.name}`}
      searchWords="Code, name or colour (#203a63)"
      filters={filters}
      blank={blank}
      words={(body) => `Thread ${body.code} ${body.name}`}
      labels={labels}
      empty={{
        title: "No thread yet",
        picture: (
          <span className="empty-spools" aria-hidden>
            {["#b8402f", "#24365e", "#c99a2e", "#efe6cf"].map((rgb) => (
              <SpoolDrawing key={rgb} rgb={rgb} size="large" />
            ))}
          </span>
        ),
        words:
          "Enter the cones on your shelf with your own code, name and colour. Designs take their colours from here, the plan knows what is on which needle, and you see what runs low.",
      }}
    >
      {(given) => <ThreadFields {...given} />}
    </RecordList>
  );
}

function ThreadFields({ form: { value, set }, field }: FormOf<"threads">) {
  const rgb = rgbFromHex(value.rgb);
  return (
    <>
      <Fields legend="What it is">
        <div className="thread-head">
          <SpoolDrawing rgb={rgb ? hexFromRgb(rgb) : null} size="large" />
          <div className="thread-head-fields">
            <Row>
              <TextField {...field("code")} hint="as you call it, such as N11" />
              <TextField {...field("name")} />
            </Row>
            <div className="colour-row">
              <TextField {...field("rgb")} hint="as #rrggbb" />
              <input
                type="color"
                className="colour-well"
                aria-label="Pick the colour"
                value={rgb ? hexFromRgb(rgb) : "#888888"}
                onChange={(event) => set({ rgb: event.currentTarget.value })}
              />
            </div>
          </div>
        </div>
        <Row>
          <ChoiceField {...field("fibre")} choices={fibres.map((one) => ({ value: one, words: one }))} />
          <NumberField
            {...field("densityTex")}
            unit="tex"
            decimals={1}
            hint="40 weight is near 27 tex (common practice)"
          />
        </Row>
      </Fields>
      <Fields legend="What is there">
        <Row>
          <NumberField {...field("cones")} decimals={2} />
          <NumberField {...field("metresPerCone")} unit="m" hint="1,000 or 5,000 m are common" />
        </Row>
        <Row>
          <NumberField {...field("metresLeft")} unit="m" />
          <NumberField {...field("reorderMetres")} unit="m" hint="0 never asks for more" />
        </Row>
        <OrderAgain onTake={(reorderMetres) => set({ reorderMetres })} />
        <AddRow
          onClick={() => set({ metresLeft: Math.round((value.cones || 0) * (value.metresPerCone || 0)) })}
        >
          All cones are full
        </AddRow>
        <TextField long {...field("note")} />
      </Fields>
    </>
  );
}
