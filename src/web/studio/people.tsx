import { defaultShifts } from "#core/shop";
import { Fields, ManyChoice, TextField } from "../parts/form";
import { DaysOffEditor, hoursInWeek, weekWords, WeekEditor } from "../parts/hours";
import { useHabits } from "../parts/quantity";
import type { BodyOf, RecordOf } from "../parts/record-form";
import { type FormOf, Named, RecordList, useListed } from "../parts/record-list";
import type { Column } from "../parts/table";

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

const blank: Body = {
  name: "",
  shifts: copyWeek(defaultShifts),
  daysOff: [],
  skills: ["hoop", "embroider", "finish"],
  note: "",
};

const hours = (person: Body) => Math.round(hoursInWeek(person.shifts) * 10) / 10;

/** "2026-08-03 to 2026-08-14, holiday": the days off that come next, or a dash. */
function offWords(person: Person, today: string): string {
  const [next] = person.daysOff.filter((off) => off.to >= today).sort((a, b) => (a.from < b.from ? -1 : 1));
  if (!next) return "–";
  return `${next.from}${next.to === next.from ? "" : ` to ${next.to}`}${next.why ? `, ${next.why}` : ""}`;
}

export function People() {
  const { timeZone } = useHabits();
  const today = new Intl.DateTimeFormat("en-CA", { timeZone }).format(new Date());
  const columns: readonly Column<Person>[] = [
    { id: "name", title: "Name", sortable: true, cell: (person) => <Named {...person} /> },
    { id: "shifts", title: "Shifts", onCard: "alone", cell: (person) => weekWords(person.shifts) },
    { id: "hours", title: "A week", numeric: true, cell: (person) => `${hours(person)} h` },
    { id: "skills", title: "What they do", from: "tablet", onCard: "alone", cell: skillWords },
    { id: "daysOff", title: "Next days off", from: "tablet", cell: (person) => offWords(person, today) },
  ];
  return (
    <RecordList
      {...useListed("people", "name")}
      noun="people"
      label="People"
      one="person"
      wide
      columns={columns}
      recordOf={(person) => person}
      rowWords={(person) => person.name}
      blank={blank}
      words={(body) => body.name}
      labels={labels}
      fieldWords={{
        label: (path) => labels[path.split(".")[0] ?? ""] ?? path,
        show: (path, value) => (path === "shifts" ? weekWords(value as Body["shifts"]) : undefined),
      }}
      empty={{
        title: "Nobody works here yet",
        words:
          "The plan gives every hooping, threading, loading and finishing to somebody who is there and can do it. Enter yourself first.",
      }}
    >
      {(given) => <PersonFields {...given} today={today} />}
    </RecordList>
  );
}

function PersonFields({ form, field, today }: FormOf<"people"> & { readonly today: string }) {
  const { value, set, error } = form;
  return (
    <>
      <Fields legend="The person">
        <TextField {...field("name")} hint="a first name is enough" />
        <ManyChoice
          {...field("skills")}
          onChange={(chosen) =>
            set({ skills: skills.map((skill) => skill.value).filter((skill) => chosen.includes(skill)) })
          }
          choices={skills}
        />
      </Fields>
      <Fields
        legend="Shifts"
        hint={`${hours(value)} hours a week. A task lies whole inside one span, so leave lunch free between two.`}
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
        <TextField long {...field("note")} />
      </Fields>
    </>
  );
}
