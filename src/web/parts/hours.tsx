import { ActionIcon, Button, Menu, TextInput } from "@mantine/core";
import type { DaysOff, DayHours, WeekHours } from "#core/shop";
import { AddRow, DateField } from "./form";
import "./hours.css";

/** ISO 8601: the week begins on Monday. */
export const weekdays = [
  "Monday",
  "Tuesday",
  "Wednesday",
  "Thursday",
  "Friday",
  "Saturday",
  "Sunday",
] as const;

export const clockWords = (minute: number) =>
  `${String(Math.floor(minute / 60)).padStart(2, "0")}:${String(minute % 60).padStart(2, "0")}`;

/** Minutes after midnight of "hh:mm"; an end of 00:00 is the end of the day. */
function minuteOf(text: string, edge: "start" | "end"): number | null {
  const match = /^(\d\d):(\d\d)/.exec(text);
  if (!match) return null;
  const minute = Number(match[1]) * 60 + Number(match[2]);
  return edge === "end" && minute === 0 ? 1440 : minute;
}

/** "08:00–12:00, 12:30–16:30" or "closed". */
export function dayWords(day: DayHours, closed: string): string {
  return day.length === 0
    ? closed
    : day.map((span) => `${clockWords(span.startMinute)}–${clockWords(span.endMinute % 1440)}`).join(", ");
}

/** A week in a line: days of the same hours joined, "Mon–Fri 08:00–16:30". */
export function weekWords(week: WeekHours): string {
  const groups: { from: number; to: number; words: string }[] = [];
  week.forEach((day, index) => {
    const words = dayWords(day, "");
    const last = groups.at(-1);
    if (last && last.words === words && last.to === index - 1) last.to = index;
    else groups.push({ from: index, to: index, words });
  });
  const short = (index: number) => weekdays[index]!.slice(0, 3);
  const told = groups
    .filter((group) => group.words !== "")
    .map(({ from, to, words }) => `${from === to ? short(from) : `${short(from)}–${short(to)}`} ${words}`);
  return told.length === 0 ? "no hours" : told.join("; ");
}

export function hoursInWeek(week: WeekHours): number {
  return week.flat().reduce((sum, span) => sum + Math.max(0, span.endMinute - span.startMinute), 0) / 60;
}

/** What is wrong with a day's spans, or nothing. */
function dayTrouble(day: DayHours): string | null {
  for (const [index, span] of day.entries()) {
    if (span.startMinute >= span.endMinute) return "The end must be later than the start.";
    if (index > 0 && day[index - 1]!.endMinute > span.startMinute) return "These hours overlap.";
  }
  return null;
}

interface WeekProps {
  readonly week: WeekHours;
  readonly onChange: (week: WeekHours) => void;
  /** What an empty day is called: "closed", "off". */
  readonly closed: string;
}

/** The hours of a week, day by day, with a bar that shows them as length; a day can be copied to others. */
export function WeekEditor({ week, onChange, closed }: WeekProps) {
  const setDay = (index: number, day: DayHours) =>
    onChange(week.map((old, at) => (at === index ? day : old)));
  const copy = (from: number, to: readonly number[]) =>
    onChange(week.map((old, at) => (to.includes(at) ? week[from]! : old)));
  return (
    <div className="week">
      {weekdays.map((name, index) => (
        <DayEditor
          key={name}
          name={name}
          day={week[index] ?? []}
          closed={closed}
          onChange={(day) => setDay(index, day)}
          onCopy={(to) => copy(index, to)}
        />
      ))}
    </div>
  );
}

function DayEditor({
  name,
  day,
  closed,
  onChange,
  onCopy,
}: {
  readonly name: (typeof weekdays)[number];
  readonly day: DayHours;
  readonly closed: string;
  readonly onChange: (day: DayHours) => void;
  readonly onCopy: (to: readonly number[]) => void;
}) {
  const trouble = dayTrouble(day);
  const setSpan = (at: number, edge: "start" | "end", text: string) => {
    const minute = minuteOf(text, edge);
    if (minute === null) return;
    onChange(
      day.map((span, index) =>
        index === at ? { ...span, [edge === "start" ? "startMinute" : "endMinute"]: minute } : span,
      ),
    );
  };
  const add = () => {
    const last = day.at(-1);
    const startMinute = last ? Math.min(last.endMinute + 30, 1380) : 480;
    onChange([...day, { startMinute, endMinute: Math.min(startMinute + (last ? 240 : 510), 1440) }]);
  };
  const others = weekdays.map((_, index) => index).filter((index) => weekdays[index] !== name);
  return (
    <fieldset className="day">
      <legend>{name}</legend>
      <div className="day-bar" aria-hidden>
        {day.map((span, index) => (
          <span
            key={index}
            style={{
              left: `${(span.startMinute / 1440) * 100}%`,
              width: `${(Math.max(0, span.endMinute - span.startMinute) / 1440) * 100}%`,
            }}
          />
        ))}
      </div>
      <div className="day-spans">
        {day.length === 0 && <span className="quiet day-closed">{closed}</span>}
        {day.map((span, index) => (
          <div key={index} className="day-span">
            <TextInput
              type="time"
              size="md"
              aria-label={`${name}, from`}
              value={clockWords(span.startMinute)}
              error={trouble !== null}
              onChange={(event) => setSpan(index, "start", event.currentTarget.value)}
            />
            <span aria-hidden>–</span>
            <TextInput
              type="time"
              size="md"
              aria-label={`${name}, to`}
              value={clockWords(span.endMinute % 1440)}
              error={trouble !== null}
              onChange={(event) => setSpan(index, "end", event.currentTarget.value)}
            />
            <ActionIcon
              variant="subtle"
              color="gray"
              size={44}
              aria-label={`Take away ${name} ${clockWords(span.startMinute)} to ${clockWords(span.endMinute % 1440)}`}
              onClick={() => onChange(day.filter((_, at) => at !== index))}
            >
              <Cross />
            </ActionIcon>
          </div>
        ))}
      </div>
      <div className="day-acts">
        {day.length < 8 && (
          <Button variant="subtle" size="md" px="sm" onClick={add} aria-label={`Add hours on ${name}`}>
            {day.length === 0 ? "Add hours" : "Add"}
          </Button>
        )}
        <Menu position="bottom-end" withinPortal withInitialFocusPlaceholder={false}>
          <Menu.Target>
            <Button variant="subtle" size="md" px="sm" aria-label={`Copy ${name} to other days`}>
              Copy to …
            </Button>
          </Menu.Target>
          <Menu.Dropdown>
            <Menu.Item onClick={() => onCopy([0, 1, 2, 3, 4])}>Monday to Friday</Menu.Item>
            <Menu.Item onClick={() => onCopy([0, 1, 2, 3, 4, 5, 6])}>Every day</Menu.Item>
            <Menu.Divider />
            {others.map((index) => (
              <Menu.Item key={index} onClick={() => onCopy([index])}>
                {weekdays[index]}
              </Menu.Item>
            ))}
          </Menu.Dropdown>
        </Menu>
      </div>
      {trouble && (
        <p className="day-trouble" role="alert">
          {trouble}
        </p>
      )}
    </fieldset>
  );
}

export const Cross = () => (
  <svg viewBox="0 0 16 16" width="16" height="16" aria-hidden>
    <path d="M3 3l10 10M13 3 3 13" stroke="currentcolor" strokeWidth="2" strokeLinecap="round" />
  </svg>
);

/** Days closed or away, from one date to another, each with why. */
export function DaysOffEditor({
  days,
  onChange,
  today,
  legend,
  none,
  error,
}: {
  readonly days: readonly DaysOff[];
  readonly onChange: (days: DaysOff[]) => void;
  readonly today: string;
  readonly legend: string;
  readonly none: string;
  readonly error: (path: string) => string | undefined;
}) {
  const set = (at: number, patch: Partial<DaysOff>) =>
    onChange(
      days.map((off, index) => {
        if (index !== at) return off;
        const next = { ...off, ...patch };
        // The last day follows the first one while it would lie before it.
        return patch.from !== undefined && next.to < patch.from ? { ...next, to: patch.from } : next;
      }),
    );
  return (
    <fieldset className="days-off">
      <legend className="visually-hidden">{legend}</legend>
      {days.length === 0 && <p className="quiet">{none}</p>}
      {days.map((off, index) => (
        <div key={index} className="day-off">
          <DateField
            label="First day"
            value={off.from}
            error={error(`${index}.from`)}
            onChange={(from) => set(index, { from })}
          />
          <DateField
            label="Last day"
            value={off.to}
            error={error(`${index}.to`) ?? error(String(index))}
            onChange={(to) => set(index, { to })}
          />
          <TextInput
            size="md"
            className="day-off-why"
            label="Why"
            placeholder="holiday, fair, …"
            value={off.why}
            onChange={(event) => set(index, { why: event.currentTarget.value })}
          />
          <ActionIcon
            variant="subtle"
            color="gray"
            size={44}
            aria-label={`Take away ${off.from} to ${off.to}`}
            onClick={() => onChange(days.filter((_, at) => at !== index))}
          >
            <Cross />
          </ActionIcon>
        </div>
      ))}
      <AddRow onClick={() => onChange([...days, { from: today, to: today, why: "" }])}>Add days</AddRow>
    </fieldset>
  );
}
