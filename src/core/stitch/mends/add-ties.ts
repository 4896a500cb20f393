import { countOf } from "../checks/check";
import { cutFollows, tiedAt } from "../checks/missing-tie-off";
import { JUMP, STITCH, StitchRecorder, type Stitches, TRIM_JUMPS } from "../stitches";
import { type DesignMend, unchanged } from "./mend";
import { tiedIn, tiePoint } from "./tie";

/** Adds three small stitches where a thread begins or is cut without them. */
export const addTies: DesignMend = {
  code: "add-ties",
  title: "Tie in and tie off",
  about: "Adds three stitches of 0.7 mm on the neighbouring stitch at each thread end that has none.",
  mends: ["tie-off-missing"],
  mend: ({ design }) => {
    const { kind, x, y } = design;
    const recorder = new StitchRecorder();
    let off = 0;
    let begun = 0;
    for (let i = 0; i < kind.length; i++) {
      recorder.put(kind[i]!, x[i]!, y[i]!);
      if (kind[i] !== STITCH) continue;
      if (threadBegins(design, i) && !tiedIn(design, i)) begun += tie(recorder, design, i, 1);
      if (cutFollows(design, i) && !tiedAt(design, i)) off += tie(recorder, design, i, -1);
    }
    return off + begun === 0
      ? unchanged(design, "every thread end has its tie")
      : {
          design: recorder.done(),
          changed: off + begun,
          says: `${countOf(begun, "tie-in")} and ${countOf(off, "tie-off")} added`,
        };
  },
};

/** To the tie's point, back, and to it again; 0 where the line is too short to hold a tie. */
function tie(recorder: StitchRecorder, design: Stitches, end: number, step: 1 | -1): 0 | 1 {
  const point = tiePoint(design, end, step);
  if (point === null) return 0;
  recorder.stitch(point[0], point[1]);
  recorder.stitch(design.x[end]!, design.y[end]!);
  recorder.stitch(point[0], point[1]);
  return 1;
}

/** Whether a new thread begins with this stitch: the first of all, after a stop, or after a cut. */
function threadBegins({ kind }: Stitches, index: number): boolean {
  if (index > 0 && kind[index - 1] === STITCH) return false;
  let jumps = 0;
  let i = index - 1;
  for (; i >= 0 && kind[i] === JUMP; i--) jumps++;
  return i < 0 || kind[i] !== STITCH || jumps >= TRIM_JUMPS;
}
