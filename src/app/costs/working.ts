import type { shapes } from "#contract";
import { type Known } from "#core/costing";
import { handTimes, machineTimes } from "#core/shop";
import type { Kept } from "../records";
import type { CostGround } from "./ground";
import { type Gathered, timeWords } from "./gathered";
import { knownBy, leastKnown } from "./missing";
import type { RunSewing } from "./sewing";

/** The machine's time at a piece and the hands', with where each time comes from. */

type Product = Kept<shapes.ProductBody>;

interface MachineTime {
  readonly machine: Kept<shapes.MachineBody>;
  readonly sewS: number;
  readonly known: Known;
}

/** A machine with what its steps take, as far as they do not turn on the run. */
interface MachineSteps {
  readonly machine: Kept<shapes.MachineBody>;
  readonly perMinute: number;
  readonly known: Known;
  readonly steps: ReturnType<typeof machineTimes>;
}

const machinesByRun = new WeakMap<CostGround, Map<string, readonly MachineSteps[]>>();

/** The machines that take a run's hoop and may sew it: looked for once for all runs alike. */
function machinesFor(ground: CostGround, run: RunSewing): readonly MachineSteps[] {
  let known = machinesByRun.get(ground);
  if (!known) machinesByRun.set(ground, (known = new Map<string, readonly MachineSteps[]>()));
  const key = `${run.hoopId ?? ""} ${run.machineIds?.join(" ") ?? "any"}`;
  const there = known.get(key);
  if (there) return there;
  const { machines, time, studio } = ground;
  const found = [...machines.values()]
    .filter(
      (one) =>
        !one.archived &&
        one.kind !== "straight-stitch" &&
        one.needles.length > 0 &&
        (run.machineIds?.includes(one.id) ?? true) &&
        (run.hoopId === null || one.hoopIds.includes(run.hoopId)),
    )
    .map((machine): MachineSteps => {
      const speed = time("sewing-speed", machine.id);
      return {
        machine,
        perMinute: speed?.value ?? machine.stitchesPerMinute,
        known: speed?.known ?? { by: "entered" },
        steps: machineTimes(machine, studio.body.stepTimes),
      };
    });
  known.set(key, found);
  return found;
}

/** The machines a run may be sewn on, each with the time it takes there. */
function machineTimesOf(ground: CostGround, run: RunSewing): readonly MachineTime[] {
  if (run.sewn) {
    const machine = ground.machines.get(run.sewn.machineId);
    return machine ? [{ machine, sewS: run.sewn.sewedS, known: { by: "measured", count: 1 } }] : [];
  }
  const { stitches, colourChanges, trims } = run.sewing!;
  return machinesFor(ground, run).map(({ machine, perMinute, known, steps }) => ({
    machine,
    sewS: (60 * stitches) / perMinute + colourChanges * steps.colourChangeS + trims * steps.trimS,
    known,
  }));
}

export function takeMachine(ground: CostGround, run: RunSewing, gathered: Gathered): void {
  const { used, needed } = gathered;
  const times = machineTimesOf(ground, run);
  if (times.length === 0) {
    needed.ask(`${run.placementName}: a machine that takes its hoop`, "record");
    return;
  }
  const sewS = times.reduce((sum, one) => sum + one.sewS, 0) / times.length;
  gathered.machineS += sewS;
  // A machine without its figures would make the hour of the others too cheap or too dear: all are asked for.
  const without = times.flatMap(({ machine }) => ground.machineCosts.get(machine.id)?.missing ?? []);
  if (without.length > 0) {
    for (const one of without) needed.ask(one.what, one.of, one.subjectId);
    return;
  }
  const costOf = ({ machine }: MachineTime) => ground.machineCosts.get(machine.id)!;
  // The mean cost of a run is the mean time at the rate weighed by time.
  const cents = times.reduce((sum, one) => sum + one.sewS * costOf(one).hour!.total, 0);
  used.push({
    kind: "machine",
    what: times.length === 1 ? times[0]!.machine.name : `one of ${times.length} machines`,
    amount: sewS / 3600,
    unit: "h",
    centsPerUnit: cents / times.reduce((sum, one) => sum + one.sewS, 0),
    known: leastKnown(...times.flatMap((one) => [one.known, costOf(one).known])),
    note: `${run.sewn ? "Told from the station" : `${Math.round(run.sewing!.stitches)} stitches, ${round(run.sewing!.colourChanges)} colour changes, ${round(run.sewing!.trims)} trims`}: ${timeWords(sewS)}. The hour: loss of worth, service, repair and energy.`,
  });
}

const round = (value: number): number => Math.round(10 * value) / 10;

/** Hooping, loading, threading, swapping, un-hooping and finishing. */
export function takeHands(ground: CostGround, product: Product, run: RunSewing, gathered: Gathered): void {
  const { work } = gathered;
  const placement = product.placements.find((one) => one.id === run.placementId);
  const hoop = run.hoopId === null ? null : (ground.hoops.get(run.hoopId) ?? null);
  const own = {
    hoopS: run.hoopS ?? placement?.hoopS ?? null,
    unhoopS: run.unhoopS ?? placement?.unhoopS ?? null,
    finishS: run.finishS ?? placement?.finishS ?? null,
  };
  const usual = handTimes(own, hoop, ground.studio.body.stepTimes);
  const learnt = hoop && own.hoopS === null ? ground.time("hooping", hoop.id) : null;
  const practice = { by: "common-practice" } as const;
  if (hoop)
    work.push({
      what: `hooping, ${hoop.name}`,
      seconds: learnt?.value ?? usual.hoopS,
      known: learnt?.known ?? (own.hoopS === null ? practice : { by: "entered" }),
    });
  takeAtMachine(ground, run, gathered);
  const finishing =
    own.unhoopS === null && own.finishS === null ? ground.time("finishing", product.id) : null;
  work.push({
    what: "un-hooping, trimming, pressing, checking",
    seconds: finishing?.value ?? usual.unhoopS + usual.finishS,
    known: finishing?.known ?? { by: "entered" },
  });
}

/** What a person does while the machine stands: choosing and lining up, swapping, threading. */
function takeAtMachine(ground: CostGround, run: RunSewing, gathered: Gathered): void {
  const { needed, work } = gathered;
  const machines = machineTimesOf(ground, run).map(({ machine }) => machine);
  if (machines.length === 0) return;
  const mean = (values: readonly number[]) => values.reduce((sum, one) => sum + one, 0) / values.length;
  const timeOf = (quantity: "loading" | "threading", id: string) => ground.time(quantity, id)!;
  const loading = machines.map(({ id }) => timeOf("loading", id));
  const unload = mean(machines.map((one) => machineTimes(one, ground.studio.body.stepTimes).unloadS));
  const loadS = mean(loading.map((one) => one.value)) + unload;
  work.push({
    what: "choosing, lining up, swapping hoops",
    seconds: loadS,
    known: leastKnown(...loading.map((one) => one.known)),
  });
  gathered.machineS += loadS;
  const times = ground.measured.threadings
    ? {
        value: ground.measured.threadings.perRun,
        known: { by: "measured", count: ground.measured.threadings.runs } as const,
      }
    : ground.settings.threadingsPerRun
      ? {
          value: ground.settings.threadingsPerRun.value,
          known: knownBy(ground.settings.threadingsPerRun.from),
        }
      : needed.ask("how many needles are threaded for a run, in the mean", "settings");
  if (!times) return;
  const threading = machines.map(({ id }) => timeOf("threading", id));
  const seconds = times.value * mean(threading.map((one) => one.value));
  work.push({
    what: "threading",
    seconds,
    known: leastKnown(times.known, ...threading.map((one) => one.known)),
    note: `${round(times.value)} threadings a run in the mean.`,
  });
  gathered.machineS += seconds;
}

/** Goods that are sewn: a person at a straight-stitch machine for as long as it takes. */
export function takeSewing(ground: CostGround, product: Product, gathered: Gathered): void {
  const { used, work, needed } = gathered;
  work.push({
    what: "cutting and sewing",
    seconds: product.sewS,
    known: { by: "entered" },
    note: "The product's sewing time.",
  });
  const machines = [...ground.machines.values()].filter(
    (one) => one.kind === "straight-stitch" && !one.archived,
  );
  gathered.machineS += product.sewS;
  if (machines.length === 0) {
    needed.ask("a straight-stitch machine to sew it on", "record");
    return;
  }
  const machineCosts = machines.map(({ id }) => ground.machineCosts.get(id)!);
  const without = machineCosts.flatMap((one) => one.missing);
  if (without.length > 0) {
    for (const one of without) needed.ask(one.what, one.of, one.subjectId);
    return;
  }
  used.push({
    kind: "machine",
    what: machines.length === 1 ? machines[0]!.name : `one of ${machines.length} straight-stitch machines`,
    amount: product.sewS / 3600,
    unit: "h",
    centsPerUnit: machineCosts.reduce((sum, one) => sum + one.hour!.total, 0) / machines.length,
    known: leastKnown(...machineCosts.map((one) => one.known)),
    note: `${timeWords(product.sewS)}. The hour: loss of worth, service, repair and energy.`,
  });
}
