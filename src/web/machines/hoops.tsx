import { useMemo } from "react";
import { useAnswer } from "../asking";
import { useAll } from "../parts/all-of";
import { Fields, Note, NumberField, PlainChoice, Row, TextField } from "../parts/form";
import { DurationField, durationWords, LengthField, sizeWords, useHabits } from "../parts/quantity";
import type { BodyOf, RecordOf } from "../parts/record-form";
import { type FormOf, Named, RecordList, useListed } from "../parts/record-list";
import type { Column } from "../parts/table";

type Hoop = RecordOf<"hoops">;

const labels = {
  name: "Name",
  kind: "Kind",
  fieldWidthMm: "Inner field, width",
  fieldHeightMm: "Inner field, height",
  count: "How many",
  hoopS: "Hooping a piece",
  note: "Note",
};

const blank: BodyOf<"hoops"> = {
  name: "",
  kind: "magnetic",
  fieldWidthMm: 130,
  fieldHeightMm: 130,
  count: 2,
  hoopS: null,
  note: "",
};

export function HoopList() {
  const { lengthUnit } = useHabits();
  const machines = useAll("machines", "no");
  const takenBy = useMemo(() => {
    const names = new Map<string, string[]>();
    for (const machine of machines.data ?? [])
      for (const id of machine.hoopIds) names.set(id, [...(names.get(id) ?? []), machine.name]);
    return names;
  }, [machines.data]);
  const columns: readonly Column<Hoop>[] = [
    { id: "name", title: "Hoop", sortable: true, cell: (hoop) => <Named {...hoop} /> },
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
    <RecordList
      {...useListed("hoops", "name")}
      noun="hoops"
      label="Hoops"
      one="hoop"
      columns={columns}
      recordOf={(hoop) => hoop}
      rowWords={(hoop) => hoop.name}
      blank={blank}
      words={(body) => `Hoop ${body.name}`}
      labels={labels}
      empty={{
        title: "No hoop yet",
        words:
          "Hoops of one size count together: say how many there are. Two a machine keep it fed, one sewing while the other is loaded.",
      }}
    >
      {(given) => <HoopFields {...given} />}
    </RecordList>
  );
}

function HoopFields({ form, field }: FormOf<"hoops">) {
  const { kind } = form.value;
  const studio = useAnswer("studio", "readStudio", {});
  const times = studio.data?.stepTimes;
  const usual = times && durationWords(kind === "magnetic" ? times.hoopMagneticS : times.hoopScrewS);
  return (
    <Fields legend="The hoop">
      <TextField {...field("name")} hint="what is written on it, or its size" />
      <PlainChoice
        {...field("kind")}
        choices={[
          { value: "magnetic", words: "magnetic", meaning: "quick, gentle to pile" },
          { value: "screw", words: "screw", meaning: "slower; can mark pile and dark knits" },
        ]}
      />
      {kind === "magnetic" && (
        <Note kind="caution">
          Magnetic hoops pinch, and their field can disturb implanted medical devices: keep them away from
          anyone who has one, and from cards and phones.
        </Note>
      )}
      <Row>
        <LengthField {...field("fieldWidthMm")} />
        <LengthField {...field("fieldHeightMm")} />
      </Row>
      <Row>
        <NumberField {...field("count")} hint="of just this kind" />
        <DurationField
          {...field("hoopS")}
          usual={usual ? `usual: ${usual}` : "the studio’s"}
          hint="empty: the studio’s time"
        />
      </Row>
      <TextField long {...field("note")} />
    </Fields>
  );
}
