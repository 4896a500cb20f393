import { Button } from "@mantine/core";
import type { UseQueryResult } from "@tanstack/react-query";
import { defaultShifts } from "#core/shop";
import type { Trouble } from "../client";
import { useAnswer } from "../asking";
import { Fields, ManyChoice, TextField } from "../parts/form";
import { DaysOffEditor, hoursInWeek, weekWords, WeekEditor } from "../parts/hours";
import { useListAddress } from "../parts/list-address";
import { useHabits } from "../parts/quantity";
import { RecordDrawer } from "../parts/record-drawer";
import type { BodyOf, RecordForm, RecordOf } from "../parts/record-form";
import { Empty } from "../parts/states";
import { type Column, RecordTable } from "../parts/table";

type Person = RecordOf<"people">;
type Body = BodyOf<"people">;

const skills: readonly {
  readonly value: Body["skills"][number];
  readonly words: string;
  readonly short: string;
}[] = [
  { value: "hoop", words: "hoop pieces", short: "hoops" },
  { value: "embroider", words: "thread and load machines", short: "threads and loads" },
  { value: "finish", words: "trim, press, pack", short: "finishes" },
  { value: "cut", words: "cut cloth", short: "cuts" },
  { value: "sew", words: "sew", short: "sews" },
];
const skillWords = (person: Body) =>
  skills
    .filter((skill) => person.skills.includes(skill.value))
    .map((skill) => skill.short)
    .join(", ") || "nothing yet";

const labels: Readonly<Record<string, string>> = {
  name: "Name",
  shifts: "Shifts",
  daysOff: "Days off",
  skills: "What they do",
  note: "Note",
};

/** A copy whose days can be changed one by one. */
const copyWeek = (week: typeof defaultShifts): Body["shifts"] =>
  week.map((day) => day.map((span) => ({ ...span })));

export function People() {
  const address = useListAddress({ sort: "name" });
  const { timeZone } = useHabits();
  const today = new Intl.DateTimeFormat("en-CA", { timeZone }).format(new Date());
  const answer = useAnswer(
    "people",
    "people.list",
    { query: address.query },
    { keep: true },
  ) as UseQueryResult<{ readonly items: readonly Person[]; readonly total: number }, Trouble>;
  const open = (id: string | undefined) => address.set({ edit: id }, "push");
  const offWords = (person: Person) => {
    const next = person.daysOff
      .filter((off) => off.to >= today)
      .sort((a, b) => (a.from < b.from ? -1 : 1))[0];
    return next
      ? `${next.from}${next.to === next.from ? "" : ` to ${next.to}`}${next.why ? `, ${next.why}` : ""}`
      : "–";
  };
  const columns: readonly Column<Person>[] = [
    {
      id: "name",
      title: "Name",
      sortable: true,
      cell: (person) => (
        <span>
          <b>{person.name}</b>
          {person.archived && <span className="tag">archived</span>}
        </span>
      ),
    },
    { id: "shifts", title: "Shifts", onCard: "alone", cell: (person) => weekWords(person.shifts) },
    {
      id: "hours",
      title: "A week",
      numeric: true,
      cell: (person) => `${Math.round(hoursInWeek(person.shifts) * 10) / 10} h`,
    },
    { id: "skills", title: "What they do", from: "tablet", onCard: "alone", cell: skillWords },
    { id: "daysOff", title: "Next days off", from: "tablet", cell: offWords },
  ];
  return (
    <>
      <RecordTable
        label="People"
        columns={columns}
        answer={answer}
        address={address}
        rowId={(person) => person.id}
        rowWords={(person) => person.name}
        isQuiet={(person) => person.archived}
        onOpen={(person) => open(person.id)}
        canArchive
        searchWords="Search people"
        acts={
          <Button size="md" onClick={() => open("new")}>
            Add a person
          </Button>
        }
        empty={
          <Empty
            title="Nobody works here yet"
            action={
              <Button size="md" onClick={() => open("new")}>
                Add the first person
              </Button>
            }
          >
            <p>
              The plan gives every hooping, threading, loading and finishing to somebody who is there and can
              do it. Enter yourself first.
            </p>
          </Empty>
        }
      />
      <RecordDrawer
        noun="people"
        id={address.word("edit")}
        onClose={() => address.set({ edit: undefined })}
        one="person"
        blank={{
          name: "",
          shifts: copyWeek(defaultShifts),
          daysOff: [],
          skills: ["hoop", "embroider", "finish"],
          note: "",
        }}
        words={(body) => body.name}
        wide
        fieldWords={{
          label: (path) => labels[path.split(".")[0] ?? ""] ?? path,
          show: (path, value) => (path === "shifts" ? weekWords(value as Body["shifts"]) : undefined),
        }}
      >
        {(form) => <PersonFields form={form} today={today} />}
      </RecordDrawer>
    </>
  );
}

function PersonFields({ form, today }: { readonly form: RecordForm<Body>; readonly today: string }) {
  const { value, set, error } = form;
  return (
    <>
      <Fields legend="The person">
        <TextField
          label="Name"
          hint="a first name is enough"
          value={value.name}
          onChange={(name) => set({ name })}
          error={error("name")}
        />
        <ManyChoice
          legend="What they do"
          value={value.skills}
          onChange={(chosen) =>
            set({ skills: skills.map((skill) => skill.value).filter((skill) => chosen.includes(skill)) })
          }
          choices={skills}
        />
      </Fields>
      <Fields
        legend="Shifts"
        hint={`${Math.round(hoursInWeek(value.shifts) * 10) / 10} hours a week. A task lies whole inside one span, so leave lunch free between two.`}
      >
        <WeekEditor
          week={value.shifts}
          closed="off"
          onChange={(shifts) => set({ shifts: copyWeek(shifts) })}
        />
      </Fields>
      <Fields legend="Away">
        <DaysOffEditor
          legend="Days off"
          none="No days off are entered."
          today={today}
          days={value.daysOff}
          onChange={(daysOff) => set({ daysOff })}
          error={(path) => error(`daysOff.${path}`)}
        />
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
