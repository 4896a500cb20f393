import type { FloorEventBody, shapes } from "#contract";
import type { FloorAnswer, Snapshot } from "./floor-state";
import type { Told } from "./outbox";

/** A small invented floor for the tests of this folder: Gannet with four needles, two pieces planned on it, Tern with one. */
export const START_MS = Date.UTC(2026, 10, 30, 9);

const job = (id: string, text: string, threads: readonly string[]): shapes.PlannedJob => ({
  jobId: id,
  pieceId: `piece-${id}`,
  pieceCode: `NQ-${id}`,
  pieceVersion: 1,
  state: "ready",
  urgency: "normal",
  pinnedMachineId: null,
  title: text || "Anchor",
  personalText: text,
  product: "Hand towel",
  placement: "corner",
  where: "90 mm in from both edges",
  hoopName: "Side magnetic",
  backing: "Tear-away 40 g",
  topping: "Soluble film",
  needleAdvice: "75/11 ball",
  orderId: "order",
  orderReference: "NQ-1",
  customer: "",
  promiseDate: "2026-12-02",
  shipBy: "2026-11-30",
  designVersionId: null,
  designName: "Anchor",
  parts: threads.map((threadId) => ({ threadId, stitches: 1000 })),
  caution: "",
  why: "",
  whyLate: "",
});

const jobs = [
  job("juno", "Juno", ["red", "blue"]),
  job("bram", "", ["red", "gold"]),
  job("wide", "Ada", ["red", "gold", "teal"]),
];

export const planned: shapes.PlanView = {
  planId: "plan",
  madeAtMs: START_MS,
  startsAtMs: START_MS,
  timeZone: "UTC",
  stale: false,
  staleWhy: "",
  stalePieces: 0,
  moved: null,
  plan: {
    format: "spoolwright/plan@1",
    runs: [
      { job: "juno", machine: "gannet", hoop: "side/2", needles: [1, 2], stretches: [{ from: 0, to: 1, start: 300, end: 900 }] }, // prettier-ignore
      { job: "bram", machine: "gannet", hoop: "side/1", needles: [1, 3], stretches: [{ from: 0, to: 1, start: 1200, end: 1800 }] }, // prettier-ignore
      { job: "wide", machine: "tern", hoop: "side/3", needles: [1, 2, 1], stretches: [{ from: 0, to: 1, start: 300, end: 800 }, { from: 2, to: 2, start: 900, end: 1000 }] }, // prettier-ignore
    ],
    tasks: [
      { hand: "ivor", do: "hoop", job: "juno", start: 0, end: 60 },
      { hand: "ivor", do: "thread", job: "juno", machine: "gannet", needle: 2, colour: "blue", start: 60, end: 120 }, // prettier-ignore
      { hand: "ivor", do: "load", job: "juno", machine: "gannet", start: 120, end: 300 },
      { hand: "ness", do: "hoop", job: "bram", start: 300, end: 360 },
      { hand: "ivor", do: "unload", job: "juno", machine: "gannet", start: 900, end: 960 },
      { hand: "ness", do: "finish", job: "juno", start: 960, end: 1260 },
    ],
    unplanned: [],
    totals: { cost: 0, threadings: 0, midStops: 0, lateJobs: 0, lateMinutes: 0, finishAt: 0 },
    bounds: { cost: 0, threadings: 0, finishAt: 0 },
    solver: { seconds: 0, seed: 1, evaluations: 0 },
  },
  machines: [],
  hands: [],
  open: [
    [0, 8 * 3600],
    [23 * 3600, 31 * 3600],
  ],
  hoops: [],
  threads: [],
  jobs,
  chores: [],
  leftOut: [],
  headline: { pieces: 3, late: [], tightest: null, careful: null },
};

const needle = (number: number, threadId: string | null) => ({
  number,
  threadId,
  sizeNm: 75,
  point: "sharp" as const,
  fixed: false,
});
const thread = (id: string) => ({ id, code: id[0]!.toUpperCase() + "01", name: id, rgb: "#804020" });

const answer: FloorAnswer = {
  nowMs: START_MS,
  registers: [],
  runs: [],
  doneChores: [],
  toFinish: [],
  hoops: [{ id: "side", name: "Side magnetic", count: 3 }],
  toPack: [],
  packed: 0,
  machines: [
    {
      id: "gannet",
      name: "Gannet",
      kind: "multi-needle",
      linesUpBy: "laser",
      needles: [needle(1, "red"), needle(2, null), needle(3, "gold"), needle(4, null)],
    },
    {
      id: "tern",
      name: "Tern",
      kind: "multi-needle",
      linesUpBy: "eye",
      needles: [needle(1, "red"), needle(2, "gold")],
    },
  ],
  people: [
    { id: "ivor", name: "Ivor", skills: [] },
    { id: "ness", name: "Ness", skills: [] },
  ],
  threads: ["red", "blue", "gold", "teal"].map(thread),
  lately: [],
};

/** What the program last said, with what it is to differ in. */
export const said = (differs: Partial<FloorAnswer> = {}, askedAtMs = START_MS): Snapshot => ({
  answer: { ...answer, ...differs },
  askedAtMs,
  aheadMs: 0,
});

type Short = FloorEventBody extends infer E
  ? E extends FloorEventBody
    ? Omit<E, "id" | "atMs" | "personId">
    : never
  : never;

/** An event as the outbox holds it. */
export const toldOf = (id: string, minute: number, draft: Short, differs: Partial<Told> = {}): Told => ({
  event: { ...draft, id, atMs: START_MS + minute * 60_000, personId: null } as FloorEventBody,
  words: id,
  state: "waiting",
  why: "",
  answeredAtMs: null,
  before: { run: null, registers: [] },
  ...differs,
});
