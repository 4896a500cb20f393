import type { CalendarDate, MachineKind } from "#core/shop";

/** What a rule counts: hours the machine sewed, its stitches, pieces sewn on it, or days of the calendar. */
export type CareMeasure = "run-hours" | "stitches" | "pieces" | "days";

/** A care rule: what is to be done to which machines, and after how much use. */
export interface CareRule {
  readonly id: string;
  /** What is done, as a request: "Oil the hook". */
  readonly name: string;
  /** The machines it holds for: all of some kinds, or these. */
  readonly of: { readonly kinds: readonly MachineKind[] } | { readonly machineIds: readonly string[] };
  /** Counted for each needle by itself: its own hours and stitches since it was changed. */
  readonly perNeedle: boolean;
  readonly by: CareMeasure;
  /** How much of it, in the measure's unit: hours, stitches, pieces, days. Above 0. */
  readonly every: number;
  /** Minutes of a person at the machine. */
  readonly minutes: number;
  readonly instructions: readonly string[];
  /** Stands at the step. */
  readonly caution: string;
  /** The machine leaves the house for it: no chore of the day, but a trip to be chosen. */
  readonly needsAway: boolean;
}

const HANDS_CLEAR = "Power off and hands clear before touching needles, hook or oil points.";
const TWO_PEOPLE =
  "Two people lift a multi-needle machine; local rules on lifting decide. Power off and unplugged before it is moved.";

/**
 * The rules a studio begins with, to be overwritten by the machine's own manual. Every figure is common practice, no
 * source (TRADE.md): oil once or twice a day by hours run, a needle lives 8 to 40 hours of its own sewing, bobbin area
 * weekly, service each 500 hours away at the dealer's; straight-stitch machines oil by pieces, service yearly.
 */
export const defaultCareRules: readonly CareRule[] = [
  {
    id: "oil-hook",
    name: "Oil the hook",
    of: { kinds: ["multi-needle"] },
    perNeedle: false,
    by: "run-hours",
    every: 4,
    minutes: 5,
    instructions: [
      "Switch the machine off.",
      "Take out the bobbin case and wipe the hook.",
      "One drop of machine oil where the hook turns in its race.",
      "Put the bobbin case back and sew a scrap until it shows no oil.",
    ],
    caution: HANDS_CLEAR,
    needsAway: false,
  },
  {
    id: "needle",
    name: "Change the needle",
    of: { kinds: ["multi-needle"] },
    perNeedle: true,
    by: "run-hours",
    every: 24,
    minutes: 4,
    instructions: [
      "Switch the machine off.",
      "Loosen the screw, take the needle out and put it in the sharps tin.",
      "New needle of the same size and point up to the stop, the long groove to the front; tighten the screw.",
      "Thread it, turn by hand once, and note the change here.",
    ],
    caution: `${HANDS_CLEAR} Old needles go into a closed tin.`,
    needsAway: false,
  },
  {
    id: "needle-single",
    name: "Change the needle",
    of: { kinds: ["straight-stitch", "household"] },
    perNeedle: false,
    by: "run-hours",
    every: 24,
    minutes: 3,
    instructions: [
      "Switch the machine off.",
      "Change the needle for a new one of the size and point the cloth asks for, up to the stop.",
      "Turn by hand once before sewing.",
    ],
    caution: `${HANDS_CLEAR} Old needles go into a closed tin.`,
    needsAway: false,
  },
  {
    id: "bobbin-area",
    name: "Clean the bobbin area",
    of: { kinds: ["multi-needle", "straight-stitch", "household"] },
    perNeedle: false,
    by: "days",
    every: 7,
    minutes: 10,
    instructions: [
      "Switch the machine off and take the needle plate and the bobbin case out.",
      "Brush lint and thread ends out; do not blow them further in.",
      "Look along thread path and hook for nicks; put everything back and sew a scrap.",
    ],
    caution: HANDS_CLEAR,
    needsAway: false,
  },
  {
    id: "service",
    name: "Take it to the dealer for service",
    of: { kinds: ["multi-needle"] },
    perNeedle: false,
    by: "run-hours",
    every: 500,
    minutes: 30,
    instructions: [
      "Agree a day with the dealer.",
      "Write the hour meter down, take off hoops and cones, fix the head for the way.",
      "Back home: let it stand level, sew the test design before work goes on it.",
    ],
    caution: TWO_PEOPLE,
    needsAway: true,
  },
  {
    id: "oil-pieces",
    name: "Oil the machine",
    of: { kinds: ["straight-stitch"] },
    perNeedle: false,
    by: "pieces",
    every: 25,
    minutes: 5,
    instructions: [
      "Switch the machine off.",
      "A drop of machine oil at the points its manual shows.",
      "Sew a scrap until it shows no oil.",
    ],
    caution: HANDS_CLEAR,
    needsAway: false,
  },
  {
    id: "service-yearly",
    name: "Take it to the dealer for service",
    of: { kinds: ["straight-stitch", "household"] },
    perNeedle: false,
    by: "days",
    every: 365,
    minutes: 20,
    instructions: [
      "Agree a day with the dealer.",
      "Back home: sew a scrap of each cloth before work goes on it.",
    ],
    caution: "Power off and unplugged before it is moved. Local rules on lifting decide who carries it.",
    needsAway: true,
  },
];

/** Whether a rule holds for a machine. */
export const isRuleOf = (
  rule: Pick<CareRule, "of">,
  machine: { readonly id: string; readonly kind: MachineKind },
): boolean =>
  "kinds" in rule.of ? rule.of.kinds.includes(machine.kind) : rule.of.machineIds.includes(machine.id);

/** How far the meters of a machine, or of one needle, have run; each only ever grows. */
export interface Meters {
  /** Seconds sewn. */
  readonly runS: number;
  readonly stitches: number;
  readonly pieces: number;
  readonly day: CalendarDate;
}

/** A rule's last doing: where the meters stood then. */
export interface CareState {
  readonly machineId: string;
  readonly ruleId: string;
  /** The needle (from 1) of a rule that counts each; null otherwise. */
  readonly needle: number | null;
  readonly at: Meters;
}
