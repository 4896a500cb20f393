import type { CalendarDate } from "#core/shop";
import {
  defaultTripWeights,
  hoursLeftOn,
  type ServicedMachine,
  type ServiceWindow,
  type TripWeights,
  windowScore,
} from "./windows";
import { counted, dayWords, listed, runWords } from "./words";

/** What the plan says to a window: the best plan with those machines away, against the best with all of them here. */
export interface TripEffect {
  readonly windowId: string;
  /** Minutes by which orders come later, all together; 0 where none does. */
  readonly lateMinutes: number;
  readonly lateOrders: number;
  /** The plan's cost more, in its points. */
  readonly cost: number;
}

export interface ProposalAsked {
  readonly machines: readonly ServicedMachine[];
  readonly today: CalendarDate;
  readonly windows: readonly ServiceWindow[];
  /** Windows without an effect are not proposed. */
  readonly effects: readonly TripEffect[];
  /** Hours on the road for one trip: taking the machines there and fetching them, both ways together. */
  readonly travelHours: number;
  readonly weights?: TripWeights;
  /** Proposals at most; each groups the machines into trips in another way. */
  readonly most: number;
}

export interface ServiceTrip extends ServiceWindow {
  readonly lateMinutes: number;
  readonly lateOrders: number;
  /** "Take Machine A and Machine B away on Friday 24 April; back on Tuesday 28 April." */
  readonly sentence: string;
}

export interface ServiceProposal {
  /** In the order of leaving; no two overlap. */
  readonly trips: readonly ServiceTrip[];
  /** Points of the plan's cost, road and days away included; lower is better. */
  readonly score: number;
  /** Some order would leave late because of it: listed after all that do not. */
  readonly breaksShipDates: boolean;
  readonly reasons: readonly string[];
}

interface Known extends ServiceWindow {
  readonly effect: TripEffect;
  readonly score: number;
}

/**
 * When to take which machine to its service: the machines of the windows split into trips that do not overlap, the best
 * choice of days for each way of splitting, those that make no order late first, then by score. Empty where no window's
 * effect is known or no choice covers all of the machines.
 */
export function proposeService(asked: ProposalAsked): ServiceProposal[] {
  const weights = asked.weights ?? defaultTripWeights;
  const effects = new Map(asked.effects.map((effect) => [effect.windowId, effect]));
  const known = asked.windows.flatMap((window): Known[] => {
    const effect = effects.get(window.id);
    if (!effect) return [];
    const road = weights.perTravelHour * asked.travelHours;
    return [{ ...window, effect, score: windowScore(window, weights) + road + effect.cost }];
  });
  const ids = [...new Set(asked.windows.flatMap((window) => window.machineIds))];
  const best = new Map<string, readonly Known[]>();
  if (ids.length > 0) split(ids, known, [], best);
  return [...best.values()]
    .sort(compared)
    .slice(0, asked.most)
    .map((trips) => proposalOf(asked, trips));
}

const lateOf = (trips: readonly Known[]): number =>
  trips.reduce((sum, trip) => sum + trip.effect.lateMinutes, 0);
const scoreOf = (trips: readonly Known[]): number => trips.reduce((sum, trip) => sum + trip.score, 0);
const breaks = (trips: readonly Known[]): number => (lateOf(trips) > 0 ? 1 : 0);
const compared = (a: readonly Known[], b: readonly Known[]): number =>
  breaks(a) - breaks(b) || scoreOf(a) - scoreOf(b);

/** Every way to cover the machines, each once; of each grouping the best is kept. */
function split(
  left: readonly string[],
  windows: readonly Known[],
  chosen: readonly Known[],
  best: Map<string, readonly Known[]>,
): void {
  const [first] = left;
  if (first === undefined) {
    const grouping = chosen
      .map((trip) => trip.machineIds.join("+"))
      .sort()
      .join(" ");
    const before = best.get(grouping);
    if (!before || compared(chosen, before) < 0) best.set(grouping, chosen);
    return;
  }
  for (const window of windows) {
    if (!window.machineIds.includes(first) || !window.machineIds.every((id) => left.includes(id))) continue;
    if (chosen.some((other) => other.leaveOn < window.backOn && window.leaveOn < other.backOn)) continue;
    split(
      left.filter((id) => !window.machineIds.includes(id)),
      windows,
      [...chosen, window],
      best,
    );
  }
}

function proposalOf(asked: ProposalAsked, chosen: readonly Known[]): ServiceProposal {
  const trips = [...chosen].sort((a, b) => (a.leaveOn < b.leaveOn ? -1 : 1));
  const nameOf = (id: string) => asked.machines.find((one) => one.id === id)?.name ?? id;
  return {
    trips: trips.map(({ effect, score: _, ...window }) => ({
      ...window,
      lateMinutes: effect.lateMinutes,
      lateOrders: effect.lateOrders,
      sentence: `Take ${listed(window.machineIds.map(nameOf))} away on ${dayWords(window.leaveOn)}; back on ${dayWords(window.backOn)}.`,
    })),
    score: scoreOf(trips),
    breaksShipDates: breaks(trips) === 1,
    reasons: reasonsOf(asked, trips, nameOf),
  };
}

function reasonsOf(asked: ProposalAsked, trips: readonly Known[], nameOf: (id: string) => string): string[] {
  const machines = trips.flatMap((trip) => trip.machineIds).length;
  const orders = trips.reduce((sum, trip) => sum + trip.effect.lateOrders, 0);
  const open = trips.reduce((sum, trip) => sum + trip.openDays, 0);
  const closed = trips.reduce((sum, trip) => sum + trip.closedDays, 0);
  const late = lateOf(trips);
  return [
    late > 0
      ? `${counted(orders, "order")} would leave late by ${runWords(late * 60)} in all.`
      : "No order leaves late because of it.",
    ...(closed > 0 ? [`The house is closed on ${closed} of the ${open + closed} days away.`] : []),
    roadSentence(asked.travelHours, trips.length, machines),
    ...trips.flatMap((trip) => trip.machineIds.map((id) => timingSentence(asked, trip, id, nameOf))),
  ];
}

function roadSentence(travelHours: number, trips: number, machines: number): string {
  const hours = (count: number) => runWords(count * travelHours * 3600);
  const road = `${counted(trips, "trip")}, ${hours(trips)} on the road`;
  return trips < machines ? `${road}: ${hours(machines - trips)} less than one by one.` : `${road}.`;
}

/** Within so much of the interval's end either way a machine goes in time. */
const IN_TIME_HOURS = 10;

function timingSentence(
  asked: ProposalAsked,
  trip: Known,
  id: string,
  nameOf: (id: string) => string,
): string {
  const machine = asked.machines.find((one) => one.id === id);
  if (!machine) return `${nameOf(id)}: nothing is known of its hours.`;
  const left = hoursLeftOn(machine, asked.today, trip.leaveOn);
  if (Math.abs(left) <= IN_TIME_HOURS) return `${machine.name} goes when it is due.`;
  return left > 0
    ? `${machine.name} goes about ${runWords(left * 3600)} of running before it is due.`
    : `${machine.name} goes about ${runWords(-left * 3600)} of running past its time.`;
}
