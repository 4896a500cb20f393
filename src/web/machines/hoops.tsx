import { Button } from "@mantine/core";
import type { UseQueryResult } from "@tanstack/react-query";
import { useMemo } from "react";
import type { Trouble } from "../client";
import { useAnswer } from "../asking";
import { useAll } from "../parts/all-of";
import { Fields, Note, NumberField, PlainChoice, Row, TextField } from "../parts/form";
import { useListAddress } from "../parts/list-address";
import { DurationField, durationWords, LengthField, sizeWords, useHabits } from "../parts/quantity";
import { RecordDrawer } from "../parts/record-drawer";
import type { BodyOf, RecordForm, RecordOf } from "../parts/record-form";
import { Empty } from "../parts/states";
import { type Column, RecordTable } from "../parts/table";

type Hoop = RecordOf<"hoops">;
type Body = BodyOf<"hoops">;

const labels: Readonly<Record<string, string>> = {
  name: "Name",
  kind: "Kind",
  fieldWidthMm: "Inner field, width",
  fieldHeightMm: "Inner field, height",
  count: "How many",
  hoopS: "Hooping a piece",
  note: "Note",
};

export function HoopList() {
  const address = useListAddress({ sort: "name" });
  const { lengthUnit } = useHabits();
  const answer = useAnswer("hoops", "hoops.list", { query: address.query }, { keep: true }) as UseQueryResult<
    { readonly items: readonly Hoop[]; readonly total: number },
    Trouble
  >;
  const machines = useAll("machines", "no");
  const takenBy = useMemo(() => {
    const names = new Map<string, string[]>();
    for (const machine of machines.data ?? [])
      for (const id of machine.hoopIds) names.set(id, [...(names.get(id) ?? []), machine.name]);
    return names;
  }, [machines.data]);
  const open = (id: string | undefined) => address.set({ edit: id }, "push");
  const columns: readonly Column<Hoop>[] = [
    {
      id: "name",
      title: "Hoop",
      sortable: true,
      cell: (hoop) => (
        <span>
          <b>{hoop.name}</b>
          {hoop.archived && <span className="tag">archived</span>}
        </span>
      ),
    },
    { id: "kind", title: "Kind", sortable: true, cell: (hoop) => hoop.kind },
    {
      id: "fieldWidthMm",
      title: "Inner field",
      sortable: true,
      numeric: true,
      cell: (hoop) => sizeWords(hoop.fieldWidthMm, hoop.fieldHeightMm, lengthUnit),
    },
    { id: "count", title: "How many", sortable: true, numeric: true, cell: (hoop) => hoop.count },
    {
      id: "machines",
      title: "Fits",
      from: "tablet",
      onCard: "alone",
      cell: (hoop) => takenBy.get(hoop.id)?.join(", ") ?? "no machine yet",
    },
  ];
  return (
    <>
      <RecordTable
        label="Hoops"
        columns={columns}
        answer={answer}
        address={address}
        rowId={(hoop) => hoop.id}
        rowWords={(hoop) => hoop.name}
        isQuiet={(hoop) => hoop.archived}
        onOpen={(hoop) => open(hoop.id)}
        canArchive
        searchWords="Search hoops"
        acts={
          <Button size="md" onClick={() => open("new")}>
            Add a hoop
          </Button>
        }
        empty={
          <Empty
            title="No hoop yet"
            action={
              <Button size="md" onClick={() => open("new")}>
                Add the first hoop
              </Button>
            }
          >
            <p>
              Hoops of one size count together: say how many there are. Two a machine keep it fed, one sewing
              while the other is loaded.
            </p>
          </Empty>
        }
      />
      <RecordDrawer
        noun="hoops"
        id={address.word("edit")}
        onClose={() => address.set({ edit: undefined })}
        one="hoop"
        blank={{
          name: "",
          kind: "magnetic",
          fieldWidthMm: 130,
          fieldHeightMm: 130,
          count: 2,
          hoopS: null,
          note: "",
        }}
        words={(body) => `Hoop ${body.name}`}
        fieldWords={{ label: (path) => labels[path] ?? path }}
      >
        {(form) => <HoopFields form={form} />}
      </RecordDrawer>
    </>
  );
}

function HoopFields({ form }: { readonly form: RecordForm<Body> }) {
  const { value, set, error } = form;
  const studio = useAnswer("studio", "readStudio", {});
  const times = studio.data?.stepTimes;
  const usual = times && durationWords(value.kind === "magnetic" ? times.hoopMagneticS : times.hoopScrewS);
  return (
    <Fields legend="The hoop">
      <TextField
        label="Name"
        hint="what is written on it, or its size"
        value={value.name}
        onChange={(name) => set({ name })}
        error={error("name")}
      />
      <PlainChoice
        legend="Kind"
        value={value.kind}
        onChange={(kind) => set({ kind: kind as Body["kind"] })}
        choices={[
          { value: "magnetic", words: "magnetic", meaning: "quick, gentle to pile" },
          { value: "screw", words: "screw", meaning: "slower; can mark pile and dark knits" },
        ]}
      />
      {value.kind === "magnetic" && (
        <Note kind="caution">
          Magnetic hoops pinch, and their field can disturb implanted medical devices: keep them away from
          anyone who has one, and from cards and phones.
        </Note>
      )}
      <Row>
        <LengthField
          label="Inner field, width"
          value={value.fieldWidthMm}
          onChange={(fieldWidthMm) => set({ fieldWidthMm: fieldWidthMm! })}
          error={error("fieldWidthMm")}
        />
        <LengthField
          label="Inner field, height"
          value={value.fieldHeightMm}
          onChange={(fieldHeightMm) => set({ fieldHeightMm: fieldHeightMm! })}
          error={error("fieldHeightMm")}
        />
      </Row>
      <Row>
        <NumberField
          label="How many"
          value={value.count}
          onChange={(count) => set({ count: count! })}
          error={error("count")}
          hint="of just this kind"
        />
        <DurationField
          label="Hooping a piece"
          usual={usual ? `usual: ${usual}` : "the studio’s"}
          value={value.hoopS}
          onChange={(hoopS) => set({ hoopS })}
          error={error("hoopS")}
          hint="empty: the studio’s time"
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
  );
}
