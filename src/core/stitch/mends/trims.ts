import { needlessTrim, needsTrim } from "../checks/thread-moves";
import { countOf } from "../checks/check";
import type { ThreadMove } from "../checks/sewn-ground";
import { tiedAt } from "../checks/missing-tie-off";
import { StitchRecorder, type Stitches } from "../stitches";
import { type DesignMend, unchanged } from "./mend";
import { tiedIn, tiePoint } from "./tie";

/** Cuts the thread where it would lie bare over more than 3 mm, and ties both its ends. */
export const insertTrims: DesignMend = {
  code: "insert-trims",
  title: "Put trims in",
  about:
    "Cuts the thread on each bare way over 3 mm, with a tie before and after; ways that are sewn over stay.",
  mends: ["trim-missing", "jump-across-sewing"],
  mend: ({ design, moves }) => {
    const missing = moves().filter(needsTrim);
    if (missing.length === 0) return unchanged(design, "no trim is missing");
    const rebuilt = rewriteMoves(design, missing, (recorder, { from, to }) => {
      const last = from - 1;
      const off = tiedAt(design, last) ? null : tiePoint(design, last, -1);
      if (off !== null) {
        recorder.stitch(off[0], off[1]);
        recorder.stitch(design.x[last]!, design.y[last]!);
        recorder.stitch(off[0], off[1]);
      }
      recorder.trim(design.x[to - 1]!, design.y[to - 1]!);
    });
    return { design: rebuilt, changed: missing.length, says: `${countOf(missing.length, "trim")} put in` };
  },
};

/** Takes out cuts over gaps of 3 mm or less. */
export const dropTrims: DesignMend = {
  code: "drop-trims",
  title: "Take needless trims out",
  about: "Leaves out the cut where the thread goes on within 3 mm; every needle point stays.",
  mends: ["trim-needless"],
  mend: ({ design, moves }) => {
    const needless = moves().filter(needlessTrim);
    if (needless.length === 0) return unchanged(design, "no trim is needless");
    const rebuilt = rewriteMoves(design, needless, (recorder, { to }) =>
      recorder.jump(design.x[to - 1]!, design.y[to - 1]!),
    );
    return {
      design: rebuilt,
      changed: needless.length,
      says: `${countOf(needless.length, "trim")} taken out`,
    };
  },
};

/** The design with the jumps of some moves written anew; after a cut the next line is tied in. */
function rewriteMoves(
  design: Stitches,
  moves: readonly ThreadMove[],
  write: (recorder: StitchRecorder, move: ThreadMove) => void,
): Stitches {
  const { kind, x, y } = design;
  const byStart = new Map(moves.map((move) => [move.from, move]));
  const recorder = new StitchRecorder();
  let cut = -1;
  for (let i = 0; i < kind.length; i++) {
    const move = byStart.get(i);
    if (move !== undefined) {
      const before = recorder.length;
      write(recorder, move);
      if (recorder.length - before >= 3) cut = move.to;
      i = move.to - 1;
      continue;
    }
    recorder.put(kind[i]!, x[i]!, y[i]!);
    if (i !== cut || tiedIn(design, i)) continue;
    const point = tiePoint(design, i, 1);
    if (point === null) continue;
    recorder.stitch(point[0], point[1]);
    recorder.stitch(x[i]!, y[i]!);
    recorder.stitch(point[0], point[1]);
  }
  return recorder.done();
}
