import { JUMP, StitchRecorder, STITCH, stitchExtents } from "../stitches";
import { type DesignMend, unchanged } from "./mend";

/** Sets the start to the middle of what is sewn. */
export const centreStart: DesignMend = {
  code: "centre-start",
  title: "Start in the middle",
  about:
    "The needle is lined up at the design's middle and goes from there; the picture itself stays as it is.",
  mends: ["start-off-centre"],
  mend: ({ design, counts }) => {
    if (counts.stitches === 0) return unchanged(design, "nothing is sewn");
    const box = stitchExtents(design);
    const dx = -Math.round((box.left + box.right) / 2);
    const dy = -Math.round((box.bottom + box.top) / 2);
    if (dx === 0 && dy === 0) return unchanged(design, "the start is in the middle");
    const recorder = new StitchRecorder();
    // The needle used to begin where the start was: it goes there first, so that a first stitch is no long one.
    let i = 0;
    while (design.kind[i] === JUMP) i++;
    if (i === 0 && design.kind[0] === STITCH) recorder.jump(dx, dy);
    else if (i > 0) recorder.jump(design.x[i - 1]! + dx, design.y[i - 1]! + dy);
    for (; i < design.kind.length; i++) recorder.put(design.kind[i]!, design.x[i]! + dx, design.y[i]! + dy);
    const far = Math.hypot(dx, dy) / 10;
    return { design: recorder.done(), changed: 1, says: `the start is moved by ${far.toFixed(1)} mm` };
  },
};
