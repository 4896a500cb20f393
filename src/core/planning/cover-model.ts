import { roomsOf } from "./able-hours";
import type { Compiled } from "./compile";
import { worksOf } from "./job-works";

/**
 * Threads against hours (`cover.ts`) as a mixed-integer model in the CPLEX LP format, for a general solver that is given
 * some seconds: which job goes to which machine (x), which colours each machine threads (y), how long each waits for
 * hands (w), stops more than there must be (s), and when all ends (t, seconds after the soonest end). Its optimum, or
 * any bound the solver proves of it, is a bound on threadings, stops and finishing together; lateness is not in it.
 */
export interface CoverModel {
  readonly text: string;
  /** What finishing at the soonest end costs: to be added to the model's optimum. */
  readonly constant: number;
}

/** The model for the plans that leave out the same items; `finishAt` is a proven bound of the end. */
export function coverModel(compiled: Compiled, left: ReadonlySet<number>, finishAt: number): CoverModel {
  const { problem, machines, lastShiftEnd } = compiled;
  const { cost } = problem;
  const items = [...compiled.doable].filter((item) => !left.has(item));
  const jobs = items.filter((item) => item < compiled.jobs);
  const chores = items.filter((item) => item >= compiled.jobs).map((item) => item - compiled.jobs);
  const rooms = roomsOf(compiled, jobs, chores).at(finishAt, lastShiftEnd + 1);
  const costs = [`${cost.perFinishMinute / 60} t`];
  const rows: string[] = [];
  const yesOrNo: string[] = [];
  const places = new Map(jobs.map((job) => [job, [] as string[]]));
  for (let m = 0; m < machines; m++) addMachine(m);
  for (const own of places.values()) rows.push(`${own.join(" + ")} = 1`);
  if (rooms.waitS > 0) rows.push(`${problem.machines.map((_, m) => `w_${m}`).join(" + ")} >= ${rooms.waitS}`);
  const numbered = rows.map((row, at) => ` r${at}: ${row}`).join("\n");
  const text =
    `Minimize\n obj: ${costs.join(" + ")}\nSubject To\n${numbered}\n` +
    `Bounds\n t <= ${lastShiftEnd - finishAt}\nBinary\n ${yesOrNo.join("\n ")}\nEnd\n`;
  return { text, constant: (cost.perFinishMinute * finishAt) / 60 };

  function addMachine(m: number): void {
    const machine = problem.machines[m]!;
    const room = rooms.machines[m]!;
    const on = new Set([...compiled.startColour[m]!]);
    compiled.heldAt[m]!.forEach((needle, colour) => needle >= 0 && on.add(colour));
    const threaded = new Set<number>();
    const busy: string[] = [];
    for (const job of jobs) {
      const work = worksOf(compiled, job).find((one) => one.m === m);
      if (!work) continue;
      const here = `x_${job}_${m}`;
      yesOrNo.push(here);
      places.get(job)!.push(here);
      busy.push(`${Math.max(0, work.busyS - machine.colourChangeS * work.stops).toFixed(6)} ${here}`);
      if (work.stops > 0) costs.push(`${cost.perMidStop * work.stops} ${here}`);
      for (const colour of new Set(compiled.colourOf[job]!)) {
        if (on.has(colour)) continue;
        threaded.add(colour);
        rows.push(`y_${colour}_${m} - ${here} >= 0`);
      }
    }
    for (const colour of threaded) {
      yesOrNo.push(`y_${colour}_${m}`);
      costs.push(`${cost.perThreading} y_${colour}_${m}`);
      busy.push(`${machine.threadS} y_${colour}_${m}`);
    }
    // A stop more saves one change of colour.
    costs.push(`${cost.perMidStop} s_${m}`);
    const more = room.laterS > 0 ? " - t" : "";
    const terms = [...busy, `w_${m}`].join(" + ");
    rows.push(`${terms} - ${machine.colourChangeS} s_${m}${more} <= ${room.allS}`);
  }
}
