import type { MachineStep } from "#core/floor";
import { doneAct, mainAct, unhoopAct } from "./acts";
import { machineWords, type Said, shortName } from "./sentences";
import type { Scanned, StationDay } from "./station-day";
import type { Draft, Floor } from "./use-floor";

/** What a station's buttons ask before they tell. */
export type Question =
  | { readonly ask: "stop" | "spoiled" | "later" | "down" | "thread" | "away" | "lately" | "needle" }
  | { readonly ask: "scan"; readonly found: Scanned };

/** The sentence of a station: of its step, or that its turn comes later. */
export function saidOf(day: StationDay, isEarly: boolean, machineId: string, floor: Floor): Said {
  const said = machineWords(day.step, machineId, floor.names);
  if (isEarly)
    return {
      sentence: `Nothing to do until ${floor.names.clock(day.plannedAtMs!)}`,
      more: `Then: ${said.sentence.charAt(0).toLocaleLowerCase()}${said.sentence.slice(1)}${day.step.do === "thread" && day.job ? `, ${said.more.charAt(0).toLocaleLowerCase()}${said.more.slice(1)}` : ""}`,
      cautions: [],
    };
  if (day.step.do === "sewing" && day.hooping)
    return { ...said, more: `${said.more} · meanwhile hoop ${shortName(day.hooping.job)}` };
  if (day.step.do === "idle" && day.nextAtMs !== null)
    return { ...said, sentence: `Nothing to do until ${floor.names.clock(day.nextAtMs)}`, more: "" };
  return said;
}

export interface PageButton {
  readonly words: string;
  /** The key that presses it, as it is shown. */
  readonly key: string;
  readonly press: () => void;
  readonly tone?: "plain" | "late";
}

/** The large buttons of a step, the main one first. */
export function buttonsOf({
  day,
  isEarly,
  machineId,
  floor,
  ask,
  begin,
}: {
  readonly day: StationDay;
  readonly isEarly: boolean;
  readonly machineId: string;
  readonly floor: Floor;
  readonly ask: (question: Exclude<Question["ask"], "scan">) => void;
  readonly begin: () => void;
}): PageButton[] {
  const { step, job } = day;
  const later: PageButton = { words: "Not now", key: "N", press: () => ask("later") };
  const stop: PageButton = { words: "Stop", key: "S", press: () => ask("stop"), tone: "late" };
  const spoiled: PageButton = { words: "Spoiled", key: "X", press: () => ask("spoiled"), tone: "late" };
  if (isEarly) return [{ words: "Begin it now", key: "Enter", press: begin }, ...(job ? [later] : [])];
  const act = mainAct(step, {
    machineId,
    machine: floor.names.machine(machineId),
    job,
    run: floor.floor.plan.runs.find((one) => one.job === job?.jobId) ?? null,
    chore: day.chore,
    threadCode: (id) => floor.threads.get(id)?.code ?? id,
  });
  const tell = (one: { readonly draft: Draft; readonly told: string }) => floor.told(one.draft, one.told);
  if (step.do === "hoop" && step.waits) return [...hoopButtons(step, floor, tell), later];
  const main: PageButton[] = act ? [{ words: act.words, key: "Enter", press: () => tell(act) }] : [];
  const size: PageButton = { words: "Another size …", key: "Z", press: () => ask("needle") };
  if (step.do === "care" && typeof day.chore?.needle === "number") return [...main, size];
  if (!job) return main;
  if (step.do === "sewing" && step.nextStop !== null)
    return [...main, { words: "Done", key: "D", press: () => tell(doneAct(machineId, job)) }, stop];
  if (step.do === "sewing") return [...main, stop];
  if (step.do === "mend")
    return [
      ...main,
      ...needleButton(step, machineId, floor),
      ...(step.needle !== null && step.why !== "bobbin" ? [size] : []),
      spoiled,
    ];
  return [...main, later];
}

/** With no hoop free: the sewn piece comes out of its own, or another piece is hooped meanwhile. */
function hoopButtons(
  { waits }: MachineStep & { do: "hoop" },
  floor: Floor,
  tell: (one: { readonly draft: Draft; readonly told: string }) => void,
): PageButton[] {
  const sewn = waits?.sewnJobId ? pieceOf(floor, waits.sewnJobId) : null;
  const other = waits?.meanwhileJobId ? floor.jobs.get(waits.meanwhileJobId) : undefined;
  const out = sewn && unhoopAct(sewn, sewn.title);
  const run = floor.floor.plan.runs.find((one) => one.job === other?.jobId);
  return [
    ...(out ? [{ words: out.words, key: "Enter", press: () => tell(out) }] : []),
    ...(other
      ? [
          {
            words: `${upper(shortName(other))} hooped`,
            key: out ? "H" : "Enter",
            press: () =>
              tell({
                draft: {
                  kind: "hooped",
                  pieceId: other.pieceId,
                  jobId: other.jobId,
                  hoop: run?.hoop ?? null,
                },
                told: `${upper(shortName(other))} hooped`,
              }),
          },
        ]
      : []),
  ];
}

const upper = (words: string): string => words.charAt(0).toLocaleUpperCase() + words.slice(1);

/** A piece by its job, among the plan's or those still to be finished. */
const pieceOf = (floor: Floor, jobId: string) =>
  floor.jobs.get(jobId) ?? floor.toFinish.find((one) => one.jobId === jobId) ?? null;

/** After a broken or struck needle: the new one is told for itself, before the piece sews on. */
function needleButton(step: MachineStep & { do: "mend" }, machineId: string, floor: Floor): PageButton[] {
  const { needle } = step;
  if (needle === null || step.why === "bobbin") return [];
  return [
    {
      words: `New needle ${needle}`,
      key: "W",
      press: () =>
        floor.told(
          {
            kind: "needle-changed",
            machineId,
            needle,
            why: step.why === "needle" ? "struck" : "worn",
            sizeNm: null,
            point: null,
          },
          `Needle ${needle} changed`,
        ),
    },
  ];
}
