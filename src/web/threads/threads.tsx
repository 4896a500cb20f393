import { Button, NativeSelect } from "@mantine/core";
import type { UseQueryResult } from "@tanstack/react-query";
import { useMemo } from "react";
import { FORTY_WEIGHT_TEX, hexFromRgb, rgbFromHex } from "#core/thread";
import type { Trouble } from "../client";
import { sortedBy, useAll } from "../parts/all-of";
import { ChoiceField, Fields, NumberField, Row, TextField } from "../parts/form";
import { type ListAddress, useListAddress } from "../parts/list-address";
import { RecordDrawer } from "../parts/record-drawer";
import type { BodyOf, RecordForm } from "../parts/record-form";
import { SpoolDrawing } from "../parts/spool";
import { Empty } from "../parts/states";
import { type Column, RecordTable } from "../parts/table";
import { differenceWords, findThreads, type FoundThread } from "../parts/thread-picker";
import { isLow, Left } from "./left";
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

const labels: Readonly<Record<string, string>> = {
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

type Answer = UseQueryResult<{ readonly items: readonly FoundThread[]; readonly total: number }, Trouble>;

/** All threads are few enough to look through here, which lets a colour find its neighbours while it is typed. */
function useFound(address: ListAddress): Answer {
  const all = useAll("threads", "all");
  const { q, sort, archived, offset, limit } = address;
  const low = address.word("low") === "yes";
  const data = useMemo(() => {
    if (!all.data) return undefined;
    const kept = all.data.filter(
      (thread) =>
        (archived !== "no" || !thread.archived) && (!low || isLow(thread.metresLeft, thread.reorderMetres)),
    );
    // A colour brings its own order, nearest first.
    const ordered = findThreads(sortedBy(kept, sort), q);
    return { items: ordered.slice(offset, offset + limit), total: ordered.length };
  }, [all.data, q, sort, archived, offset, limit, low]);
  return { ...all, data } as Answer;
}

const number = new Intl.NumberFormat();

const columns: readonly Column<FoundThread>[] = [
  {
    id: "code",
    title: "Thread",
    sortable: true,
    cell: ({ thread, difference }) => (
      <span className="thread-cell">
        <SpoolDrawing rgb={thread.rgb} size="small" />
        <span>
          <b>{thread.code}</b> {thread.name}
          {thread.archived && <span className="tag">archived</span>}
          {difference !== null && <span className="thread-near">{differenceWords(difference)}</span>}
        </span>
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

export function ThreadList() {
  const address = useListAddress({ sort: "code" });
  const answer = useFound(address);
  const open = (id: string | undefined) => address.set({ edit: id }, "push");
  return (
    <>
      <RecordTable
        label="Threads"
        columns={columns}
        answer={answer}
        address={address}
        rowId={({ thread }) => thread.id}
        rowWords={({ thread }) => `${thread.code} ${thread.name}`}
        isQuiet={({ thread }) => thread.archived}
        onOpen={({ thread }) => open(thread.id)}
        canArchive
        searchWords="Code, name or colour (#203a63)"
        filterWords={["low"]}
        filters={
          <NativeSelect
            size="md"
            aria-label="Which threads"
            value={address.word("low")}
            data={[
              { value: "", label: "All that are kept" },
              { value: "yes", label: "Only what runs low" },
            ]}
            onChange={(event) => address.set({ low: event.currentTarget.value })}
          />
        }
        acts={
          <Button size="md" onClick={() => open("new")}>
            Add a thread
          </Button>
        }
        empty={
          <Empty
            title="No thread yet"
            picture={
              <span className="empty-spools" aria-hidden>
                {["#b8402f", "#24365e", "#c99a2e", "#efe6cf"].map((rgb) => (
                  <SpoolDrawing key={rgb} rgb={rgb} size="large" />
                ))}
              </span>
            }
            action={
              <Button size="md" onClick={() => open("new")}>
                Add the first thread
              </Button>
            }
          >
            <p>
              Enter the cones on your shelf with your own code, name and colour. Designs take their colours
              from here, the plan knows what is on which needle, and you see what runs low.
            </p>
          </Empty>
        }
      />
      <RecordDrawer
        noun="threads"
        id={address.word("edit")}
        onClose={() => address.set({ edit: undefined })}
        one="thread"
        blank={blank}
        words={(body) => `Thread ${body.code} ${body.name}`}
        fieldWords={{ label: (path) => labels[path] ?? path }}
      >
        {(form) => <ThreadFields form={form} />}
      </RecordDrawer>
    </>
  );
}

function ThreadFields({ form }: { readonly form: RecordForm<Body> }) {
  const { value, set, error } = form;
  const rgb = rgbFromHex(value.rgb);
  return (
    <>
      <Fields legend="What it is">
        <div className="thread-head">
          <SpoolDrawing rgb={rgb ? hexFromRgb(rgb) : null} size="large" />
          <div className="thread-head-fields">
            <Row>
              <TextField
                label="Code"
                hint="as you call it, such as N11"
                value={value.code}
                onChange={(code) => set({ code })}
                error={error("code")}
              />
              <TextField
                label="Name"
                value={value.name}
                onChange={(name) => set({ name })}
                error={error("name")}
              />
            </Row>
            <div className="colour-row">
              <TextField
                label="Colour"
                hint="as #rrggbb"
                value={value.rgb}
                onChange={(text) => set({ rgb: text })}
                error={error("rgb")}
              />
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
          <ChoiceField
            label="Fibre"
            value={value.fibre}
            onChange={(fibre) => set({ fibre: fibre as Body["fibre"] })}
            choices={fibres.map((one) => ({ value: one, words: one }))}
            error={error("fibre")}
          />
          <NumberField
            label="Thickness"
            unit="tex"
            decimals={1}
            value={value.densityTex}
            onChange={(densityTex) => set({ densityTex: densityTex! })}
            error={error("densityTex")}
            hint="40 weight is near 27 tex (common practice)"
          />
        </Row>
      </Fields>
      <Fields legend="What is there">
        <Row>
          <NumberField
            label="Cones"
            value={value.cones}
            decimals={2}
            onChange={(cones) => set({ cones: cones! })}
            error={error("cones")}
          />
          <NumberField
            label="A full cone holds"
            unit="m"
            value={value.metresPerCone}
            onChange={(metresPerCone) => set({ metresPerCone: metresPerCone! })}
            error={error("metresPerCone")}
            hint="1,000 or 5,000 m are common"
          />
        </Row>
        <Row>
          <NumberField
            label="Left in all"
            unit="m"
            value={value.metresLeft}
            onChange={(metresLeft) => set({ metresLeft: metresLeft! })}
            error={error("metresLeft")}
          />
          <NumberField
            label="Order again at"
            unit="m"
            value={value.reorderMetres}
            onChange={(reorderMetres) => set({ reorderMetres: reorderMetres! })}
            error={error("reorderMetres")}
            hint="0 never asks for more"
          />
        </Row>
        <Button
          variant="default"
          size="md"
          className="add-row"
          onClick={() => set({ metresLeft: Math.round((value.cones || 0) * (value.metresPerCone || 0)) })}
        >
          All cones are full
        </Button>
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
