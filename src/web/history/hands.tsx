import { Button } from "@mantine/core";
import { Link } from "@tanstack/react-router";
import type { shapes } from "#contract";
import { type Lane, Lanes } from "./lanes";
import { UseList } from "./use-list";
import { handUses, minutesWords, offWords } from "./uses";
import { Week, type WeekRow } from "./week";

type History = shapes.FloorHistory;
type DayOfPerson = History["days"][number]["people"][number];

/** Where each person's hours went, and what the plan had of theirs. */
export function Hands({
  history,
  timeZone,
  onDay,
}: {
  readonly history: History;
  readonly timeZone: string;
  readonly onDay: (date: string) => void;
}) {
  const people = history.people.filter(({ id }) => daysOf(history, id).some((day) => day !== null));
  const nobodys = history.days.reduce((sum, day) => sum + day.nobodys, 0);
  if (people.length === 0 && nobodys === 0) return null;
  const isDay = history.days.length === 1;
  return (
    <section className="sheet history-sheet" aria-label="Hands">
      <h2>Hand by hand</h2>
      {people.length > 0 &&
        (isDay ? (
          <Lanes lanes={people.map((person) => laneOf(history, person))} timeZone={timeZone} />
        ) : (
          <Week
            rows={people.map((person) => weekOf(history, person))}
            dates={history.days.map((day) => day.date)}
            uses={handUses}
            onDay={onDay}
          />
        ))}
      <UseList seconds={summed(history.days.flatMap((day) => day.people))} uses={handUses} />
      <div className="history-hands">
        {people.map((person) => (
          <Person key={person.id} history={history} person={person} />
        ))}
      </div>
      {nobodys > 0 && (
        <p className="history-nobody">
          {nobodys === 1 ? "One thing was" : `${nobodys} things were`} told with nobody named, and{" "}
          {nobodys === 1 ? "counts" : "count"} for nobody’s hours. Tap who is here at the top of a station; a
          person’s own page does it by itself.{" "}
          <Button component={Link} to="/" size="compact-md" variant="default">
            Stations are on Today
          </Button>
        </p>
      )}
    </section>
  );
}

const daysOf = (history: History, personId: string): (DayOfPerson | null)[] =>
  history.days.map((day) => day.people.find((one) => one.personId === personId) ?? null);

type Seconds = DayOfPerson["seconds"];

function summed(days: readonly DayOfPerson[]): Record<string, number> {
  const sums: Record<string, number> = {};
  for (const { seconds } of days)
    for (const { use } of handUses) sums[use] = (sums[use] ?? 0) + seconds[use as keyof Seconds];
  return sums;
}

const weekOf = (history: History, { id, name }: History["people"][number]): WeekRow => ({
  id,
  name,
  days: daysOf(history, id).map((day) => day?.seconds ?? null),
});

const kinds: Readonly<Record<string, string>> = {
  hooped: "hooping",
  threaded: "threading",
  loaded: "loading",
  sewn: "taking off",
  finished: "finishing",
  "batch-done": "a batch",
};

function laneOf(history: History, { id, name }: History["people"][number]): Lane {
  const [day] = daysOf(history, id);
  const title = new Map(history.runs.map((run) => [run.jobId, run.title]));
  const piece = (jobId: string | null) => (jobId === null ? "" : ` ${title.get(jobId) ?? ""}`);
  const useOf = new Map(handUses.map((one) => [one.use, one]));
  return {
    id,
    name,
    said: `${name}: ${handUses
      .filter(({ use }) => (day?.seconds[use] ?? 0) >= 30)
      .map(({ use, words }) => `${words} ${minutesWords(day!.seconds[use])}`)
      .join(", ")}`,
    spans: (day?.spans ?? []).map((span) => {
      const { fill, words } = useOf.get(span.use)!;
      return { ...span, fill, words: `${words}${piece(span.jobId)}` };
    }),
    planned: (day?.planned ?? []).map((one, at) => ({
      key: `${at}`,
      fromMs: one.fromMs,
      toMs: one.toMs,
      words: `${kinds[one.kind] ?? one.kind}${piece(one.jobId)} was planned`,
    })),
  };
}

const told: Readonly<Record<string, string>> = {
  hooped: "hooped",
  threaded: "threaded",
  loaded: "loaded",
  started: "started",
  sewn: "took off",
  finished: "finished",
  packed: "packed",
  "batch-done": "sewed batches",
  "care-done": "cared",
};

/** One person in words: what was done, and how it stood to the plan. */
function Person({
  history,
  person,
}: {
  readonly history: History;
  readonly person: History["people"][number];
}) {
  const days = daysOf(history, person.id).filter((day) => day !== null);
  const counts = new Map<string, number>();
  for (const day of days)
    for (const [kind, count] of Object.entries(day.told)) counts.set(kind, (counts.get(kind) ?? 0) + count);
  const did = Object.entries(told)
    .filter(([kind]) => counts.has(kind))
    .map(([kind, words]) => `${words} ${counts.get(kind)}`);
  const planned = days.flatMap((day) => day.planned);
  const own = planned.filter((one) => one.doneBy === person.id);
  const others = planned.filter((one) => one.doneBy !== null && one.doneBy !== person.id).length;
  const offs = own.map((one) => one.doneAtMs - one.toMs).sort((a, b) => a - b);
  const middle = offs[Math.floor(offs.length / 2)];
  return (
    <article>
      <h3>{person.name}</h3>
      <p>{did.length === 0 ? "Told of nothing on the floor." : `${did.join(" · ")}.`}</p>
      {middle !== undefined && (
        <p className="quiet">
          {own.length === 1 ? "One task" : `${own.length} tasks`} as planned for {person.name}, the middle one
          done {offWords(middle)}
          {others > 0 && `; ${others} more of theirs ${others === 1 ? "was" : "were"} done by others`}.
        </p>
      )}
    </article>
  );
}
