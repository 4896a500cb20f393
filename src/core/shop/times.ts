import type { Hoop, LineUp, Machine, Placement, StepTimes } from "./nouns";

const lineUpField = {
  laser: "lineUpLaserS",
  camera: "lineUpCameraS",
  eye: "lineUpEyeS",
} as const satisfies Record<LineUp, keyof StepTimes>;

/** The times a machine's steps take, whole seconds: its own where set, the studio's otherwise. */
export function machineTimes(machine: Machine, studio: StepTimes) {
  return {
    threadS: machine.times.threadS ?? studio.threadS,
    loadS: machine.times.loadS ?? studio.chooseDesignS + studio[lineUpField[machine.linesUpBy]],
    unloadS: machine.times.unloadS ?? studio.swapHoopS,
    colourChangeS: machine.times.colourChangeS ?? studio.colourChangeS,
    trimS: machine.times.trimS ?? studio.trimS,
  };
}

/** The times the hands need for one run of a placement; `hoop` is null where the piece is sewn without one. */
export function handTimes(
  placement: Pick<Placement, "hoopS" | "unhoopS" | "finishS">,
  hoop: Hoop | null,
  studio: StepTimes,
) {
  const byKind = hoop === null ? 0 : hoop.kind === "magnetic" ? studio.hoopMagneticS : studio.hoopScrewS;
  return {
    hoopS: placement.hoopS ?? hoop?.hoopS ?? byKind,
    unhoopS: placement.unhoopS ?? studio.unhoopS,
    finishS: placement.finishS ?? studio.finishS,
  };
}
