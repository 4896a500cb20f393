import type { shapes } from "#contract";
import {
  type FloorEvent,
  handMinutes,
  type HandSpan,
  type HandUse,
  handUses,
  sumOfHandUses,
  type UsedSpan,
} from "#core/floor";
import { openSpans } from "#core/shop";
import type { Kept, StudioKept } from "../records";
import type { PlannedHand } from "./rows";

/** Where each person's minutes of a day went, and what the plan had of theirs. */
type Span = readonly [number, number];
type DayOfPerson = shapes.FloorHistory["days"][number]["people"][number];

/** An event with what the plan in force had of it. */
export interface HandEvent {
  readonly event: FloorEvent;
  readonly hand: PlannedHand | null;
}

interface HandsAsked {
  readonly studio: StudioKept;
  readonly people: readonly Kept<shapes.PersonBody>[];
  readonly date: string;
  readonly told: readonly HandEvent[];
  /** When people were away by what the floor told; person id to spans. */
  readonly away: ReadonlyMap<string, readonly Span[]>;
  /** What the machines did that day. */
  readonly machines: readonly { readonly machineId: string; readonly spans: readonly UsedSpan[] }[];
  readonly untilMs: number;
}

/** A parcel packed, a batch sewn: common practice, no source. */
const USUAL_PACK_S = 90;
const USUAL_BATCH_S = 3600;
const USUAL_CARE_S = 300;

export function handsOf(asked: HandsAsked): DayOfPerson[] {
  const { studio, date, told, untilMs } = asked;
  const { timeZone, closedDays } = studio.body;
  const sewing = new Map(
    asked.machines.map(({ machineId, spans }) => [
      machineId,
      spans.filter((span) => span.use === "sewing").map((span): Span => [span.fromMs, span.toMs]),
    ]),
  );
  const events = told.map((one) => one.event);
  return asked.people.flatMap((person): DayOfPerson[] => {
    const own = told.filter((one) => one.event.personId === person.id);
    const shifts = person.archived
      ? []
      : openSpans({
          timeZone,
          hours: person.shifts,
          daysOff: [...closedDays, ...person.daysOff],
          from: date,
          days: 1,
        });
    const spans = handMinutes({
      personId: person.id,
      events,
      shifts: shifts.map(({ start, end }): Span => [start, end]),
      away: asked.away.get(person.id) ?? [],
      sewing,
      untilMs,
      usualS: usualIn(studio),
    });
    if (spans.length === 0 && own.length === 0) return [];
    return [
      {
        personId: person.id,
        told: countsOf(own),
        seconds: wholeSums(spans),
        spans: spans.map((span) => ({
          ...span,
          fromMs: Math.round(span.fromMs),
          toMs: Math.round(span.toMs),
        })),
        planned: plannedOf(person.id, told),
      },
    ];
  });
}

function usualIn(studio: StudioKept) {
  const { hoopScrewS, threadS, unhoopS, finishS, ...steps } = studio.body.stepTimes;
  const loadS = steps.chooseDesignS + steps.lineUpEyeS + steps.swapHoopS;
  return (event: FloorEvent, use: HandUse): number => {
    switch (use) {
      case "hooping":
        return hoopScrewS;
      case "threading":
        return threadS * (event.kind === "threaded" ? event.needles.length : 1);
      case "loading":
        return loadS;
      case "finishing":
        return unhoopS + finishS;
      case "packing":
        return USUAL_PACK_S;
      case "sewing":
        return USUAL_BATCH_S;
      default:
        return USUAL_CARE_S;
    }
  };
}

function countsOf(told: readonly HandEvent[]): Record<string, number> {
  const counts: Record<string, number> = {};
  for (const { event } of told)
    // A batch is kept once as told and once for each of its pieces.
    if (!/\.\d+$/.test(event.id)) counts[event.kind] = (counts[event.kind] ?? 0) + 1;
  return counts;
}

const wholeSums = (spans: readonly HandSpan[]): DayOfPerson["seconds"] => {
  const sums = sumOfHandUses(spans);
  return Object.fromEntries(handUses.map((use) => [use, Math.round(sums[use])])) as DayOfPerson["seconds"];
};

/** What the plan had for this person of all that was told, by whomever it was done. */
function plannedOf(personId: string, told: readonly HandEvent[]): DayOfPerson["planned"] {
  return told.flatMap(({ event, hand }) =>
    hand?.personId === personId && !/\.\d+$/.test(event.id)
      ? [
          {
            kind: event.kind,
            jobId: "jobId" in event ? event.jobId : null,
            fromMs: Math.round(hand.startMs),
            toMs: Math.round(hand.endMs),
            doneAtMs: Math.round(event.atMs),
            doneBy: event.personId,
          },
        ]
      : [],
  );
}
